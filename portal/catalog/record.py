"""One file to one record: bytes, text, tree, record; every problem noted at its line."""

from dataclasses import dataclass
from typing import Any, TypeVar

from portal.catalog.front import parse_page
from portal.catalog.sense import remarks_on
from portal.catalog.shelf import Shelf
from portal.catalog.text import Fault, decode
from portal.catalog.told import told
from portal.catalog.tree import Document, parse
from portal.catalog.validate import line_of, validate
from portal.model.base import Record

R = TypeVar("R", bound=Record)

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Broken:
    """A file that is there and gives no record."""

    where: str
    """`file:line` of its first problem."""


def read_record(shelf: Shelf, record: type[R], file: str, **given: Any) -> R | Broken:
    """Read a YAML file as that record."""
    text = read_text(shelf, file)
    if isinstance(text, Broken):
        return text
    return make_record(shelf, record, file, parse(text), given)


def read_page(shelf: Shelf, record: type[R], file: str, **given: Any) -> R | Broken:
    """Read a Markdown file with front matter as that record; it has the field `prose`."""
    text = read_text(shelf, file)
    if isinstance(text, Broken):
        return text
    page = parse_page(text)
    return make_record(shelf, record, file, page.front, {**given, "prose": page.prose})


def read_text(shelf: Shelf, file: str) -> str | Broken:
    """The text of a file."""
    raw = shelf.folder.read(file)
    if raw is None:
        return Broken(file)
    text = decode(raw)
    return _broken(shelf, file, (text,)) if isinstance(text, Fault) else text


def make_record(shelf: Shelf, record: type[R], file: str, document: Document, given: dict[str, Any]) -> R | Broken:
    """A record from a parsed file, or all that is wrong with it."""
    shelf.places.lines[file] = document.lines.folded()
    if not document.whole:
        return _broken(shelf, file, document.faults)
    if newer := _newer(document):
        return _broken(shelf, file, (newer,))
    made = validate(record, document.data, document.lines, given={"file": file, **given})
    if isinstance(made, tuple):
        return _broken(shelf, file, (*document.faults, *made))
    faults = [
        Fault(line_of(document.lines, remark.path), remark.message, remark.hint, remark.path)
        for remark in remarks_on(made)
    ]
    return _broken(shelf, file, (*document.faults, *faults)) if faults or document.faults else made


def _newer(document: Document) -> Fault | None:
    said = document.data.get("format")
    if not isinstance(said, str) or said in ("", str(FORMAT)):
        return None
    line = line_of(document.lines, ("format",))
    if said.isascii() and said.isdigit() and said[0] != "0" and int(said[:9]) > FORMAT:
        message = f"format {said} is newer than what this program reads ({FORMAT})"
        return Fault(line, message, "update the program", ("format",))
    return Fault(line, f"`{said}` is no format; write `format: {FORMAT}`", None, ("format",))


def _broken(shelf: Shelf, file: str, faults: tuple[Fault, ...]) -> Broken:
    for fault in faults:
        shelf.problems.append(told(file, fault.line, fault.path, fault.message, fault.hint))
    return Broken(f"{file}:{min(fault.line for fault in faults)}")
