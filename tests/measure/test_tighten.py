"""Points of a drawn shape on the edges nearby: each along its own way, and none silently."""

import math

import numpy as np
import numpy.typing as npt
import pytest

from portal.measure import assumed
from portal.measure.edge import EdgeFound, find_edge, linear
from portal.measure.tighten import tighten
from portal.model.scalars import read_points
from portal.model.tag import BaseAndPoint, LineShape, OutlineShape, PointShape, RectangleShape
from portal.model.terms import Characteristic, Drawn, Edge

COMMON = {"edge": Edge.SHARP, "drawn": Drawn.BY_HAND}


def blurred(inside: npt.NDArray[np.bool_]) -> npt.NDArray[np.uint8]:
    """Codes (sRGB) of a bright shape on dark ground, given at four times the size, blurred by 1 px."""
    light = inside.astype(np.float64) * 0.7 + 0.05
    kernel = np.exp(-0.5 * (np.arange(-16, 17) / 4) ** 2)
    kernel /= kernel.sum()
    for axis in (0, 1):
        light = np.apply_along_axis(lambda row: np.convolve(row, kernel, mode="same"), axis, light)
    light = light.reshape(light.shape[0] // 4, 4, light.shape[1] // 4, 4).mean(axis=(1, 3))
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(coded * 255), dtype=np.uint8)


@pytest.fixture(scope="module")
def block() -> npt.NDArray[np.uint8]:
    """A block from (40, 30) to (100, 70) in a picture of 140 x 110."""
    y, x = (np.mgrid[0:440, 0:560] + 0.5) / 4
    return blurred((x > 40) & (x < 100) & (y > 30) & (y < 70))


def test_a_lines_ends_go_to_the_edges_along_it(block: npt.NDArray[np.uint8]) -> None:
    """Drawn from within over the block's width; its middle point stays."""
    points = read_points("43.1,50 70,50 97.6,50")
    made = tighten(LineShape(characteristic=Characteristic.LENGTH, shape="line", points=points, **COMMON), block)
    assert isinstance(made.shape, LineShape) and (made.found, made.of) == (2, 2)
    (ax, ay), middle, (bx, by) = made.shape.points.xy
    assert [ax, bx] == pytest.approx([40, 100], abs=0.03)
    assert (ay, by, middle) == (50, 50, (70, 50))
    assert made.shape.drawn is Drawn.EDGE_FOUND and made.u_px == assumed.POINTING_PX[Drawn.EDGE_FOUND]


def test_a_base_goes_to_its_edge_and_the_point_to_the_one_across(block: npt.NDArray[np.uint8]) -> None:
    """All at right angles to the base."""
    shape = BaseAndPoint(
        characteristic=Characteristic.HEIGHT,
        shape="base-and-point",
        base=read_points("50,68 70,68.5 90,71.5"),
        point=read_points("70,33"),
        **COMMON,
    )
    made = tighten(shape, block)
    assert isinstance(made.shape, BaseAndPoint) and made.found == made.of == 4
    assert [y for _, y in made.shape.base.xy] == pytest.approx([70, 70, 70], abs=0.05)
    assert made.shape.point.xy[0][1] == pytest.approx(30, abs=0.05)


def test_an_outline_goes_to_the_disc(block: npt.NDArray[np.uint8]) -> None:
    """Each vertex across the outline."""
    y, x = (np.mgrid[0:400, 0:400] + 0.5) / 4
    disc = blurred(np.hypot(x - 50, y - 50) < 20)
    angles = [2 * math.pi * turn / 12 for turn in range(12)]
    text = " ".join(f"{50 + 22 * math.cos(a):.2f},{50 + 22 * math.sin(a):.2f}" for a in angles)
    shape = OutlineShape(characteristic=Characteristic.AREA, shape="outline", points=read_points(text), **COMMON)
    made = tighten(shape, disc)
    assert isinstance(made.shape, OutlineShape) and made.found == 12
    radii = [math.hypot(x - 50, y - 50) for x, y in made.shape.points.xy]
    assert radii == pytest.approx([20 - 0.025] * 12, abs=0.05)


