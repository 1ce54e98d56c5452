"""Measured from rendered pictures against the truth of their geometry.

The contour is scikit-image's at half height between both sides of the edge, in linear light since blur happens there
(here in the test only); from its points our own functions measure with the budget of `edge found`. At least 181 of 200
have to lie inside ± U, 18 of 20 in the normal run (with ± U at 95 % fewer would be one time in 375, and in 13).
Random starts are 0, 1, 2 ...
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from skimage import measure

from portal.measure.edge import EdgeFound, find_edge
from portal.measure.fit import fit_circle, fit_line
from portal.model.result import Measurement
from portal.model.scalars import Frame
from render import scene_random
from tests.measure.drawing import a_scale, a_shape, measured

Array = npt.NDArray[np.float64]
SKIMAGE: Any = measure
"""scikit-image's functions have no types."""
Truth = dict[str, Any]


@lru_cache(maxsize=256)
def scene(kind: str, seed: int, size: tuple[int, int]) -> tuple[Array, Truth]:
    """Linear light 0 to 1 of a rendered picture (IEC 61966-2-1, the curve of sRGB), and its truth."""
    picture, truth = scene_random(kind, seed, size)
    level = picture.mean(axis=2) / 255
    return np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4), truth


def scale_of(truth: Truth) -> Any:
    """The picture's true scale, known as well as a good graticule tells it."""
    x, y = truth["scale_um"]["x"], truth["scale_um"]["y"]
    return a_scale(x, y, u_x_um=0.001 * x, u_y_um=0.001 * y)


def contours(light: Array, level: float) -> list[Array]:
    """Contours at a level, (x, y) with the first pixel's corner at (0, 0)."""
    return [found[:, ::-1] + 0.5 for found in SKIMAGE.find_contours(light, level)]


def nearest(lines: list[Array], spot: Array) -> Array:
    """The contour that passes nearest to a spot."""
    return min(lines, key=lambda line: float(np.hypot(*(line - spot).T).min()))


def on_contour(line: Array, spots: Array) -> Array:
    """The contour's point nearest to each spot, as an edge finder snaps to it."""
    return np.array([line[np.hypot(*(line - spot).T).argmin()] for spot in spots])


def around(light: Array, spot: Array, reach: int = 3) -> float:
    """The median light around a spot."""
    x, y = (int(v) for v in spot)
    return float(np.median(light[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1]))


def farthest_from_base(light: Array, defect: Truth, tip: Array, inwards: Array, scale: Any) -> tuple[Array, Array]:
    """Base points on the sound edge's contour, and the contour's point farthest from them near the tip.

    `inwards` points from the sound edge into the piece, 12 px long; each edge has half the step in light of its own.
    """
    base = np.array(defect["base"])
    beyond = tip - (np.array(defect["base"]).mean(axis=0) - tip) * 0.35
    dark = around(light, np.clip(beyond, 4, np.array(light.shape[::-1]) - 5))
    sound = float(np.median([around(light, spot + inwards) for spot in base]))
    snapped = on_contour(nearest(contours(light, (dark + sound) / 2), base[0]), base)
    top = around(light, tip + inwards * 0.6, reach=1)
    line = nearest(contours(light, (dark + top) / 2), tip)
    size = np.array([scale.x_um, scale.y_um])
    fit = fit_circle(snapped * size) if "edge_radius_um" in defect else fit_line(snapped * size)
    assert fit is not None
    close = line[np.hypot(*(line - tip).T) < 25]
    away = np.abs([fit.distance(point * size) for point in close])
    return snapped, close[away.argmax()][None, :]


def height(seed: int) -> tuple[Measurement, float]:
    """A gate vestige in profile."""
    light, truth = scene("gate-profile", seed, (320, 240))
    defect, scale = truth["defects"][0], scale_of(truth)
    base, tip = farthest_from_base(light, defect, np.array(defect["peak"]), np.array([0.0, 12.0]), scale)
    shape = a_shape("height", "base-and-point", base=base, point=tip, edge="torn", drawn="edge found")
    return measured(shape, scale=scale, frame=Frame(320, 240)), defect["height_um"]


