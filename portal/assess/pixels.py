"""What is read from pixels themselves, for the rooms above: edges near drawn points, divisions of a graticule."""

from portal.measure.calibrate import PixelSize, pixel_size
from portal.measure.distortion import Distortion, distortion
from portal.measure.graticule import Graticule, NoGraticule, read_graticule
from portal.measure.tighten import Codes, Tightened, tighten

__all__ = [
    "Codes",
    "Distortion",
    "Graticule",
    "NoGraticule",
    "PixelSize",
    "Tightened",
    "distortion",
    "pixel_size",
    "read_graticule",
    "tighten",
]
