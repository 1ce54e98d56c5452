"""Pictures of a stage micrometer as files: read to their divisions, or refused with the reason."""

from pathlib import Path

import numpy as np
import numpy.typing as npt

from portal.assess.pixels import Graticule, NoGraticule, read_graticule
from portal.model.picture import PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures.facts import read_data, read_facts
from portal.pictures.upright import upright
from portal.problem import PortalError

WHY = {
    "even": "brightness changes in no direction more than in another",
    "no-divisions": "no divisions at equal distances stand out",
    "few": "there are fewer than six marks that can be read",
    "uneven": "its marks aren't at equal distances",
}


class NotOne(PortalError):
    """A picture of something else; `key` is why, a key of the message catalogue below `graticule.`."""

    def __init__(self, name: str, key: str) -> None:
        super().__init__(f"{name} is no picture of a graticule: {WHY[key]}")
        self.name = name
        self.key = key


class Turned(PortalError):
    """A picture that has to be turned to be seen upright."""

    def __init__(self, name: str) -> None:
        hint = "a calibration belongs to the pixels as the camera stores them: take the picture without turning it"
        super().__init__(f"{name} says that it has to be turned to be seen upright", hint=hint)
        self.name = name


def read_picture(picture: Path) -> tuple[Frame, Graticule]:
    """The stored frame and the divisions of a picture; PortalError where it isn't one of a graticule."""
    facts = read_facts(picture)
    if isinstance(facts, PictureUnreadable):
        raise PortalError(f"{picture.name} can't be read: {facts.reason}", hint=facts.hint)
    if facts.orientation != 1:
        raise Turned(picture.name)
    grey: npt.NDArray[np.uint8] = np.asarray(upright(read_data(picture), facts).image.convert("L"))
    found = read_graticule(grey)
    if isinstance(found, NoGraticule):
        raise NotOne(picture.name, found.key)
    return facts.stored, found