def projection(seed: int) -> tuple[Measurement, float]:
    """Flash on the rim or in the bore, face-on; the sound edge is walked so that the flash is on the left."""
    light, truth = scene("flash", seed, (520, 360))
    defect, scale = truth["defects"][0], scale_of(truth)
    tip = np.array(defect["farthest"])
    back = np.array(defect["hidden_edge"])
    foot = back[np.hypot(*(back - tip).T).argmin()]
    inwards = 12 * (foot - tip) / max(float(np.hypot(*(foot - tip))), 1.0)
    base, farthest = farthest_from_base(light, defect, tip, inwards, scale)
    walked = base[::-1] if defect["where"] == "bore edge" else base
    shape = a_shape("projection", "base-and-point", base=walked, point=farthest, edge="torn", drawn="edge found")
    return measured(shape, scale=scale, frame=Frame(520, 360)), defect["projection_um"]


def speck(seed: int, characteristic: str, key: str) -> tuple[Measurement, float]:
    """A black speck, face-on."""
    light, truth = scene("speck", seed, (160, 160))
    defect, scale = truth["defects"][0], scale_of(truth)
    centre, outline = np.array(defect["centre"]), np.array(defect["outline"])
    beyond = centre + (outline - centre) * 1.5 + 6 * np.sign(outline - centre)
    outer = float(np.median([around(light, spot, reach=1) for spot in np.clip(beyond, 2, 157)]))
    inner = around(light, centre)
    line = nearest(contours(light, (inner + outer) / 2), outline[0])[:-1]
    shape = a_shape(characteristic, "outline", points=line, drawn="edge found")
    return measured(shape, scale=scale, frame=Frame(160, 160)), defect[key]


CASES: dict[str, Callable[[int], tuple[Measurement, float]]] = {
    "height of a gate vestige": height,
    "projection of flash": projection,
    "area of a speck": lambda seed: speck(seed, "area", "area_um2"),
    "equivalent diameter of a speck": lambda seed: speck(seed, "equivalent-diameter", "equivalent_diameter_um"),
    "length of a speck": lambda seed: speck(seed, "length", "largest_calliper_um"),
    "width of a speck": lambda seed: speck(seed, "width", "smallest_calliper_um"),
}
"""By name: a measurement and its true value, by seed."""


def inside(name: str, runs: int) -> int:
    """How many of the first pictures are measured to within ± U."""
    found = (CASES[name](seed) for seed in range(runs))
    return sum(abs(measurement.value - truth) <= measurement.expanded for measurement, truth in found)


@pytest.mark.parametrize("name", CASES)
def test_most_rendered_pictures_are_measured_to_within_their_uncertainty(name: str) -> None:
    """18 of the first 20."""
    assert inside(name, 20) >= 18


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_200_rendered_pictures_are_measured_to_within_their_uncertainty(name: str) -> None:
    """181 of 200."""
    assert inside(name, 200) >= 181


def blur_um(seed: int) -> float:
    """Sigma of a speck's edge, the median of what the finder reads round it."""
    light, truth = scene("speck", seed, (160, 160))
    centre, outline = np.array(truth["defects"][0]["centre"]), np.array(truth["defects"][0]["outline"])
    found = [
        find_edge(light, (float(x), float(y)), (float(x - centre[0]), float(y - centre[1]))) for x, y in outline[::8]
    ]
    pixel = float(truth["scale_um"]["x"])
    return pixel * float(np.median([each.blur_px for each in found if isinstance(each, EdgeFound)]))


def test_a_specks_diameter_is_nearer_to_its_truth_corrected_for_blur() -> None:
    """A blurred disc's half height lies inside its edge by sigma squared / 2 R (the reference's value for discs).

    40 specks. The renderer sharpens as cameras do, which takes part of that away again: 0.24 px too small on average,
    0.14 px too large against the corrected truth (tried beforehand). Both lie far inside ± U.
    """
    raw, corrected = [], []
    for seed in range(40):
        measurement, truth = speck(seed, "equivalent-diameter", "equivalent_diameter_um")
        raw.append(measurement.value - truth)
        corrected.append(measurement.value - (truth - 2 * blur_um(seed) ** 2 / truth))
    assert np.mean(raw) < 0
    assert abs(np.mean(corrected)) < abs(np.mean(raw))
