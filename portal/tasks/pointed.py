"""A picture that somebody names, and a spot on it to which somebody points."""

from portal.model.picture import Picture, PictureFacts
from portal.model.scalars import read_points
from portal.problem import PortalError, did_you_mean
from portal.tasks.opened import Opened


def picture_of(opened: Opened, wanted: str) -> tuple[str, Picture]:
    """A picture of the part by its path in the catalogue or its own name, with its trial."""
    catalogue = opened.gathered.catalogue
    known = [
        (f"{mould.id}/{trial.id}", picture)
        for mould, trial in catalogue.trials_of(opened.part.id)
        for picture in trial.pictures
        if catalogue.part_of(mould, picture.tag.cavity if picture.tag else None) in (opened.part.id, None)
    ]
    found = [(trial, picture) for trial, picture in known if wanted in (picture.file, picture.name)]
    if len(found) > 1:
        which = ", ".join(f"`{picture.file}`" for _, picture in found)
        raise PortalError(f"`{wanted}` is more than one picture", hint=f"name one: {which}", code=2)
    if not found:
        hint = did_you_mean(wanted, [picture.name for _, picture in known])
        raise PortalError(f"no trial of {opened.part.id} has a picture `{wanted}`", hint=hint, code=2)
    return found[0]


def spot_of(opened: Opened, picture: Picture, text: str) -> str:
    """A spot on a picture as a log holds it; refused where it is none, or lies outside."""
    try:
        ((x, y),) = read_points(text.replace(" ", "")).xy
    except ValueError:
        raise PortalError(f"`{text}` is no spot", hint="write x,y in pixels, as `1203,844`", code=2) from None
    facts = opened.gathered.facts.get(picture.file)
    if not isinstance(facts, PictureFacts):
        raise PortalError(f"{picture.name} can't be shown, so that nobody would see the spot", hint="mend the picture")
    if not (0 <= x <= facts.upright.width and 0 <= y <= facts.upright.height):
        raise PortalError(f"{text} is outside {picture.name}, which is {facts.upright} upright", code=2)
    return f"{x:g},{y:g}"
