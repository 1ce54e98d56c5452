"""Where what came in is kept: beside its review, or aside with the reason; nothing is written over, nothing dropped."""

import contextlib
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from portal.inbox.came import NotTaken, Refused
from portal.inbox.carrier import ENDINGS, read_carrier
from portal.log.files import create, make_folder
from portal.log.verify import ASIDE, inside
from portal.model.event import Logged
from portal.model.logstate import ReviewState
from portal.model.says import KeptFile
from portal.problem import PortalError, printable
from portal.tasks.packing.shelf import CARRIERS, find_store

TOP_ASIDE = "answers-aside"
_WHY = ".why.txt"


@dataclass(frozen=True, slots=True)
class Raw:
    """A file as it came."""

    name: str
    content: bytes

    @property
    def sha256(self) -> str:
        """The SHA-256 of its bytes, in hexadecimal."""
        return hashlib.sha256(self.content).hexdigest()

    @property
    def kept_name(self) -> str:
        """Under which it is kept: nothing of its own name but a known ending."""
        ending = Path(self.name).suffix.lower()
        return f"{self.sha256[:16]}{ending if ending in ENDINGS else '.txt'}"


def review_folder(root: Path, part: str, review: ReviewState) -> Path:
    """The folder of a sent review; refused where what it showed isn't there as it was sent."""
    found = find_store(root, part, review)
    if isinstance(found, Path):
        return found
    raise NotTaken(f"what review {review.number} ({review.code}) showed {found.why}: put {found.file} back from a copy")


def sent_text(folder: Path, logged: Logged | None) -> str | None:
    """The text of the mail in which a review went out: as it is kept; made again from the store where it isn't."""
    texts = tuple(dict.fromkeys(_kept_mails(folder / CARRIERS)))
    if texts or logged is None:
        return "\n".join(texts) or None
    from portal.tasks.packing.mailtext import mail_again  # all words of pages, for a folder that was emptied

    return mail_again(folder, logged)


def _kept_mails(carriers: Path) -> Iterator[str]:
    for path in sorted(carriers.iterdir()) if carriers.is_dir() else ():
        if path.suffix in {".txt", ".eml"} and path.is_file():
            with contextlib.suppress(NotTaken, Refused):
                yield read_carrier(path.name, path.read_bytes()).text


def keep(root: Path, folder: Path, raw: Raw) -> KeptFile:
    """Keep an answer beside its review; it is there when the call returns."""
    path = _write(root, folder / "answers" / raw.kept_name, raw)
    return KeptFile(file=path.relative_to(root).as_posix(), sha256=raw.sha256, name=_shown(raw.name))


def keep_aside(root: Path, part: str | None, raw: Raw, why: str) -> str:
    """Keep what can't be taken with the reason beside it; where, within the catalogue."""
    folder = root / "parts" / part / "reviews" / ASIDE if part else root / TOP_ASIDE
    path = _write(root, folder / raw.kept_name, raw)
    told = f"{why}\nIt came as `{_shown(raw.name)}`; SHA-256 {raw.sha256}\n".encode()
    beside = path.with_name(raw.sha256[:16] + _WHY)
    if not beside.is_file() or beside.read_bytes() != told:
        beside.unlink(missing_ok=True)
        create(beside, told)
    return path.relative_to(root).as_posix()


def no_longer_aside(root: Path, part: str, raw: Raw) -> None:
    """Take away what was kept aside of an answer that is now on record."""
    for folder in (root / "parts" / part / "reviews" / ASIDE, root / TOP_ASIDE):
        for name in (raw.sha256[:16] + _WHY, raw.kept_name):
            (folder / name).unlink(missing_ok=True)
        if folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()


def aside(root: Path) -> Iterator[tuple[str, str]]:
    """What lies aside, by its place within the catalogue, each with the reason."""
    folders = (root / TOP_ASIDE, *sorted(root.glob(f"parts/*/reviews/{ASIDE}")))
    for folder in folders:
        for beside in sorted(folder.glob(f"*{_WHY}")):
            with contextlib.suppress(OSError):
                why = printable(beside.read_text(encoding="utf-8", errors="replace").partition("\n")[0])
                yield _what_lies_beside(beside).relative_to(root).as_posix(), why


def _what_lies_beside(why: Path) -> Path:
    stem = why.name.removesuffix(_WHY)
    found = (why.with_name(stem + ending) for ending in ENDINGS)
    return next((each for each in found if each.is_file()), why)


def _write(root: Path, path: Path, raw: Raw) -> Path:
    file = path.relative_to(root).as_posix()
    if inside(root, file) is None:
        raise PortalError(f"{file} leads out of the catalogue's folder", hint="take the link away")
    make_folder(path.parent)
    if not create(path, raw.content) and path.read_bytes() != raw.content:
        hint = "put it back from a copy, or move it elsewhere"
        raise PortalError(f"{file} was changed since it came", hint=hint)
    return path


def _shown(name: str) -> str:
    return printable(name)[-200:]
