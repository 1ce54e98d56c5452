"""A review as a zip: what goes out, the record of what was shown, and the full pictures under their own names."""

import hashlib
import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from portal.model.digest import canonical
from portal.model.shown import Shown
from portal.model.slug import slug
from portal.problem import PortalError
from portal.site.redrawn import speaker_of
from portal.tasks.packing.shelf import SHOWN

_PACKED = (".jpg", ".mp4", ".webm", ".mkv")
"""Endings of what doesn't become smaller."""


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
        name, text = _read_me(shown, carriers)
        _add(archive, name, text.encode("utf-8"), stamp)
        for each in carriers:
            _add(archive, each.name, each.content, stamp)
        _add(archive, SHOWN, canonical(shown.plain()), stamp)
        taken: set[str] = set()
        for picture in shown.pictures:
            if picture.whole:
                name = _free(f"{slug(Path(picture.name).stem)}.jpg", taken)
                _add(archive, f"pictures/{name}", pictures[picture.sha256].read_bytes(), stamp)
        for movie in shown.movies or ():
            if movie.sha256 and movie.file:
                _add(archive, movie.file, _unchanged(pictures[movie.sha256], movie.sha256), stamp)
    return buffer.getvalue()


def _read_me(shown: Shown, carriers: Sequence[Carrier]) -> tuple[str, str]:
    """The file to be read first: its name and its text, in the words of the review."""
    speaker = speaker_of(shown)
    has_movies = any(each.sha256 for each in shown.movies or ())
    movies = (("movies/", "zip.movies"),) if has_movies else ()
    told = (("pictures/", "zip.pictures"), *movies, (SHOWN, "zip.record"))
    lines = [
        speaker.text("zip.what"),
        "",
        speaker.text("zip.extract"),
        "",
        *(each.name for each in carriers),
        *(f"{name:<12} {speaker.text(key)}" for name, key in told),
        "",
        speaker.text("zip.answer"),
    ]
    return speaker.text("zip.read_me"), "\n".join(lines) + "\n"


def _free(name: str, taken: set[str]) -> str:
    """A name that no other picture has, whatever the case of its letters."""
    stem, number = name.removesuffix(".jpg"), 2
    while name.casefold() in taken:
        name, number = f"{stem}-{number}.jpg", number + 1
    taken.add(name.casefold())
    return name


def _unchanged(path: Path, sha256: str) -> bytes:
    content = path.read_bytes()
    if hashlib.sha256(content).hexdigest() != sha256:
        raise PortalError(f"{path}: isn't the movie that the review showed: its bytes were changed")
    return content


def _add(archive: zipfile.ZipFile, name: str, content: bytes, stamp: tuple[int, int, int, int, int, int]) -> None:
    entry = zipfile.ZipInfo(name, date_time=stamp)
    entry.external_attr = 0o644 << 16
    entry.create_system = 3
    entry.compress_type = zipfile.ZIP_STORED if name.endswith(_PACKED) else zipfile.ZIP_DEFLATED
    archive.writestr(entry, content)
