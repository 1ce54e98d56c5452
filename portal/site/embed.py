"""Pictures of a store as addresses that hold them, together within a limit."""

import os
from base64 import b64encode
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from portal.model.shown import Shown, ShownPicture
from portal.pictures.smaller import smaller
from portal.problem import PortalError

_HEAD = "data:image/jpeg;base64,"
MOST, MOST_SMALL = 6_400_000, 2_400_000
"""Bytes that all pictures of a file may take as text, so that the file passes common limits of mail programs (10 MB
with what else is attached, and a small one anywhere). Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Step:
    part: int
    """The longest side of a part of a picture, in pixels."""
    whole: int
    quality: int


_MOST_AT_ONCE = 4
"""Pictures that are made smaller at once: one of 24 megapixels takes about 100 MB."""
_LEAST_PER_PIXEL = 0.04
"""Bytes; a smooth picture of quality 80 takes at least about so many (tried on the sample's pictures)."""

_STEPS = (
    _Step(1600, 1400, 88),
    _Step(1400, 1200, 82),
    _Step(1200, 1000, 78),
    _Step(1000, 860, 74),
    _Step(800, 720, 70),
    _Step(640, 560, 64),
    _Step(480, 440, 56),
)


def embedded(shown: Shown, pictures: Mapping[str, Path], *, most: int) -> dict[str, str]:
    """A `data:` address for each picture by its SHA-256: as kept where they fit, else as small as they must be."""
    found = fitting(shown.pictures, pictures, most=most * 3 // 4 - len(shown.pictures) * len(_HEAD))
    return {sha: _HEAD + b64encode(content).decode("ascii") for sha, content in found.items()}


def fitting(wanted: Sequence[ShownPicture], pictures: Mapping[str, Path], *, most: int) -> dict[str, bytes]:
    """The bytes of kept pictures by SHA-256: as kept where they fit together, else as small as they must be.

    PortalError where one of them is missing or was changed.
    """
    kept = {each.sha256: _read(each.sha256, pictures) for each in wanted}
    found = kept
    for step in _STEPS:
        if sum(map(len, found.values())) <= most:
            break
        if step is not _STEPS[-1] and sum(_least(each, step, kept) for each in wanted) > most:
            continue
        found = _smaller(wanted, step, kept)
    return found


def _smaller(wanted: Sequence[ShownPicture], step: _Step, kept: Mapping[str, bytes]) -> dict[str, bytes]:
    """Each picture at that step, several at a time: while one is decoded and coded, the interpreter isn't needed."""

    def made(each: ShownPicture) -> bytes:
        longest = step.whole if each.whole else step.part
        return smaller(kept[each.sha256], longest=longest, quality=step.quality)

    with ThreadPoolExecutor(min(os.cpu_count() or 1, _MOST_AT_ONCE)) as pool:
        return dict(zip((each.sha256 for each in wanted), pool.map(made, wanted), strict=True))


def _least(picture: ShownPicture, step: _Step, kept: Mapping[str, bytes]) -> float:
    """Fewer bytes than the picture surely takes at that step, so that a step in vain isn't tried."""
    longest = step.whole if picture.whole else step.part
    share = min(1.0, longest / max(picture.width, picture.height))
    return min(len(kept[picture.sha256]), picture.width * picture.height * share**2 * _LEAST_PER_PIXEL)


def _read(sha: str, pictures: Mapping[str, Path]) -> bytes:
    path = pictures.get(sha)
    if path is None:
        raise PortalError(f"a picture that the review shows isn't kept: {sha}.jpg")
    try:
        content = path.read_bytes()
    except OSError as error:
        raise PortalError(f"{path}: can't be read: {error.strerror or error}") from None
    if sha256(content).hexdigest() != sha:
        raise PortalError(f"{path}: isn't the picture that the review showed: its bytes were changed")
    return content
