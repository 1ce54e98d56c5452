"""The term of parallax against the textbook relation of a stereo microscope's two paths."""

import math

import pytest

from tests.measure.drawing import a_scale, a_shape, measured, term


@pytest.mark.parametrize(
    ("height_um", "between_deg", "magnification", "image_um"),
    [(10.0, 10, 500.0, 871.557427), (25.0, 6, 200.0, 523.359562), (100.0, 14, 50.0, 1218.693434)],
)
def test_one_path_shifts_by_half_the_parallax_of_both(
    height_um: float, between_deg: float, magnification: float, image_um: float
) -> None:
    """z = p / (2 M sin(theta / 2)): the parallax p in the image between two paths that are theta apart.

    One path leans by theta / 2, and shifts by p / (2 M) across its own axis; laid out on the stage that is
    longer by 1 / cos(theta / 2).
    """
    lean = between_deg / 2
    shape = a_shape("length", "line", points=[(100, 100), (300, 100)], height_difference=f"{height_um} um")
    found = measured(shape, scale=a_scale(tilt_deg=lean))
    expected = image_um / (2 * magnification) / math.cos(math.radians(lean))
    assert term(found, "parallax") == pytest.approx(expected, rel=1e-6)
