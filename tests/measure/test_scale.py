"""Which calibration a picture gets, and the reason where it gets none."""

import math
from datetime import date
from typing import Any

import pytest

from portal.measure.scale import find_scale, upright_direction
from portal.model.picture import PictureFacts
from portal.model.result import Calibrated, NoScale, Scale
from portal.model.scalars import Frame
from portal.model.scope import Scope
from portal.model.tag import TaggedPicture

SHA, OTHER = "a" * 64, "b" * 64
DAY = date(2026, 3, 4)
OPTICS = {"objective": "1x", "zoom": "2", "click_stop": "true", "adapter": "0.5x", "camera": "12 MP", "binning": "1"}


def calibration(id_: str = "C-1", **changes: str) -> dict[str, str]:
    plain = {
        "id": id_,
        "frame": "4000x3000",
        "x": "0.90 um",
        "u_x": "0.001 um",
        "y": "0.95 um",
        "u_y": "0.002 um",
        "artefact": "graticule 3",
        "date": "2026-01-10",
        "valid_until": "2026-07-10",
        "by": "k-ammer",
    }
    return {**plain, **changes}


def scope(*calibrations: dict[str, str], tilt: bool = True) -> Scope:
    fields: dict[str, Any] = {
        "format": "1",
        "type": "Greenough",
        "working_distance": "80 mm",
        "id": "stereo-1",
        "file": "scopes/stereo-1.yaml",
        "settings": {
            "zoom-2": {"optics": OPTICS, "calibrations": calibrations, "return_u": "0.2 %", "distortion": "0.5 %"}
        },
    }
    if tilt:
        fields["tilt"] = {"angle": "6 deg", "u": "1 deg", "direction": "30 deg"}
    return Scope.model_validate(fields)


def facts(width: int = 4000, height: int = 3000, **more: Any) -> PictureFacts:
    return PictureFacts(sha256=SHA, stored=Frame(width, height), **more)


def find(
    *calibrations: dict[str, str],
    scope_id: str | None = "stereo-1",
    setting: str | None = "zoom-2",
    picture: PictureFacts | None = None,
    day: date = DAY,
    sha: str = SHA,
    broken: dict[tuple[str, str], str] | None = None,
) -> Scale | NoScale:
    tagged = TaggedPicture(sha256=sha, stored=Frame(4000, 3000))
    scopes = {"stereo-1": scope(*(calibrations or (calibration(),)))}
    return find_scale(scope_id, setting, picture or facts(), scopes, day=day, broken=broken or {}, tag_picture=tagged)


def by(calibration: str) -> Calibrated:
    return Calibrated("stereo-1", "zoom-2", calibration)


def reason(found: Scale | NoScale) -> str:
    assert isinstance(found, NoScale), found
    return found.reason.key.removeprefix("measure.no-scale.")


def scale(found: Scale | NoScale) -> Scale:
    assert isinstance(found, Scale), found
    return found


def test_a_picture_gets_the_calibration_of_its_scope_setting_and_frame() -> None:
    """x and y with their uncertainties, and what the scope says of itself."""
    found = scale(find())
    assert (found.x_um, found.u_x_um, found.y_um, found.u_y_um) == (0.90, 0.001, 0.95, 0.002)
    assert found.given_by == by("C-1")
    assert (found.return_u, found.distortion, found.working_distance_um) == (0.002, 0.005, 80_000.0)
    assert (found.tilt_deg, found.tilt_u_deg) == (6.0, 1.0)
    assert found.tilt_direction == pytest.approx(30.0)


@pytest.mark.parametrize("day", [date(2026, 1, 10), date(2026, 7, 10)])
def test_both_ends_of_its_time_belong_to_a_calibration(day: date) -> None:
    """Valid from its date until `valid_until`, both days included."""
    assert scale(find(day=day)).given_by == by("C-1")


@pytest.mark.parametrize(("day", "key"), [(date(2026, 1, 9), "not-yet"), (date(2026, 7, 11), "expired")])
def test_one_day_before_or_after_there_is_no_scale(day: date, key: str) -> None:
    """The reason names the calibration and its day."""
    found = find(day=day)
    assert reason(found) == key
    assert isinstance(found, NoScale) and found.reason.get("calibration") == "C-1"
    named = found.reason.get("until" if key == "expired" else "date")
    assert named == (date(2026, 7, 10) if key == "expired" else date(2026, 1, 10))


def test_the_latest_of_several_calibrations_wins() -> None:
    """Whichever order they are listed in; one that is later than the picture doesn't count."""
    later = calibration("C-2", date="2026-02-01", x="0.91 um")
    future = calibration("C-3", date="2026-05-01", x="0.92 um")
    assert scale(find(later, calibration(), future)).given_by == by("C-2")
    assert scale(find(future, calibration(), later)).given_by == by("C-2")


def test_a_picture_replaced_since_it_was_tagged_has_no_scale() -> None:
    """Other bytes than those tagged come before any other reason."""
    assert reason(find(sha=OTHER, scope_id=None)) == "replaced"


