"""Where a characteristic can be read, against the table in words of the manual's page on measuring."""

import pytest

from portal.model.readable import by_gauge, read_in, shapes_for
from portal.model.terms import Characteristic, SeenAs, ShapeKind

FACE, PROFILE = SeenAs.FACE, SeenAs.PROFILE


@pytest.mark.parametrize("name", ["height", "depth", "step", "thickness"])
def test_what_stands_across_a_surface_is_read_in_profile_only(name: str) -> None:
    """From straight above there is no height."""
    assert read_in(Characteristic(name)) == {PROFILE}


@pytest.mark.parametrize("name", ["projection", "missing-length"])
def test_what_leaves_an_edge_is_read_in_the_plane_that_contains_it(name: str) -> None:
    """Which plane that is, the part's view says."""
    assert read_in(Characteristic(name)) == {PROFILE, FACE}


@pytest.mark.parametrize("name", ["length", "diameter", "area", "perimeter", "count", "spacing"])
def test_what_lies_in_a_surface_is_read_face_on(name: str) -> None:
    """A slanted view shortens it."""
    assert read_in(Characteristic(name)) == {FACE}


def test_every_drawn_characteristic_has_a_shape_and_what_is_counted_has_none() -> None:
    """Count and spacing are made of several findings."""
    assert {each for each in Characteristic if not shapes_for(each)} == {Characteristic.COUNT, Characteristic.SPACING}
    assert shapes_for(Characteristic.HEIGHT) == (ShapeKind.BASE_AND_POINT,)


def test_a_gauge_gives_lengths() -> None:
    """Neither counts nor areas."""
    assert {each for each in Characteristic if not by_gauge(each)} == {"count", "spacing", "area"}