def test_where_one_end_has_no_edge_the_shape_stays_drawn_by_hand(block: npt.NDArray[np.uint8]) -> None:
    """It says how many were found, and why not all."""
    points = read_points("43,50 70,50")
    made = tighten(LineShape(characteristic=Characteristic.LENGTH, shape="line", points=points, **COMMON), block)
    assert (made.found, made.of) == (1, 2) and made.refused == ("faint",)
    assert made.shape.drawn is Drawn.BY_HAND


def turned_block(angle: float) -> npt.NDArray[np.uint8]:
    """A block of 60 x 40 about (70, 55), turned by an angle in degrees."""
    y, x = (np.mgrid[0:440, 0:560] + 0.5) / 4
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    u, v = (x - 70) * cos + (y - 55) * sin, (y - 55) * cos - (x - 70) * sin
    return blurred((np.abs(u) < 30) & (np.abs(v) < 20))


@pytest.mark.parametrize(("angle", "drawn"), [(0.0, "42,33 97,31 70,72"), (4.0, "41.5,32.5 98,36 66,77")])
def test_a_rectangle_goes_to_its_block_and_turns_with_it(angle: float, drawn: str) -> None:
    """Drawn askew and too small or too large; length, width and turn are the block's."""
    shape = RectangleShape(characteristic=Characteristic.LENGTH, shape="rectangle", points=read_points(drawn), **COMMON)
    made = tighten(shape, turned_block(angle))
    assert isinstance(made.shape, RectangleShape) and (made.found, made.of) == (8, 8)
    (ax, ay), (bx, by), (cx, cy) = made.shape.points.xy
    length = math.hypot(bx - ax, by - ay)
    width = ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / length
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(angle, abs=0.1)
    assert length == pytest.approx(60, abs=0.08) and width == pytest.approx(40, abs=0.08)
    assert made.shape.drawn is Drawn.EDGE_FOUND


def test_a_rectangles_side_without_an_edge_stays_and_it_is_by_hand(block: npt.NDArray[np.uint8]) -> None:
    """The block's right side lies 20 px further out than it can be looked for."""
    shape = RectangleShape(
        characteristic=Characteristic.WIDTH, shape="rectangle", points=read_points("42,32 75,32 60,69"), **COMMON
    )
    made = tighten(shape, block)
    assert isinstance(made.shape, RectangleShape) and (made.found, made.of) == (6, 8)
    (ax, ay), (bx, _), (_, cy) = made.shape.points.xy
    assert [ax, ay, cy] == pytest.approx([40, 30, 70], abs=0.1)
    assert bx == pytest.approx(75, abs=0.05) and made.shape.drawn is Drawn.BY_HAND


def test_shapes_whose_points_lie_on_no_edge_are_left_alone(block: npt.NDArray[np.uint8]) -> None:
    """A point, and a rectangle without a width."""
    for shape in (
        RectangleShape(
            characteristic=Characteristic.AREA, shape="rectangle", points=read_points("40,30 100,30 70,30"), **COMMON
        ),
        PointShape(characteristic=Characteristic.COUNT, shape="point", points=read_points("40,30"), **COMMON),
    ):
        made = tighten(shape, block)
        assert made.shape == shape and made.refused == ("shape",)


def test_a_long_outline_is_found_as_each_of_its_points_alone() -> None:
    """All are fitted at once; the same points come out one by one."""
    y, x = (np.mgrid[0:800, 0:800] + 0.5) / 4
    disc = blurred(np.hypot(x - 100, y - 100) < 60)
    angles = [2 * math.pi * turn / 90 for turn in range(90)]
    points = [(100 + 61.5 * math.cos(a), 100 + 61.5 * math.sin(a)) for a in angles]
    text = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    shape = OutlineShape(characteristic=Characteristic.AREA, shape="outline", points=read_points(text), **COMMON)
    made = tighten(shape, disc)
    assert isinstance(made.shape, OutlineShape) and made.found == 90
    light = linear(disc)
    for place in range(0, 90, 9):
        (ax, ay), at, (bx, by) = (shape.points.xy[(place + step) % 90] for step in (-1, 0, 1))
        alone = find_edge(light, at, (ay - by, bx - ax))
        assert isinstance(alone, EdgeFound)
        assert made.shape.points.xy[place] == pytest.approx((alone.x, alone.y), abs=1e-4)
