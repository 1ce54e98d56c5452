"""A review as a zip: what goes out, the record of what was shown, and the full pictures under their own names."""

import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from portal.model.digest import canonical
from portal.model.shown import Shown
from portal.model.slug import slug
from portal.tasks.packing.shelf import SHOWN

_READ_ME = """This is a review of the looks of a moulded part.

Extract the whole zip into a folder before you open anything in it.

{files}
pictures/    the pictures in full, named as in the shop's catalogue
shown.json   the record of everything the review showed; its SHA-256 begins with the review's check code

Answer in the HTML file, or by a reply to the mail: a line for each question, its number and a letter.
"""


@dataclass(frozen=True)
class Carrier:
    """A file that goes out."""

    name: str
    content: bytes


def zipped(shown: Shown, pictures: Mapping[str, Path], carriers: Sequence[Carrier], *, at: datetime) -> bytes:
    """The zip; its entries carry the time of sending, so that the same review gives the same bytes."""
    buffer = io.BytesIO()
    stamp = (max(at.year, 1980), at.month, at.day, at.hour, at.minute, at.second - at.second % 2)
    with zipfile.ZipFile(buffer, "w") as archive:
        listed = "\n".join(f"{each.name}" for each in carriers)
        _add(archive, "READ-ME-FIRST.txt", _READ_ME.format(files=listed).encode("utf-8"), stamp)
        for each in carriers:
            _add(archive, each.name, each.content, stamp)
        _add(archive, SHOWN, canonical(shown.plain()), stamp)
        taken: set[str] = set()
        for picture in shown.pictures:
            if picture.whole:
                name = _free(f"{slug(Path(picture.name).stem)}.jpg", taken)
                _add(archive, f"pictures/{name}", pictures[picture.sha256].read_bytes(), stamp)
    return buffer.getvalue()


def _free(name: str, taken: set[str]) -> str:
    """A name that no other picture has, whatever the case of its letters."""
    stem, number = name.removesuffix(".jpg"), 2
    while name.casefold() in taken:
        name, number = f"{stem}-{number}.jpg", number + 1
    taken.add(name.casefold())
    return name


def _add(archive: zipfile.ZipFile, name: str, content: bytes, stamp: tuple[int, int, int, int, int, int]) -> None:
    entry = zipfile.ZipInfo(name, date_time=stamp)
    entry.external_attr = 0o644 << 16
    entry.create_system = 3
    entry.compress_type = zipfile.ZIP_STORED if name.endswith(".jpg") else zipfile.ZIP_DEFLATED
    archive.writestr(entry, content)
