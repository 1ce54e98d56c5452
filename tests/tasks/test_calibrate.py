"""Calibrating by pictures of a stage micrometer: told, and written into the scope's file with its evidence."""

from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from portal.catalog import read
from portal.model.scalars import read_length
from portal.problem import PortalError
from portal.tasks.calibrate import Into, calibrate, write
from tests.measure.graticules import rendered
from tests.tasks.small import small_catalogue


def picture(
    path: Path,
    division: float,
    *,
    across: bool = False,
    size: tuple[int, int] = (500, 700),
    bent: float = 0.0,
    beside: float = 0.0,
) -> Path:
    """A picture of a graticule; `across` is turned by 90 degrees."""
    rng = np.random.default_rng(int(division))
    light = rendered(rng, division, size=size[::-1] if across else size, bent=bent, beside=beside)
    grey = np.clip(np.rint(light * 230), 0, 255).astype(np.uint8)
    Image.fromarray(np.rot90(grey).copy() if across else grey).save(path)
    return path


PITCH, U = read_length("10 um"), read_length("0.2 um")


def test_one_picture_gives_one_axis_and_says_so(tmp_path: Path) -> None:
    """25 px per 10 um; the other axis is taken to be like it, less surely."""
    made = calibrate((picture(tmp_path / "a.png", 25.0),), pitch=PITCH, u=U)
    assert made.size.x_um == pytest.approx(0.4, rel=2e-4) and made.size.square
    marks = made.readings[0].marks
    assert made.size.u_x_um / 0.4 == pytest.approx(0.2 / (10 * (marks - 1)), rel=0.1)
    assert made.size.u_y_um > made.size.u_x_um


def test_two_pictures_give_both(tmp_path: Path) -> None:
    """Pixels that are 2 % higher than wide: 25 px along x, 24.5 px along y."""
    across = picture(tmp_path / "b.png", 24.5, across=True)
    made = calibrate((picture(tmp_path / "a.png", 25.0), across), pitch=PITCH, u=U)
    assert made.size.x_um == pytest.approx(0.4, rel=1e-3)
    assert made.size.y_um == pytest.approx(10 / 24.5, rel=1e-3)
    assert not made.size.square
    with pytest.raises(PortalError, match="run alike"):
        calibrate((picture(tmp_path / "a.png", 25.0), picture(tmp_path / "c.png", 25.0)), pitch=PITCH, u=U)


def test_it_is_written_into_the_scopes_file_with_its_evidence(tmp_path: Path) -> None:
    """Everything else of the file stays; the catalogue has no problem."""
    folder = small_catalogue(tmp_path / "c")
    before = (folder / "scopes/bench-1.yaml").read_text(encoding="utf-8")
    made = calibrate((picture(tmp_path / "a.png", 25.0),), pitch=PITCH, u=U)
    into = Into(
        "bench-1",
        "zoom-2-adapter-0.5",
        "stage micrometer",
        "C-1",
        U,
        date(2026, 3, 4),
        date(2027, 3, 3),
        "first-inspector",
    )
    id_ = write(folder, made, into)
    after = (folder / "scopes/bench-1.yaml").read_text(encoding="utf-8")
    assert [line for line in before.splitlines() if line not in after.splitlines()] == []
    reading = read(folder)
    assert reading.problems == () and reading.catalogue is not None
    known = reading.catalogue.scopes["bench-1"].settings["zoom-2-adapter-0.5"].calibrations[-1]
    assert (known.id, str(known.frame)) == (id_, "700x500")
    assert known.x.um == pytest.approx(0.4, rel=3e-4)
    assert (folder / "scopes" / known.evidence[0]).read_bytes() == (tmp_path / "a.png").read_bytes()
    assert write(folder, made, into) != id_


def test_an_uncertainty_of_many_zeros_is_written_without_an_exponent(tmp_path: Path) -> None:
    """Less than 0.1 nm per pixel, as a good micrometer gives: what is written can be read again."""
    folder = small_catalogue(tmp_path / "c")
    pitch, u = read_length("10 um"), read_length("0.005 um")
    made = calibrate((picture(tmp_path / "a.png", 60.0),), pitch=pitch, u=u)
    assert made.size.u_x_um < 1e-4
    days = date(2026, 3, 4), date(2027, 3, 3)
    into = Into("bench-1", "zoom-2-adapter-0.5", "micrometer", "C-1", u, *days, "first-inspector")
    write(folder, made, into)
    known = read(folder).catalogue
    assert known is not None
    calibration = known.scopes["bench-1"].settings["zoom-2-adapter-0.5"].calibrations[-1]
    assert calibration.u_x.um == pytest.approx(made.size.u_x_um, rel=0.05)


