"""The defects that can be asked for, each with its exact shape in micrometres."""

from dataclasses import dataclass

import numpy as np

from .arrays import F64

BORE_UM = 700.0
SEAT_UM = 800.0
RIM_UM = 1200.0
TAB_END_UM = 1500.0
TAB_HALF_UM = 200.0
TALL_UM = 1100.0


@dataclass(frozen=True)
class Vestige:
    """A torn gate stub standing on the wall, its highest silhouette point `height_um` above it."""

    height_um: float
    base_um: float = 236.0
    top_um: float = 188.0
    lean: float = 0.0
    along_um: float = 0.0
    string: bool = False


@dataclass(frozen=True)
class Pluck:
    """A hollow torn out of the wall beside the gate, seen as a notch in the silhouette."""

    depth_um: float
    width_um: float = 150.0
    along_um: float = 150.0


@dataclass(frozen=True)
class Flash:
    """A thin ragged fin on the bore's edge or the outer rim, reaching `reach_um` beyond it."""

    where: str
    reach_um: float
    arc_um: float
    angle_deg: float

    @property
    def edge_um(self) -> float:
        """Radius of the sound edge."""
        return BORE_UM if self.where == "bore" else RIM_UM


@dataclass(frozen=True)
class Speck:
    """A dark particle under the surface, of the same area as a disc of `diameter_um`."""

    diameter_um: float
    radius_um: float
    angle_deg: float


@dataclass(frozen=True)
class Sink:
    """A soft dimple of the face, `depth_um` at its middle, an ellipse at half depth."""

    depth_um: float
    radius_um: float
    angle_deg: float
    long_um: float = 360.0
    wide_um: float = 250.0


@dataclass(frozen=True)
class ShortShot:
    """A corner of the tab that was not filled; `side` +1 is clockwise of the tab's middle."""

    missing_um: float
    side: int = 1


@dataclass(frozen=True)
class Splay:
    """Silvery streaks fanning from the gate at 6 o'clock."""

    half_angle_deg: float
    reach_um: float
    strength: float = 1.0


Defect = Vestige | Pluck | Flash | Speck | Sink | ShortShot | Splay


def _ragged(rng: np.random.Generator, at: F64, parts: tuple[tuple[float, float], ...]) -> F64:
    """Sum smooth random lines of the given grain (µm) and spread."""
    total = np.zeros_like(at)
    pitch = float(at[1] - at[0])
    for grain, spread in parts:
        sigma = grain / pitch / 3.0
        span = np.arange(-int(3 * sigma) - 1, int(3 * sigma) + 2)
        wide = rng.standard_normal(at.size + span.size - 1)
        line = np.convolve(wide, np.exp(-0.5 * (span / sigma) ** 2), mode="valid")
        total += spread * line / np.sqrt(np.sqrt(np.pi) * sigma)
    return total


def flash_profile(flash: Flash, rng: np.random.Generator) -> tuple[F64, F64]:
    """Return positions along the edge (µm, 0 in the middle) and the fin's reach there."""
    half = flash.arc_um / 2.0
    s = np.arange(-half, half + 0.25, 0.5)
    humps = 0.9 + _ragged(rng, s, ((130.0, 0.20), (48.0, 0.10), (19.0, 0.045)))
    t = np.clip((half - np.abs(s)) / (0.42 * half), 0.0, 1.0)
    reach = np.clip(humps, 0.15, None) * np.sqrt(t * (2.0 - t)) * (0.8 + 0.2 * t)
    return s, reach * (flash.reach_um / float(reach.max()))


def speck_outline(speck: Speck, rng: np.random.Generator, *, corners: int = 720) -> tuple[F64, F64]:
    """Return angles and radii (µm) of a slightly irregular outline of exactly the stated area."""
    a = np.linspace(0.0, 2 * np.pi, corners, endpoint=False)
    r = np.ones_like(a)
    for k, size in ((2, 0.13), (3, 0.09), (4, 0.05), (5, 0.045), (7, 0.03), (9, 0.02)):
        r += size * rng.normal(0.0, 0.8) * np.cos(k * a + rng.uniform(0, 2 * np.pi))
    r = np.clip(r, 0.45, 1.6)
    wide = np.sqrt(4.0 * polygon_area(np.stack([r * np.cos(a), r * np.sin(a)], axis=1)) / np.pi)
    return a, r * (speck.diameter_um / wide)


def polygon_area(points: F64) -> float:
    """Return the area of a closed polygon."""
    x, y = points[:, 0], points[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0)


def callipers(points: F64) -> tuple[float, float]:
    """Return the largest and the smallest calliper width of a set of points."""
    angle = np.linspace(0.0, np.pi, 1440, endpoint=False)
    reach = points @ np.stack([np.cos(angle), np.sin(angle)])
    widths = reach.max(axis=0) - reach.min(axis=0)
    return float(widths.max()), float(widths.min())


def torn_tops(vestige: Vestige, rng: np.random.Generator) -> tuple[F64, F64, F64]:
    """Return positions across the stub and the heights of its front lip and of its back lip."""
    half = vestige.base_um / 2.0 + 20.0
    u = np.arange(-half, half + 0.1, 0.2)
    rough = 0.040 * vestige.height_um + 3.5
    slant = rng.uniform(-0.16, 0.16)
    crown = -0.0010 * (u - rng.uniform(-30, 30)) ** 2
    back = crown + slant * u + rough * _ragged(rng, u, ((110.0, 1.0), (42.0, 0.55), (17.0, 0.22)))
    front = (
        0.5 * back
        - 0.20 * vestige.height_um
        + rough * _ragged(rng, u, ((85.0, 1.0), (30.0, 0.6), (12.0, 0.25)))
    )
    inside = np.abs(u) < vestige.top_um / 2.0 - 8.0
    back = back - back[inside].max() + vestige.height_um
    front = np.minimum(front + vestige.height_um, back - 4.0)
    back = np.minimum(np.clip(back, 0.4 * vestige.height_um, None), vestige.height_um)
    return u, np.clip(front, 0.35 * vestige.height_um, None), back


def half_width(vestige: Vestige, v: F64) -> F64:
    """Return the stub's half width at a height above the wall, its foot rounded."""
    part = np.clip(v / vestige.height_um, 0.0, 1.0)
    straight = vestige.base_um / 2.0 + (vestige.top_um - vestige.base_um) / 2.0 * part
    foot = np.clip(1.0 - np.clip(v, 0.0, None) / 26.0, 0.0, 1.0)
    return np.asarray(straight + 22.0 * foot**2.4, dtype=np.float64)


def notch(pluck: Pluck, rng: np.random.Generator) -> tuple[F64, F64]:
    """Return positions along the wall and how deep the silhouette lies there."""
    half = pluck.width_um / 2.0
    u = np.arange(-half, half + 0.25, 0.5)
    skew = np.sign(u) * np.abs(u / half) ** np.where(u < 0, 1.5, 0.85)
    t = np.clip(1.0 - skew**2, 0.0, 1.0)
    ragged = 1.0 + _ragged(rng, u, ((64.0, 0.20), (26.0, 0.11), (11.0, 0.05)))
    depth = t**0.8 * np.clip(ragged, 0.3, None)
    return u + pluck.along_um, depth * (pluck.depth_um / float(depth.max()))
