"""Calibrating by pictures of a stage micrometer: told, and written into the scope's file with its evidence."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.catalog import read
from portal.model.scalars import read_length
from portal.problem import PortalError
from portal.tasks.calibrate import Into, calibrate, write
from tests.measure.graticules import rendered
from tests.tasks.small import small_catalogue


def picture(path: Path, division: float, *, across: bool = False, size: tuple[int, int] = (500, 700)) -> Path:
    """A picture of a graticule; `across` is turned by 90 degrees."""
    light = rendered(np.random.default_rng(int(division)), division, size=size[::-1] if across else size)
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


def test_another_picture_is_refused_with_the_reason(tmp_path: Path) -> None:
    """Noise, and a file that is no picture."""
    noise = np.random.default_rng(1).integers(90, 160, (300, 400), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.png")
    with pytest.raises(PortalError, match="no picture of a graticule"):
        calibrate((tmp_path / "noise.png",), pitch=PITCH, u=U)
    (tmp_path / "x.png").write_text("x", encoding="utf-8")
    with pytest.raises(PortalError, match="can't be read"):
        calibrate((tmp_path / "x.png",), pitch=PITCH, u=U)
