"""Microscopes with their cameras, settings and calibrations."""

from enum import StrEnum
from typing import Annotated, Literal

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import (
    AngleField,
    Day,
    FindingId,
    FrameField,
    LengthField,
    MomentField,
    PointsField,
    RatioField,
    Text,
    Whole,
    YesNo,
)


class ScopeType(StrEnum):
    """How the microscope is built."""

    COMMON_MAIN_OBJECTIVE = "common main objective"
    GREENOUGH = "Greenough"
    COMPOUND = "compound"
    NONE = "none"


class CameraPath(StrEnum):
    """Which path the camera looks through."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"
    VERTICAL = "vertical"


class Tilt(Record):
    """How far the camera's axis leans from the vertical."""

    angle: AngleField
    u: AngleField
    direction: AngleField | None = None
    """In the stored frame, from x, clockwise."""


class Optics(Record):
    """What the setting is made of."""

    objective: Text
    auxiliary: Text | None = None
    zoom: Text
    click_stop: YesNo
    adapter: Text
    camera: Text
    binning: Text


class Certificate(Record):
    """The artefact's certificate."""

    number: Text
    u: LengthField


class LookedBack(Record):
    """Who went through what was measured before a check or a calibration disagreed."""

    by: Text
    at: MomentField
    note: Text | None = None


class LookedAgain(Record):
    """A finding that somebody looked at again because a check or a calibration disagreed."""

    part: Text
    finding: FindingId
    result: Literal["same", "changed"]
    """`same`: what was measured holds. `changed`: it doesn't, and the finding is measured anew or withdrawn."""
    by: Text
    at: MomentField
    note: Text | None = None


class Calibration(Record):
    """Micrometres per pixel of the stored frame, with standard uncertainties that include the certificate's."""

    id: Text
    frame: FrameField
    x: LengthField
    u_x: LengthField
    y: LengthField
    u_y: LengthField
    artefact: Text
    certificate: Certificate | None = None
    date: Day
    valid_until: Day
    by: Text
    evidence: tuple[Text, ...] = ()
    looked_again: tuple[LookedAgain, ...] = ()
    looked_back: LookedBack | None = None


class ScaleCheck(Record):
    """A picture of the graticule, to see whether the calibration still holds."""

    picture: Text
    points: PointsField
    length: LengthField
    at: MomentField
    by: Text
    looked_again: tuple[LookedAgain, ...] = ()
    looked_back: LookedBack | None = None


class Setting(Record):
    """One setting of a scope: its optics and what it was calibrated to."""

    optics: Optics
    calibrations: tuple[Calibration, ...]
    checks: tuple[ScaleCheck, ...] = ()
    return_u: RatioField | None = None
    """Standard uncertainty of the zoom's return to this setting."""
    distortion: RatioField | None = None
    """Largest difference of the scale over the calibrated field (half-width)."""


class Scope(Record):
    """`scopes/<slug>.yaml`."""

    format: Whole
    type: ScopeType
    camera_path: CameraPath | None = None
    tilt: Tilt | None = None
    working_distance: LengthField | None = None
    settings: dict[str, Setting]
    file_scale: Literal["ignored"] | None = None
    """Written where the camera program puts a scale into its files that isn't to be believed."""
    id: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]

    def path_of(self, picture: str) -> str:
        """Within the catalogue's folder, of a picture that the scope's file names."""
        return f"{self.file.rpartition('/')[0]}/{picture}"

    def without_looking(self) -> "Scope":
        """The same without what was looked at again: it names parts and findings of everybody."""

        def bare(setting: Setting) -> Setting:
            calibrations = tuple(each.model_copy(update={"looked_again": ()}) for each in setting.calibrations)
            checks = tuple(each.model_copy(update={"looked_again": ()}) for each in setting.checks)
            return setting.model_copy(update={"calibrations": calibrations, "checks": checks})

        return self.model_copy(update={"settings": {name: bare(each) for name, each in self.settings.items()}})
