"""Points of a drawn shape on the edges nearby: each along its own way, and none silently."""

import math

import numpy as np
import numpy.typing as npt
import pytest

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
    assert made.shape.drawn is Drawn.EDGE_FOUND and made.u_px < 0.1


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


def test_shapes_whose_points_lie_on_no_edge_are_left_alone(block: npt.NDArray[np.uint8]) -> None:
    """A rectangle's corners, a point."""
    for shape in (
        RectangleShape(
            characteristic=Characteristic.AREA, shape="rectangle", points=read_points("40,30 100,30 70,70"), **COMMON
        ),
        PointShape(characteristic=Characteristic.COUNT, shape="point", points=read_points("40,30"), **COMMON),
    ):
        made = tighten(shape, block)
        assert made.shape == shape and made.refused == ("shape",)
