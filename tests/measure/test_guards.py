"""What has to measure right before anything else on a picture is measured."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.measure.guards import LastCheck, checked, graticule, guarded, own_facts
from portal.measure.known import against, by_reference
from portal.model.part import KnownFeature
from portal.model.picture import PictureFacts
from portal.model.result import NoScale, Scale
from portal.model.say import Quantity, Say
from portal.model.scalars import Frame, read_length, read_points
from portal.model.scope import ScaleCheck
from portal.model.tag import Tag
from tests.measure.drawing import a_scale

FRAME = Frame(4000, 3000)
PIN = KnownFeature.model_validate({"name": "pin", "length": "0.500 mm", "u": "0.002 mm"})
NONE = NoScale(Say.of("measure.no-scale.no-scope-named"))


def a_tag(**fields: Any) -> Tag:
    """A tag with what was drawn of known size, and no finding."""
    plain = {"format": "1", "picture": {"sha256": "a" * 64, "stored": "4000x3000"}, "file": "tags/a.png.yaml"}
    return Tag.model_validate(plain | fields)


def pin(pixels: float) -> Tag:
    """The pin drawn so many pixels long."""
    return a_tag(known={"feature": "pin", "points": f"100,100 {100 + pixels},100"})


def reason(found: Scale | NoScale) -> str:
    """The key's last word."""
    assert isinstance(found, NoScale), found
    return found.reason.key.removeprefix("measure.no-scale.")


@pytest.mark.parametrize(("pixels", "right"), [(500, True), (504, True), (512, False), (488, False)])
def test_a_known_feature_has_to_measure_right(pixels: int, right: bool) -> None:
    """At 1 µm per pixel the pin of 0.500 mm ± 0.004 mm is 500 px; drawing it by hand adds about 4 µm."""
    found = guarded(a_scale(), pin(pixels), PIN, FRAME)
    if right:
        assert isinstance(found, Scale)
    else:
        assert reason(found) == "known-feature"


def test_a_failed_feature_is_told_with_both_lengths() -> None:
    """Measured and drawn, each with its ±."""
    found = guarded(a_scale(), pin(512), PIN, FRAME)
    assert isinstance(found, NoScale)
    measured, stated = found.reason.get("measured"), found.reason.get("stated")
    assert isinstance(measured, Quantity) and isinstance(stated, Quantity)
    assert measured.um == pytest.approx(512) and 3 < (measured.expanded_um or 0) < 6
    assert (stated.um, stated.expanded_um) == (500.0, 4.0)


@given(st.floats(0.2, 5.0), st.floats(-0.02, 0.02))
def test_a_finer_picture_finds_what_a_coarse_one_does(pitch: float, off: float) -> None:
    """The verdict of a feature drawn exactly depends on its error and its ±, which grows with the pixels."""
    long_px = 500 * (1 + off) / pitch
    drawn = against(read_points(f"0,0 {long_px:.6f},0"), PIN.length, a_scale(pitch), known_u_um=2.0)
    assert drawn is not None
    assert drawn.um == pytest.approx(500 * (1 + off), abs=1e-3)
    assert drawn.agrees == (abs(drawn.um - 500) <= 2 * (drawn.u_um**2 + 4.0) ** 0.5)


def test_what_measured_right_is_kept_with_the_scale() -> None:
    """In the order reference, feature, bar; the scale is the same to whoever compares it."""
    bar = {"length": "1 mm", "points": "0,0 1000,0"}
    reference = {"length": "0.5 mm", "u": "1 um", "points": "0,0 500,0"}
    tag = a_tag(known={"feature": "pin", "points": "0,0 500,0"}, burned_in_bar=bar, reference=reference)
    found = guarded(a_scale(), tag, PIN, FRAME)
    assert isinstance(found, Scale) and found == a_scale()
    assert [each.key.rpartition(".")[2] for each in found.held] == ["reference", "known-feature", "bar"]
    alone = guarded(NONE, tag, PIN, FRAME)
    assert isinstance(alone, Scale) and len(alone.held) == 2


def test_a_feature_of_another_name_guards_nothing() -> None:
    """That tag is a problem of its own; the view's feature wasn't drawn."""
    other = a_tag(known={"feature": "bore", "points": "100,100 900,100"})
    assert guarded(a_scale(), other, PIN, FRAME) == a_scale()
    assert guarded(a_scale(), pin(900), None, FRAME) == a_scale()


@pytest.mark.parametrize(("pixels", "right"), [(1000, True), (1020, True), (980, True), (1021, False), (979, False)])
def test_a_burned_in_bar_may_be_two_percent_apart(pixels: int, right: bool) -> None:
    """Over 2 % is a problem; 1 mm is 1000 px at 1 µm per pixel."""
    tag = a_tag(burned_in_bar={"length": "1 mm", "points": f"10,10 {10 + pixels},10"})
    found = guarded(a_scale(), tag, None, FRAME)
    assert isinstance(found, Scale) if right else reason(found) == "bar"


