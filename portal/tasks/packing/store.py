"""Writes the folder in which a sent review keeps everything it showed."""

import hashlib
from itertools import chain
from pathlib import Path

from portal.log.files import create_folder
from portal.model.event import check_code
from portal.model.slug import slug
from portal.problem import PortalError
from portal.tasks.packing.freeze import Frozen
from portal.tasks.packing.shelf import PICTURES, SHOWN


def store(root: Path, part: str, trial: str, frozen: Frozen) -> Path:
    """Keep what a review shows, whole or not at all; its folder. One that is there already stays as it is."""
    reviews = root / "parts" / part / "reviews"
    folder = reviews / f"{slug(trial)}-{check_code(frozen.digest)}"
    if (folder / SHOWN).is_file():
        _refuse_another(folder, frozen)
        return folder
    pictures = ((f"{PICTURES}/{sha}{path.suffix}", path.read_bytes()) for sha, path in frozen.pictures.items())
    create_folder(folder, chain(pictures, [(SHOWN, frozen.content)]))
    return folder


def _refuse_another(folder: Path, frozen: Frozen) -> None:
    if hashlib.sha256((folder / SHOWN).read_bytes()).hexdigest() != frozen.digest:
        raise PortalError(
            f"{folder / SHOWN} was changed, or two reviews share a check code",
            hint="put the folder back from a copy; `portal log --verify` says what is wrong",
        )
