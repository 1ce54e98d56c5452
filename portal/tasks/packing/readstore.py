"""What sent reviews showed, read where it is kept."""

from pathlib import Path

from portal.model.clock import day_in, zone_of
from portal.model.digest import digest
from portal.model.event import Logged, check_code
from portal.model.says import ReviewSent
from portal.model.shown import Sent, Shown
from portal.problem import PortalError
from portal.tasks.packing.shelf import PICTURES, SHOWN


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


def sent_of(logged: Logged, heads: tuple[str, ...], *, time_zone: str | None) -> Sent:
    """What sending added, from the event that says so; its day in that time zone."""
    says = logged.event.says
    if not isinstance(says, ReviewSent):
        raise TypeError("only a review that was sent has carriers")
    return Sent(
        digest=says.digest,
        number=says.number,
        event=logged.hash,
        heads=heads,
        sent_on=day_in(logged.event.at, zone_of(time_zone)).isoformat(),
        by=logged.event.by.name,
        to=tuple(each.name for each in says.to),
    )


def kept_names(shown: Shown) -> dict[str, str]:
    """The names of the kept pictures and movies within the store, by their SHA-256."""
    pictures = {each.sha256: f"{each.sha256}.jpg" for each in shown.pictures}
    movies = {each.sha256: each.kept for each in shown.movies or () if each.sha256 and each.kept}
    return {sha: f"{PICTURES}/{name}" for sha, name in {**pictures, **movies}.items()}


def pictures_of(folder: Path, shown: Shown) -> dict[str, Path]:
    """The kept pictures and movies by their SHA-256; refused where one is missing."""
    found = {sha: folder / name for sha, name in kept_names(shown).items()}
    for path in found.values():
        if not path.is_file():
            raise PortalError(f"{path} isn't there: the review can't be drawn", hint="put it back from a copy")
    return found