def test_another_picture_is_refused_with_the_reason(tmp_path: Path) -> None:
    """Noise, and a file that is no picture."""
    noise = np.random.default_rng(1).integers(90, 160, (300, 400), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.png")
    with pytest.raises(PortalError, match="no picture of a graticule"):
        calibrate((tmp_path / "noise.png",), pitch=PITCH, u=U)
    (tmp_path / "x.png").write_text("x", encoding="utf-8")
    with pytest.raises(PortalError, match="can't be read"):
        calibrate((tmp_path / "x.png",), pitch=PITCH, u=U)


def into(**changes: object) -> Into:
    """Where the small catalogue's calibrations are written."""
    fields: dict[str, Any] = {
        "scope": "bench-1",
        "setting": "zoom-2-adapter-0.5",
        "artefact": "stage micrometer",
        "certificate": None,
        "u": U,
        "day": date(2026, 3, 4),
        "valid_until": date(2027, 3, 3),
        "by": "first-inspector",
    }
    return Into(**fields | changes)


def test_a_distortion_beyond_its_share_is_stated_for_the_setting_and_carried(tmp_path: Path) -> None:
    """A lens that bends by 0.6 %: seen towards the corners, written where less is stated, left where more is."""
    folder = small_catalogue(tmp_path / "c")
    at = folder / "scopes/bench-1.yaml"
    pictures = (picture(tmp_path / "a.png", 18.0, bent=0.006),)
    corners = tuple(picture(tmp_path / f"{x}.png", 18.0, bent=0.006, beside=x) for x in (-0.3, 0.3))
    made = calibrate(pictures, pitch=PITCH, u=read_length("0.05 um"), corners=corners)
    assert made.distortion.reaches_corners and 0.003 < made.distortion.half_width < 0.02
    write(folder, made, into())
    stated = read(folder).catalogue
    assert stated is not None
    setting = stated.scopes["bench-1"].settings["zoom-2-adapter-0.5"]
    assert setting.distortion is not None
    assert setting.distortion.value == pytest.approx(made.distortion.half_width, abs=1.01e-4)
    assert setting.distortion.value >= made.distortion.half_width - 1e-12
    assert len(setting.calibrations[-1].evidence) == 3
    at.write_text(at.read_text(encoding="utf-8").replace(setting.distortion.text, "5 %"), encoding="utf-8")
    write(folder, made, into())
    assert "distortion: 5 %" in at.read_text(encoding="utf-8")


def test_comments_and_keys_of_ones_own_stay_and_an_empty_list_is_filled(tmp_path: Path) -> None:
    """Also where nobody had calibrated the setting yet."""
    folder = small_catalogue(tmp_path / "c")
    at = folder / "scopes/bench-1.yaml"
    text = at.read_text(encoding="utf-8")
    start = text.index("    calibrations:")
    more = """  other:  # the preview
    x-mine: kept
    optics: {objective: 1x, zoom: "2", click_stop: true, adapter: 0.5x, camera: a camera, binning: none}
    calibrations: []  # nobody yet
"""
    text = text[:start] + text[start:].rstrip("\n") + "\n" + more
    at.write_text(text, encoding="utf-8")
    made = calibrate((picture(tmp_path / "a.png", 25.0),), pitch=PITCH, u=U)
    write(folder, made, into(setting="other"))
    after = at.read_text(encoding="utf-8")
    assert [line for line in text.splitlines() if line.strip() and line not in after.splitlines()] == [
        "    calibrations: []  # nobody yet"
    ]
    assert read(folder).problems == ()


def test_what_limits_the_uncertainty_is_named(tmp_path: Path) -> None:
    """A certificate of 2 um over some 30 divisions of 10 um; of a sharp one, that the other axis wasn't looked at."""
    one = picture(tmp_path / "a.png", 25.0)
    assert calibrate((one,), pitch=PITCH, u=read_length("2 um")).size.largest.name == "certificate"
    assert calibrate((one,), pitch=PITCH, u=read_length("0.01 um")).size.largest.name == "square"
