"""The folder in which a sent review keeps everything it showed."""

import hashlib
import secrets
import shutil
from pathlib import Path

from portal.log.files import create, make_folder, settle
from portal.model.digest import digest
from portal.model.event import check_code
from portal.model.shown import Shown
from portal.model.slug import slug
from portal.problem import PortalError
from portal.tasks.packing.freeze import SHOWN, Frozen

PICTURES, CARRIERS = "pictures", "carriers"
HALF = ".half-"


def store(root: Path, part: str, trial: str, frozen: Frozen) -> Path:
    """Keep what a review shows, whole or not at all; its folder. One that is there already stays as it is."""
    reviews = root / "parts" / part / "reviews"
    folder = reviews / f"{slug(trial)}-{check_code(frozen.digest)}"
    if (folder / SHOWN).is_file():
        _refuse_another(folder, frozen)
        return folder
    make_folder(reviews)
    half = reviews / f"{HALF}{check_code(frozen.digest)}-{secrets.token_hex(4)}"
    try:
        (half / PICTURES).mkdir(parents=True)
        for sha256, path in frozen.pictures.items():
            create(half / PICTURES / f"{sha256}{path.suffix}", path.read_bytes())
        create(half / SHOWN, frozen.content)
        settle(half / PICTURES)
        settle(half)
        half.rename(folder)
        settle(reviews)
    finally:
        shutil.rmtree(half, ignore_errors=True)
    return folder


def _refuse_another(folder: Path, frozen: Frozen) -> None:
    if hashlib.sha256((folder / SHOWN).read_bytes()).hexdigest() != frozen.digest:
        raise PortalError(
            f"{folder / SHOWN} was changed, or two reviews share a check code",
            hint="put the folder back from a copy; `portal log --verify` says what is wrong",
        )


def read_store(folder: Path) -> Shown:
    """What a sent review showed; refused where it can't be read as it was sent."""
    try:
        content = (folder / SHOWN).read_bytes()
        shown = Shown.model_validate_json(content)
    except (OSError, ValueError) as error:
        raise PortalError(f"{folder / SHOWN} can't be read: {error}", hint="put it back from a copy") from None
    if not folder.name.endswith(f"-{check_code(digest(shown.plain()))}"):
        raise PortalError(f"{folder / SHOWN} was changed since it was sent", hint="put it back from a copy")
    return shown


def pictures_of(folder: Path, shown: Shown) -> dict[str, Path]:
    """The kept pictures by their SHA-256; refused where one is missing."""
    found = {each.sha256: folder / PICTURES / f"{each.sha256}.jpg" for each in shown.pictures}
    for path in found.values():
        if not path.is_file():
            raise PortalError(f"{path} isn't there: the review can't be drawn", hint="put it back from a copy")
    return found
