"""What can be read in which view, and what no change of pixels, place or orientation may alter."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.measure.scale import upright_direction
from portal.model.readable import GIVES
from portal.model.result import NoScale, Scale
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.model.terms import Characteristic, Made, SeenAs, ShapeKind
from tests.measure.drawing import a_scale, a_shape, measured, refused, term

Points = list[tuple[float, float]]
Move = Callable[[float, float], tuple[float, float]]
BASE: Points = [(600, 700), (700, 705), (800, 700), (900, 702)]
BLOB: Points = [(600, 600), (700, 580), (820, 640), (840, 720), (760, 800), (640, 790), (570, 700)]
DRAWN: dict[ShapeKind, dict[str, Points]] = {
    ShapeKind.LINE: {"points": [(600, 600), (700, 650), (690, 760)]},
    ShapeKind.BASE_AND_POINT: {"base": BASE, "point": [(740, 600), (760, 640)]},
    ShapeKind.RECTANGLE: {"points": BLOB[:3]},
    ShapeKind.ELLIPSE: {"points": BLOB[:3]},
    ShapeKind.OUTLINE: {"points": BLOB},
}
MEASURED = [(kind, each) for kind in DRAWN for each in sorted(GIVES[kind])]
ALL_MEASURED = pytest.mark.parametrize(("kind", "characteristic"), MEASURED)


def values(kind: ShapeKind, characteristic: str, move: Move, scale: Scale) -> tuple[float, float]:
    """Value and U of the shape with each of its points moved."""
    fields = {name: [move(x, y) for x, y in points] for name, points in DRAWN[kind].items()}
    found = measured(a_shape(characteristic, kind, **fields), scale=scale)
    return found.value, found.expanded


def same(x: float, y: float) -> tuple[float, float]:
    return (x, y)


@ALL_MEASURED
def test_doubling_the_pixel_size_doubles_lengths_and_quadruples_areas(kind: ShapeKind, characteristic: str) -> None:
    """Value and U alike: a sharp edge is as many pixels wide."""
    power = 2 if characteristic == "area" else 1
    one, two = values(kind, characteristic, same, a_scale(1.0)), values(kind, characteristic, same, a_scale(2.0))
    assert two == pytest.approx((2**power * one[0], 2**power * one[1]))


@ALL_MEASURED
@given(dx=st.floats(-500, 500), dy=st.floats(-500, 500))
@settings(max_examples=10, deadline=None)
def test_shifting_changes_nothing(kind: ShapeKind, characteristic: str, dx: float, dy: float) -> None:
    """Where in the picture a shape lies doesn't matter."""
    scale = a_scale(1.0, 1.3, u_x_um=0.01, u_y_um=0.02)
    moved = values(kind, characteristic, lambda x, y: (x + dx, y + dy), scale)
    assert moved == pytest.approx(values(kind, characteristic, same, scale), rel=1e-6, abs=1e-6)


@ALL_MEASURED
def test_turning_by_90_degrees_swaps_the_axes(kind: ShapeKind, characteristic: str) -> None:
    """Points turned and pixel sizes swapped: the same value and U."""
    upright = a_scale(1.0, 1.3, u_x_um=0.01, u_y_um=0.02)
    lying = a_scale(1.3, 1.0, u_x_um=0.02, u_y_um=0.01)
    turned = values(kind, characteristic, lambda x, y: (2000 - y, x), lying)
    assert turned == pytest.approx(values(kind, characteristic, same, upright), rel=1e-6)


STORED = Frame(4000, 3000)
TO_UPRIGHT: dict[int, Move] = {
    1: lambda x, y: (x, y),
    2: lambda x, y: (4000 - x, y),
    3: lambda x, y: (4000 - x, 3000 - y),
    4: lambda x, y: (x, 3000 - y),
    5: lambda x, y: (y, x),
    6: lambda x, y: (3000 - y, x),
    7: lambda x, y: (3000 - y, 4000 - x),
    8: lambda x, y: (y, 4000 - x),
}


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_same_line_measures_the_same_in_every_orientation(orientation: int) -> None:
    """Unequal x and y and a tilt along the stored picture's 20 degrees: length, scale and parallax stay."""
    x, y = (0.9, 1.2) if orientation < 5 else (1.2, 0.9)
    u_x, u_y = (0.002, 0.005) if orientation < 5 else (0.005, 0.002)
    direction = upright_direction(20.0, orientation)
    scale = a_scale(x, y, u_x_um=u_x, u_y_um=u_y, tilt_deg=6.0, tilt_direction=direction)
    points = [TO_UPRIGHT[orientation](px, py) for px, py in ((1000.0, 900.0), (1300.0, 1400.0))]
    frame = STORED if orientation < 5 else STORED.turned
    found = measured(a_shape("length", "line", points=points), scale=scale, zone_depth_um=50.0, frame=frame)
    assert found.value == pytest.approx(math.hypot(300 * 0.9, 500 * 1.2))
    along = (270 * math.cos(math.radians(20)) + 600 * math.sin(math.radians(20))) / found.value
    assert term(found, "parallax") == pytest.approx(50 * math.tan(math.radians(6)) * along / math.sqrt(3))
    assert term(found, "scale") == pytest.approx((300 * 270 * 0.002 + 500 * 600 * 0.005) / found.value)


