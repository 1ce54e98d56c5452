"""Finding edges, held against what an error function says (its 50 % point is the edge).

Edges are a blurred step at each pixel's middle; discs and lines as in the reference: a disc's 50 % radius is smaller by
about sigma²/(2R), a line narrower than 2.5 sigma never shows its own brightness.
"""

import math

import numpy as np
import numpy.typing as npt
import pytest

from portal.measure.edge import EdgeFound, NoEdge, erf, find_edge, linear

Array = npt.NDArray[np.float64]
ERF = np.frompyfunc(math.erf, 1, 1)
SIZE = 48


def rise(far: Array, blur: float) -> Array:
    """A step of 1, blurred."""
    return np.asarray(0.5 * (1 + np.asarray(ERF(far / (math.sqrt(2) * blur)), dtype=np.float64)))


def far_from_edge(angle: float, through: tuple[float, float]) -> Array:
    """How far each pixel's middle lies beyond a straight edge whose normal has that angle."""
    y, x = np.mgrid[0:SIZE, 0:SIZE] + 0.5
    return np.asarray((x - through[0]) * math.cos(angle) + (y - through[1]) * math.sin(angle))


def found(light: Array, at: tuple[float, float], angle: float) -> EdgeFound:
    """The edge, which there has to be."""
    edge = find_edge(light, at, (math.cos(angle), math.sin(angle)))
    assert isinstance(edge, EdgeFound), edge
    return edge


def off(edge: EdgeFound, angle: float, through: tuple[float, float]) -> float:
    """How far beyond the true edge it was found."""
    return (edge.x - through[0]) * math.cos(angle) + (edge.y - through[1]) * math.sin(angle)


def hold(blur: float, runs: int) -> None:
    """Noise of 2 %: bias below 0.02 px, and the scatter is what the stated uncertainty says."""
    rng = np.random.default_rng(int(blur * 10))
    misses, stated = [], []
    for _ in range(runs):
        angle = rng.uniform(0, 2 * math.pi)
        through = (24 + rng.uniform(-0.5, 0.5), 24 + rng.uniform(-0.5, 0.5))
        light = 0.2 + 0.6 * rise(far_from_edge(angle, through), blur)
        light = light + rng.normal(0, 0.02 * 0.6, light.shape)
        start = rng.uniform(-3, 3)
        at = (through[0] + start * math.cos(angle), through[1] + start * math.sin(angle))
        edge = found(light, at, angle)
        misses.append(off(edge, angle, through))
        stated.append(edge.u_px)
    scatter, said = float(np.std(misses, ddof=1)), float(np.sqrt(np.mean(np.square(stated))))
    assert abs(np.mean(misses)) < 0.02
    assert scatter < 1.25 * said
    assert math.hypot(scatter, 0.02) > 0.75 * said
    assert np.mean(np.abs(misses) <= 2 * np.array(stated)) > 0.9


@pytest.mark.parametrize("blur", [0.5, 1.0, 2.0, 4.0])
def test_bias_and_scatter_at_any_angle(blur: float) -> None:
    """A tenth of the long proof."""
    hold(blur, 60)


@pytest.mark.long
@pytest.mark.parametrize("blur", [0.5, 0.7, 1.0, 1.4, 2.0, 2.8, 4.0])
def test_bias_and_scatter_of_six_hundred_edges(blur: float) -> None:
    """At every blur between."""
    hold(blur, 600)


def test_looking_askew_still_finds_the_crossing() -> None:
    """Along a way 25 degrees off the edge's normal, the point is where that way meets the edge."""
    light = rise(far_from_edge(0.0, (24.3, 24.0)), 1.5)
    way = math.radians(25)
    edge = found(light, (22.0, 20.0), way)
    assert edge.x == pytest.approx(24.3, abs=0.02)
    assert edge.y == pytest.approx(20.0 + (24.3 - 22.0) * math.tan(way), abs=0.02)


@pytest.mark.parametrize(("radius", "shift"), [(5, -0.101733), (10, -0.050210)])
def test_a_disc_reads_small_as_the_reference_says(radius: float, shift: float) -> None:
    """Sigma 1: the 50 % point of a blurred disc lies inside; rendered ten times finer."""
    fine = 10
    y, x = (np.mgrid[0 : SIZE * fine, 0 : SIZE * fine] + 0.5) / fine
    disc = (np.hypot(x - 24, y - 24) <= radius).astype(np.float64)
    reach = np.arange(-5 * fine, 5 * fine + 1) / fine
    kernel = np.exp(-0.5 * reach**2)
    kernel /= kernel.sum()
    for axis in (0, 1):
        disc = np.apply_along_axis(lambda row: np.convolve(row, kernel, mode="same"), axis, disc)
    light = disc[fine // 2 :: fine, fine // 2 :: fine]
    centre = 24 - 0.5 / fine
    edge = find_edge(light, (centre + radius, centre), (1.0, 0.0))
    assert isinstance(edge, EdgeFound)
    assert edge.x - centre - radius == pytest.approx(shift, abs=0.03)
    assert edge.x - centre < radius


@pytest.mark.parametrize(("width", "is_had"), [(1.5, False), (2.0, False), (3.0, True), (6.0, True)])
def test_a_line_narrower_than_two_and_a_half_sigma_is_refused(width: float, is_had: bool) -> None:
    """And a wider one is found where it is, though both its sides are in reach."""
    blur, rng = 1.2, np.random.default_rng(3)
    far = far_from_edge(0.0, (24.0, 24.0))
    light = 0.2 + 0.6 * (rise(far, blur) - rise(far - width * blur, blur)) + rng.normal(0, 0.003, far.shape)
    edge = find_edge(light, (23.5, 24.0), (1.0, 0.0))
    if is_had:
        assert isinstance(edge, EdgeFound)
        assert edge.x == pytest.approx(24.0, abs=0.05)
    else:
        assert edge == NoEdge("narrow")


def test_where_there_is_no_edge_none_is_found() -> None:
    """Noise alone, an even ramp's middle of nowhere, a point outside."""
    rng = np.random.default_rng(5)
    assert isinstance(find_edge(rng.normal(0.5, 0.02, (SIZE, SIZE)), (24, 24), (1, 0)), NoEdge)
    assert isinstance(find_edge(np.full((SIZE, SIZE), 0.5), (24, 24), (1, 0)), NoEdge)
    assert find_edge(np.zeros((SIZE, SIZE)), (-30, 24), (1, 0)) == NoEdge("outside")


def test_the_middle_of_light_is_not_the_middle_of_code() -> None:
    """IEC 61966-2-1: code 188 is half the light of 255, code 128 is a fifth of it."""
    values = linear(np.array([[0, 128, 188, 255]], dtype=np.uint8))[0]
    assert values == pytest.approx([0, 0.2158605, 0.5028865, 1], abs=1e-6)


def test_the_error_function_of_many_numbers_is_the_exact_one() -> None:
    """Within 1.5e-7, as Abramowitz and Stegun state for 7.1.26."""
    x = np.linspace(-6, 6, 2401)
    assert np.abs(erf(x) - np.array([math.erf(each) for each in x])).max() < 1.6e-7