@pytest.mark.parametrize(
    ("scope_id", "setting", "key"),
    [
        (None, "zoom-2", "no-scope-named"),
        ("stereo-9", "zoom-2", "scope-unknown"),
        ("stereo-1", None, "no-setting-named"),
        ("stereo-1", "zoom-9", "setting-unknown"),
    ],
)
def test_a_tag_has_to_name_a_scope_and_its_setting(scope_id: str | None, setting: str | None, key: str) -> None:
    """A magnification alone is no scale, and nothing is guessed."""
    assert reason(find(scope_id=scope_id, setting=setting)) == key


def test_a_scope_that_cannot_be_read_is_named_with_its_line() -> None:
    """The record's own problem is not repeated as another one."""
    found = find(broken={("scope", "stereo-1"): "scopes/stereo-1.yaml:7"})
    assert reason(found) == "scope-broken"
    assert isinstance(found, NoScale) and found.reason.get("where") == "scopes/stereo-1.yaml:7"


def test_a_setting_that_was_never_calibrated_gives_no_scale() -> None:
    """An empty list of calibrations has its own reason."""
    empty = {"stereo-1": scope()}
    found = find_scale("stereo-1", "zoom-2", facts(), empty, day=DAY, broken={}, tag_picture=None)
    assert reason(found) == "never-calibrated"


def test_a_frame_stored_turned_has_to_be_calibrated_too() -> None:
    """3000x4000 where 4000x3000 was calibrated: which axis is which isn't known."""
    assert reason(find(picture=facts(3000, 4000))) == "turned"
    both = (calibration(), calibration("C-9", frame="3000x4000"))
    assert scale(find(*both, picture=facts(3000, 4000))).given_by == by("C-9")


@pytest.mark.parametrize("size", [(2000, 1500), (1024, 768), (1023, 767), (1500, 2000)])
def test_a_smaller_picture_of_the_same_shape_looks_like_a_resized_copy(size: tuple[int, int]) -> None:
    """To the pixel that resizing rounds, turned or not."""
    assert reason(find(picture=facts(*size))) == "other-size"


def test_another_shape_of_frame_was_never_calibrated() -> None:
    """A cropped frame isn't scaled from another one."""
    assert reason(find(picture=facts(1000, 1000))) == "other-frame"


def test_a_picture_that_says_it_was_larger_has_no_scale() -> None:
    """Even where its size now happens to be a calibrated one."""
    assert reason(find(picture=facts(declared=Frame(8000, 6000)))) == "resized"


def test_a_picture_turned_without_loss_still_has_a_scale() -> None:
    """Exif that kept the sizes from before the turn says nothing of a resize."""
    assert scale(find(picture=facts(declared=Frame(3000, 4000)))).given_by == by("C-1")


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_scale_is_upright_in_every_orientation(orientation: int) -> None:
    """Orientations 5 to 8 lay the stored x along the upright y."""
    found = scale(find(picture=facts(orientation=orientation)))
    swapped = orientation >= 5
    assert (found.x_um, found.y_um) == ((0.95, 0.90) if swapped else (0.90, 0.95))
    assert (found.u_x_um, found.u_y_um) == ((0.002, 0.001) if swapped else (0.001, 0.002))


UPRIGHT = {
    1: [[10, 20, 30], [40, 50, 60]],
    2: [[30, 20, 10], [60, 50, 40]],
    3: [[60, 50, 40], [30, 20, 10]],
    4: [[40, 50, 60], [10, 20, 30]],
    5: [[10, 40], [20, 50], [30, 60]],
    6: [[40, 10], [50, 20], [60, 30]],
    7: [[60, 30], [50, 20], [40, 10]],
    8: [[30, 60], [20, 50], [10, 40]],
}
"""What each orientation makes of [[10, 20, 30], [40, 50, 60]]; Exif tag 0x0112, as Pillow turns it."""


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize(("direction", "start", "end"), [(0, 10, 30), (90, 10, 40), (180, 60, 40), (270, 50, 20)])
def test_the_tilt_is_carried_along_with_the_pixels(orientation: int, direction: int, start: int, end: int) -> None:
    """A step from one pixel to another in the stored picture points the same way as in the upright one."""
    where = {v: (x, y) for y, row in enumerate(UPRIGHT[orientation]) for x, v in enumerate(row)}
    (x0, y0), (x1, y1) = where[start], where[end]
    expected = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 360
    assert upright_direction(direction, orientation) == pytest.approx(expected)


def test_a_scope_without_tilt_says_nothing_of_it() -> None:
    """Unknown stays unknown."""
    scopes = {"stereo-1": scope(calibration(), tilt=False)}
    found = scale(find_scale("stereo-1", "zoom-2", facts(), scopes, day=DAY, broken={}, tag_picture=None))
    assert (found.tilt_deg, found.tilt_direction) == (None, None)
