"""Gear, cap and connector: what is called true is what the pixels show, and the written truth is the drawn one."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from render import lens
from render.arrays import F32
from render.bodies import CAMERA, Posed, render_posed
from render.face import Seeds
from render.frame import Frame
from render.marks import Fin, Grain, Line, Stub, walked
from render.others import TAKES
from render.scenes import Scene
from render.shots import SHOTS
from render.solids import GEAR_BORE_UM, TIP_UM, gear, gear_outline, side_radius
from render.takes import Take, take_truth, write_take

HERE = Path(__file__).resolve().parents[1]
SCALE = 2.2


def seen(piece: Posed, middle: tuple[float, float], size: tuple[int, int] = (256, 192)) -> F32:
    """The grey levels of a small picture of a piece, free of noise."""
    frame = Frame(*size, SCALE, SCALE, *middle)
    light = render_posed(frame, piece, low=False, seeds=Seeds(7))
    return np.asarray(lens.expose(light, frame, CAMERA, None).mean(axis=-1), np.float32)


def test_no_two_pictures_share_a_start_or_a_place() -> None:
    """Over the collar's as well."""
    every: tuple[Scene | Take, ...] = (*SHOTS, *TAKES)
    assert len({each.seed for each in every}) == len(every) == len({each.path for each in every})


@pytest.mark.parametrize("take", TAKES[::5], ids=lambda take: take.path.rpartition("/")[2])
def test_the_written_truth_is_that_of_the_shapes(take: Take) -> None:
    """Whoever changes a fault has to write its truth again."""
    kept = json.loads((HERE / "truth" / take.path).with_suffix(".json").read_text(encoding="utf-8"))
    assert kept == json.loads(json.dumps(take_truth(take)))


SMALL = [take for take in TAKES if take.path.endswith(("c1_s06_tooth.jpg", "c2_s10_side.jpg"))]


@pytest.mark.parametrize("take", SMALL, ids=lambda take: take.kind)
def test_a_picture_made_again_is_the_one_in_the_sample(take: Take, tmp_path: Path) -> None:
    """Nobody has to take it on trust that the sample's pictures come from here."""
    write_take(take, tmp_path, tmp_path)
    again, kept = (np.asarray(Image.open(at / take.path).convert("L"), np.int16) for at in (tmp_path, HERE.parent))
    assert float(np.abs(again - kept).mean()) < 0.5


def test_a_pale_particle_covers_its_true_area() -> None:
    """What is brighter than half the contrast, within an eighth."""
    grey = seen(Posed("gear", 1, 0.0, (Grain(0.0, 830.0, 90.0, pale=True),)), (0.0, 830.0))
    half = (float(np.percentile(grey, 99.5)) + float(np.median(grey))) / 2
    part = grey[96 - 45 : 96 + 45, 128 - 45 : 128 + 45]
    area = float((part > half).sum()) * SCALE * SCALE
    assert abs(area / (np.pi * 45.0**2) - 1) < 0.125


def test_the_bore_is_as_wide_as_its_known_feature_says() -> None:
    """Its dark-to-bright edges lie 0.520 mm apart, within two pixels at each of its rounded ends."""
    grey = seen(Posed("gear", 1, 0.0, ()), (0.0, 0.0), (320, 64))
    line = grey[30:34].mean(axis=0)
    inside, outside = float(line[150:170].mean()), float(np.percentile(line, 5))
    bright = np.flatnonzero(line > (inside + outside) / 2)
    assert abs((bright.max() - bright.min() + 1) * SCALE - 2 * GEAR_BORE_UM) < 4 * SCALE


def test_flash_stands_outside_of_its_edge_and_nowhere_else() -> None:
    """Pixels change beside the nose's outline, as far as the fin reaches."""
    edge: Line = ((687.3, 620.0), (635.1, 780.0))
    plain, finned = (seen(Posed("connector-side", 1, 0.0, marks), (690.0, 700.0)) for marks in ((), (Fin(edge, 60.0),)))
    rows, columns = np.nonzero(np.abs(finned - plain) > 12)
    x, y = (columns + 0.5 - 128) * SCALE + 690.0, (rows + 0.5 - 96) * SCALE + 700.0
    out = (x - side_radius(np.asarray(y, np.float64))) * np.cos(np.arctan2(52.2, 160.0))
    assert out.size > 100
    assert out.min() > -12 and 40 < out.max() < 60 + 3 * SCALE


def test_a_stub_reaches_its_true_height() -> None:
    """The crest called true lies that far from the flange."""
    mark = Stub(((1120.0, -360.0), (1120.0, -240.0)), 88.0)
    take = next(each for each in TAKES if mark in each.marks)
    told = take_truth(take)["defects"][take.marks.index(mark)]
    assert told["height_um"] == pytest.approx(mark.height_um, abs=0.05)
    assert float(np.hypot(*np.diff(walked(mark.edge, 2.0), axis=0).T).sum()) == pytest.approx(120.0)


def test_a_gear_has_its_teeth_inside_its_tip_circle() -> None:
    """The outline drawn for the zone is that of the height field."""
    corners = gear_outline()
    assert float(np.hypot(*corners.T).max()) == pytest.approx(TIP_UM)
    x, y = np.asarray(corners.T[:, None], np.float32)
    solid = gear(x, y, 1)
    assert float(np.abs(np.median(solid.edge))) < 6.0