def test_a_bar_gives_no_scale() -> None:
    """It is what the camera program believed."""
    tag = a_tag(burned_in_bar={"length": "1 mm", "points": "10,10 1010,10"})
    assert guarded(NONE, tag, None, FRAME) == NONE


def a_reference(pixels: int) -> Tag:
    """A wire of 0.5 mm, known to 1 µm, so many pixels across, drawn at a slant of 3 to 4."""
    return a_tag(reference={"length": "0.5 mm", "u": "1 um", "points": f"0,0 {pixels * 0.6},{pixels * 0.8}"})


def test_a_reference_gives_that_picture_a_scale() -> None:
    """0.5 mm over 250 px are 2 µm per pixel, as doubtful as the wire and the drawing of it together."""
    found = guarded(NONE, a_reference(250), None, FRAME)
    assert isinstance(found, Scale)
    assert found.x_um == found.y_um == pytest.approx(2.0)
    assert found.given_by == read_length("0.5 mm")
    wire = 2.0 * 1 / 500
    assert wire < found.u_x_um < 0.03
    exact = by_reference(read_points("0,0 150,200"), read_length("0.5 mm"), 0.0)
    assert exact is not None and found.u_x_um**2 == pytest.approx(exact.u_x_um**2 + wire**2)


def test_a_reference_is_held_against_a_calibration() -> None:
    """The calibration rules; a reference that disagrees with it stops measuring."""
    assert guarded(a_scale(), a_reference(500), None, FRAME) == a_scale()
    assert reason(guarded(a_scale(), a_reference(530), None, FRAME)) == "reference"


def test_a_scale_from_a_reference_is_guarded_too() -> None:
    """The bar says 1 mm over 1000 px, the reference makes it 2 mm."""
    tag = a_reference(250).model_copy(
        update={"burned_in_bar": a_tag(burned_in_bar={"length": "1 mm", "points": "0,0 1000,0"}).burned_in_bar}
    )
    assert reason(guarded(NONE, tag, None, FRAME)) == "bar"


@pytest.mark.parametrize(
    "fields",
    [
        {"known": {"feature": "pin", "points": "3900,10 4400,10"}},
        {"reference": {"length": "0.5 mm", "u": "1 um", "points": "0,0 0,3001"}},
        {"burned_in_bar": {"length": "1 mm", "points": "-1,0 999,0"}},
    ],
)
def test_what_is_drawn_beyond_the_picture_guards_nothing_and_measures_nothing(fields: dict[str, Any]) -> None:
    """It wasn't drawn on these pixels."""
    assert reason(guarded(a_scale(), a_tag(**fields), PIN, FRAME)) == "guard-outside"


def test_how_a_picture_was_made_decides_whose_calibration_holds() -> None:
    """None for a telephone; that of the single pictures for a stitched one that kept their pixels."""
    facts = PictureFacts("a" * 64, Frame(9000, 3000), declared=Frame(4000, 3000))
    assert own_facts(a_tag(made="single"), facts) == own_facts(a_tag(made="stacked"), facts) == facts
    phone, stitched = own_facts(a_tag(made="phone"), facts), own_facts(a_tag(made="stitched"), facts)
    assert isinstance(phone, NoScale) and phone.reason.key.endswith("phone")
    assert isinstance(stitched, NoScale) and stitched.reason.key.endswith("stitched")
    native = own_facts(a_tag(made="stitched", native="4000x3000"), facts)
    assert native == replace(facts, stored=Frame(4000, 3000), declared=None)


def a_check(pixels: int) -> ScaleCheck:
    """A graticule of 1 mm, so many pixels long."""
    points = f"0,0 {pixels},0"
    return ScaleCheck.model_validate(
        {"picture": "bench/g.png", "points": points, "length": "1 mm", "at": "2026-03-08T08:00", "by": "k-ammer"}
    )


def test_a_failed_check_stops_measuring_until_the_setting_is_calibrated_again() -> None:
    """Its own day counts, since nobody knows when on that day the zoom moved."""
    found = graticule(a_check(1012), a_scale(), FRAME)
    assert not isinstance(found, NoScale) and not found.agrees
    last = LastCheck(date(2026, 3, 8), found)
    assert reason(checked(a_scale(), last, calibrated=date(2026, 1, 10))) == "check-failed"
    assert reason(checked(a_scale(), last, calibrated=date(2026, 3, 8))) == "check-failed"
    assert checked(a_scale(), last, calibrated=date(2026, 3, 9)) == a_scale()
    assert checked(a_scale(), None, calibrated=date(2026, 1, 10)) == a_scale()
    good = graticule(a_check(1003), a_scale(), FRAME)
    assert not isinstance(good, NoScale) and good.agrees
    assert checked(a_scale(), replace(last, found=good), calibrated=date(2026, 1, 10)) == a_scale()


def test_a_check_drawn_beyond_its_picture_says_nothing() -> None:
    """It is neither good nor failed."""
    found = graticule(a_check(4100), a_scale(), FRAME)
    assert isinstance(found, NoScale) and found.reason.key == "measure.no-scale.guard-outside"
