"""Whether a log is whole: every byte, every name, every event that something names.

Found: any changed byte or name, an event that another one names and that isn't there, a foreign or left-over file.
A missing newest event is found only where a kept review or answer names it; a forged, well-formed one is not.
"""

import hashlib
import os
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from portal.log.read import Log, read
from portal.model.event import Logged, check_code, file_name
from portal.model.says import AnswersReceived, KeptFile, ReviewSent
from portal.problem import Problem

ASIDE = "aside"
"""Where answers lie that couldn't be taken."""
_BLOCK = 1 << 20


@dataclass(frozen=True)
class Verified:
    """What verifying a part's log came to."""

    log: Log
    problems: tuple[Problem, ...]

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong; what was left over from a write that was cut off is no harm."""
        return all(problem.warning for problem in self.problems)


def verify(root: Path, part: str, *, named: Iterable[tuple[str, str]] = ()) -> Verified:
    """Read a part's log strictly and hold it against itself, its kept files, its reviews.

    `named` are further hashes of events that a file tells of, each with that file's name.
    """
    log = read(root, part, strictly=True)
    known = {each.hash for each in log.events}
    problems = [
        *log.problems,
        *links(log),
        *_kept_files(log),
        *_reviews(log),
        *_named(log, known, named),
    ]
    return Verified(log, tuple(sorted(set(problems), key=lambda problem: problem.order)))


def event_file(log: Log, logged: Logged) -> str:
    """The path of an event's file within the catalogue."""
    return f"parts/{log.part}/log/{file_name(logged.event.at, logged.hash)}"


def links(log: Log) -> Iterator[Problem]:
    """Every event that another one names and that isn't there."""
    known = {each.hash for each in log.events}
    for each in log.events:
        after = each.event.after
        if len(after) > 1 and any(one >= other for one, other in zip(after, after[1:], strict=False)):
            yield Problem(event_file(log, each), 0, "after", "not sorted, or one hash twice")
        for hash_ in (*after, *each.event.named()):
            if hash_ not in known:
                yield _missing(event_file(log, each), hash_, "after" if hash_ in after else "")


def _missing(file: str, hash_: str, field: str) -> Problem:
    hint = "put that event's file back from a copy; its name ends in this hash"
    return Problem(file, 0, field, f"names an event that isn't there: {hash_}", hint)


def _named(log: Log, known: set[str], named: Iterable[tuple[str, str]]) -> Iterator[Problem]:
    for file, hash_ in named:
        if hash_ not in known:
            yield _missing(file, hash_, "")


def _kept_files(log: Log) -> Iterator[Problem]:
    """Evidence and raw answers that events rest on."""
    for each in log.events:
        for kept in each.event.says.files():
            wrong = _of_kept(log.root, kept)
            if wrong is not None:
                yield Problem(kept.file, 0, "", f"{wrong}; event {check_code(each.hash)} rests on it")


def _of_kept(root: Path, kept: KeptFile) -> str | None:
    path = inside(root, kept.file)
    if path is None:
        return "a path that leads out of the catalogue"
    try:
        return None if _hash_file(path) == kept.sha256 else "changed since it came"
    except OSError:
        return "not there, or can't be read"


def inside(root: Path, file: str) -> Path | None:
    """The path of a file that an event tells; None where it would lead out of the catalogue's folder."""
    real = os.path.realpath(root / file)
    top = os.path.realpath(root)
    return Path(real) if real.startswith(top + os.sep) else None


def _reviews(log: Log) -> Iterator[Problem]:
    """Kept reviews and answers that the log knows nothing of: then the newest event may have been taken away."""
    folder = log.root / "parts" / log.part / "reviews"
    if not folder.is_dir():
        return
    sent = {each.event.says.digest for each in log.events if isinstance(each.event.says, ReviewSent)}
    came = {each.event.says.raw.sha256 for each in log.events if isinstance(each.event.says, AnswersReceived)}
    kept: set[str] = set()
    for review in sorted(path for path in folder.iterdir() if _is_review(path)):
        within = f"parts/{log.part}/reviews/{review.name}"
        digest = yield from _of_review(review, within, sent)
        kept.update([digest] if digest else [])
        yield from _of_answers(review / "answers", f"{within}/answers", came)
    for digest in sorted(sent - kept):
        message = f"the review with check code {check_code(digest)} was sent, and what it showed isn't kept here"
        yield Problem(f"parts/{log.part}/reviews", 0, "", message, hint="put its folder back from a copy")


def _is_review(path: Path) -> bool:
    """Whether a folder beside others is a review's; what was kept aside is none."""
    return path.is_dir() and not path.name.startswith(".") and path.name != ASIDE


def _of_review(review: Path, within: str, sent: set[str]) -> Generator[Problem, None, str | None]:
    shown = review / "shown.json"
    if not shown.is_file():
        yield Problem(f"{within}/shown.json", 0, "", "there is no such file: what was shown can't be told")
        return None
    digest = _hash_file(shown)
    if not review.name.endswith(f"-{check_code(digest)}"):
        message = "changed since it was sent: not the check code in its folder's name"
        yield Problem(f"{within}/shown.json", 0, "", message)
    elif digest not in sent:
        hint = "if packing was cut off, pack again; else put the event back from a copy"
        yield Problem(f"{within}/shown.json", 0, "", "no event of the log says that this review was sent", hint)
    yield from _of_pictures(review / "pictures", f"{within}/pictures")
    return digest


def _of_pictures(folder: Path, within: str) -> Iterator[Problem]:
    for path in _files(folder):
        if path.stem != _hash_file(path):
            message = "not the picture that was shown: its name is the SHA-256 it had"
            yield Problem(f"{within}/{path.name}", 0, "", message)


def _of_answers(folder: Path, within: str, came: set[str]) -> Iterator[Problem]:
    for path in _files(folder):
        if _hash_file(path) not in came:
            hint = "receive it again; if that changes nothing, put the event back from a copy"
            yield Problem(f"{within}/{path.name}", 0, "", "no event of the log says that this answer came", hint)


def _files(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if path.is_file() and not path.name.startswith("."))


def _hash_file(path: Path) -> str:
    total = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            total.update(block)
    return total.hexdigest()