_OUT = ("projection", "missing-length")
_FLAT = ("length", "run", "width", "string-length", "diameter", "equivalent-diameter", "area", "perimeter")
SEEN_IN = {"profile": ("height", "depth", "step", "thickness", *_OUT), "face": (*_OUT, *_FLAT), "oblique": ()}


@ALL_MEASURED
@pytest.mark.parametrize("seen_as", list(SeenAs))
def test_view_and_zone_decide_what_can_be_read(kind: ShapeKind, characteristic: str, seen_as: SeenAs) -> None:
    """A height face-on, an area in profile, anything at a slant: refused, with what, where and how it's seen."""
    shape = a_shape(characteristic, kind, **DRAWN[kind])
    if characteristic in SEEN_IN[seen_as]:
        assert measured(shape, seen_as=seen_as).characteristic == characteristic
        return
    assert refused(shape, seen_as=seen_as).reason == Say.of(
        "measure.not-in-this-view",
        characteristic=Say.of(f"characteristic.{characteristic}"),
        zone="B",
        how=Say.of(f"measure.seen-as.{seen_as}"),
    )


def test_every_characteristic_is_either_counted_or_read_in_some_view() -> None:
    """The closed list is covered."""
    assert set(SEEN_IN["profile"]) | set(SEEN_IN["face"]) | {"count", "spacing"} == {
        each.value for each in Characteristic
    }


@pytest.mark.parametrize(
    ("kind", "characteristic"), [(kind, each) for kind in DRAWN for each in Characteristic if each not in GIVES[kind]]
)
def test_a_shape_refuses_what_it_cannot_give(kind: ShapeKind, characteristic: Characteristic) -> None:
    """A line has no area, an outline no height, and none a count; the sentence names both."""
    assert refused(a_shape(characteristic, kind, **DRAWN[kind])).reason.key == "measure.shape-gives-no"


def test_a_point_has_no_size() -> None:
    """It can only be counted."""
    assert refused(a_shape("diameter", "point", points=[(1, 1)])).reason.key == "measure.shape-gives-no"


def test_without_a_view_nothing_is_read() -> None:
    """A picture whose tag names no view, and a view that doesn't show the zone."""
    line = a_shape("length", "line", points=[(1, 1), (9, 9)])
    assert refused(line, view=None, sees=False).reason.key == "measure.no-view"
    assert refused(line, sees=False).reason.key == "measure.zone-not-shown"


def test_without_a_scale_nothing_is_measured() -> None:
    """The reason is the scale's own."""
    why = Say.of("measure.no-scale.replaced")
    assert refused(a_shape("length", "line", points=[(1, 1), (9, 9)]), scale=NoScale(why)).reason == why


def test_a_height_is_not_read_from_a_stacked_picture() -> None:
    """Stacking shifts what lies at another height; an extent in the surface may be read."""
    height = a_shape("height", "base-and-point", **DRAWN[ShapeKind.BASE_AND_POINT])
    assert refused(height, made=Made.STACKED).reason.key == "measure.stacked"
    assert measured(a_shape("length", "line", points=[(1, 1), (9, 9)]), made=Made.STACKED).value > 0


@pytest.mark.parametrize("points", [[(-0.01, 5), (50, 5)], [(5, 5), (100.01, 5)], [(5, 5), (5, 80.5)]])
def test_outside_the_picture_nothing_is_measured(points: Points) -> None:
    """The calibrated field ends with the frame; the reason counts the points."""
    line = a_shape("length", "line", points=points)
    assert refused(line, frame=Frame(100, 80)).reason == Say.of("measure.outside", n=1)


def test_the_border_of_the_picture_belongs_to_it() -> None:
    """From corner to corner of the frame."""
    assert measured(a_shape("length", "line", points=[(0, 0), (100, 0)]), frame=Frame(100, 80)).value == 100.0


def test_a_measurement_says_where_it_comes_from() -> None:
    """Picture, shape, how it was drawn, its scale and its place among the finding's shapes."""
    found = measured(a_shape("length", "line", points=[(0, 0), (100, 0)], drawn="edge found"))
    assert (found.how, found.shape, found.drawn, found.index) == ("shape", "line", "edge found", 0)
    assert found.picture is not None and found.scale is not None
