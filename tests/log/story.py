"""Writes a part's log as people would, so that a test reads as what happened."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from portal.log import Log, append, fold, read
from portal.log.form import hash_of
from portal.model.answer import AskKind, Bound, Concession, Given
from portal.model.digest import canonical
from portal.model.event import About, Logged, Via, file_name
from portal.model.logstate import LogState
from portal.model.says import AnswersReceived, AskSent, KeptFile, Party, QuestionAsked, Recipient, ReviewSent, Says
from portal.model.terms import Answer

PART = "LC-0440"
TRIAL = "M-118/T2"
ENGINEER = Party(name="M. Vasquell", role="engineer", organisation="Halvenast Small Parts", id="m-vasquell")
AMMERLUND = Party(name="K. Ammerlund", role="supplier quality", organisation="Brindelaar Optics")
OOSTERVALD = Party(name="J. Oostervald", role="optics design", organisation="Brindelaar Optics")
START = datetime(2026, 3, 4, 14, 22, 33, 123456, tzinfo=UTC)


def ticking(start: datetime = START, step: timedelta = timedelta(minutes=1)) -> Callable[[], datetime]:
    """A clock that goes on by a step each time it is looked at."""
    moment = start - step

    def look() -> datetime:
        nonlocal moment
        moment += step
        return moment

    return look


def bound(*findings: str, basis: str = "b") -> tuple[Bound, ...]:
    """Findings as shown with that basis (one letter, written 64 times)."""
    return tuple(Bound(finding=each, basis=basis * 64) for each in findings)


class Story:
    """A log in a folder, with a clock of its own."""

    def __init__(
        self, root: Path, clock: Callable[[], datetime] | None = None, *, part: str = PART, trial: str = TRIAL
    ) -> None:
        self.log: Log = read(root, part)
        self.root = root
        self.part, self.trial = part, trial
        self.clock = clock or ticking()

    def tell(self, says: Says, *, by: Party = ENGINEER, about: About | None = None, via: Via = Via.COMMAND) -> Logged:
        """Append what somebody says."""
        return append(self.log, says, about=about or About(trial=self.trial), by=by, via=via, clock=self.clock)

    def elsewhere(self, clock: Callable[[], datetime] | None = None) -> "Story":
        """A second writer who has read what is there now, and whose writing the first one hasn't read."""
        return Story(self.root, clock or self.clock, part=self.part, trial=self.trial)

    def ask(
        self, *findings: str, kind: AskKind = AskKind.UNDECIDED, names: int = 1, follows: str | None = None
    ) -> Logged:
        """Ask about findings."""
        says = QuestionAsked(
            asks=kind,
            question="Inside or outside?",
            offers=kind.offers,
            findings=bound(*findings),
            owed_by=("K. Ammerlund", "J. Oostervald") if names > 1 else ("K. Ammerlund",),
            names_needed=names,
            due="2026-03-10",
            **({"follows": follows} if follows else {}),
        )
        return self.tell(says)

    def send(self, *asks: Logged, number: int = 1, basis: str = "b") -> str:
        """Send a review with those asks; its digest."""
        shown = f"review {number} {[each.hash for each in asks]}".encode()
        digest = hash_of(shown)
        folder = self.root / "parts" / self.part / "reviews" / f"T2-{digest[:8]}"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "shown.json").write_bytes(shown)
        sent = tuple(
            AskSent(number=place, ask=each.hash, findings=bound(*each.event.findings(), basis=basis))
            for place, each in enumerate(asks, start=1)
        )
        self.tell(ReviewSent(number=number, digest=digest, to=(Recipient(name="K. Ammerlund"),), asks=sent))
        return digest

    def receive(self, digest: str, *answers: Given, by: Party = AMMERLUND, raw: str | None = None) -> Logged:
        """An answer comes in."""
        content = raw or f"{by.name} {digest} {[each.given() for each in answers]}"
        says = AnswersReceived(
            answered_by=by,
            raw=KeptFile(file=self.keep(digest, content), sha256=hash_of(content.encode())),
            answers=answers,
        )
        return self.tell(says, about=About(trial=self.trial, review=digest), via=Via.ANSWER_FILE)

    def keep(self, digest: str, content: str) -> str:
        """The raw answer beside its review; its path within the catalogue."""
        file = f"parts/{self.part}/reviews/T2-{digest[:8]}/answers/{hash_of(content.encode())[:12]}.json"
        (self.root / file).parent.mkdir(parents=True, exist_ok=True)
        (self.root / file).write_text(content, encoding="utf-8")
        return file

    def state(self) -> LogState:
        """What the folder's log comes to now."""
        log = read(self.root, self.part)
        assert not log.problems
        return fold(self.part, log.events)


def answer(number: int, letter: str, *findings: str, basis: str = "b", **more: object) -> Given:
    """An answer by letter."""
    return Given.model_validate(
        {
            "number": number,
            "letter": Answer(letter),
            "findings": [each.given() for each in bound(*findings, basis=basis)],
            **more,
        }
    )


CONCESSION = Concession(justification="hidden once built in", quantity="500", reference="DEV-118")


def write_raw(root: Path, **changes: Any) -> Path:
    """An event's file written by hand, well formed."""
    data = {
        "format": 1,
        "at": "2026-03-04T14:22:33.123456Z",
        "kind": "comment-made",
        "part": PART,
        "about": {},
        "by": {"name": "M. Vasquell"},
        "via": "command",
        "after": [],
        "says": {"audience": "shop", "comment": "hello"},
        **changes,
    }
    return write_bytes(root, canonical(data), at=data["at"])


def write_bytes(root: Path, content: bytes, *, at: str = "2026-03-04T14:22:33.123456Z") -> Path:
    """Any bytes under the name that they deserve."""
    folder = root / "parts" / PART / "log"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / file_name(at, hash_of(content))
    path.write_bytes(content)
    return path
