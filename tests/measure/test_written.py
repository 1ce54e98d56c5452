"""What a file states of its scale: when it counts, what it is held against, when it is refused."""

from dataclasses import replace

import pytest

from portal.measure.written import by_file, held_by_file
from portal.model.picture import PictureFacts, WrittenScale
from portal.model.result import FromFile, NoScale, Scale
from portal.model.say import Figure
from portal.model.scalars import Frame
from tests.measure.drawing import a_scale

HALF = WrittenScale(0.5, 0.25, "ome")
FACTS = PictureFacts("a" * 64, Frame(60, 40), written=(HALF,))


def test_it_is_the_scale_with_two_percent_of_doubt() -> None:
    """Rectangular: 2 % over root 3."""
    found = by_file(FACTS)
    assert isinstance(found, Scale) and found.given_by == FromFile("ome")
    assert (found.x_um, found.y_um) == (0.5, 0.25)
    assert (found.u_x_um, found.u_y_um) == pytest.approx((0.005774, 0.002887), rel=1e-3)


def test_it_belongs_to_the_stored_frame() -> None:
    """A picture that is turned upright exchanges x and y."""
    found = by_file(replace(FACTS, orientation=6))
    assert isinstance(found, Scale) and (found.x_um, found.y_um) == (0.25, 0.5)


def test_a_file_that_states_none_gives_none() -> None:
    """Neither a scale nor a reason of its own."""
    assert by_file(replace(FACTS, written=())) is None


@pytest.mark.parametrize(("other", "right"), [(0.5004, True), (0.51, False), (5080.0, False)])
def test_a_file_that_says_two_things_is_refused_with_both(other: float, right: bool) -> None:
    """Up to what is rounded in a fraction."""
    found = by_file(replace(FACTS, written=(WrittenScale(0.5, 0.5, "text"), WrittenScale(other, other, "tag"))))
    if right:
        assert isinstance(found, Scale)
    else:
        assert isinstance(found, NoScale) and found.reason.key == "measure.no-scale.file-contradicts"
        assert found.reason.get("one") == Figure("0.5 µm")
        assert found.reason.get("other") == Figure(f"{other:.4g} µm")


@pytest.mark.parametrize(("file", "right"), [(1.0, True), (1.019, True), (0.981, True), (1.021, False), (0.979, False)])
def test_a_calibration_that_the_file_denies_is_refused_with_both(file: float, right: bool) -> None:
    """Two percent, in x or in y."""
    scale = replace(a_scale(), x_um=1.0, y_um=1.0)
    for written in (WrittenScale(file, 1.0, "text"), WrittenScale(1.0, file, "text")):
        found = held_by_file(scale, replace(FACTS, written=(written,)))
        if right:
            assert isinstance(found, Scale) and found.held[-1].key == "measure.held.file"
        else:
            assert isinstance(found, NoScale) and found.reason.key == "measure.no-scale.file"
            assert found.reason.get("ours") == Figure("1 µm") and found.reason.get("file") != Figure("1 µm")


def test_without_a_statement_a_scale_is_as_it_was() -> None:
    """Nothing is held against it."""
    assert held_by_file(a_scale(), replace(FACTS, written=())) == a_scale()
