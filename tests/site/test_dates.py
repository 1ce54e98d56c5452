"""Where a picture's day is from: the camera's clock is told as it was written, with its offset where it gave one."""

from pathlib import Path

import pytest
from PIL import Image

from tests.pictures.make import exif
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.typed import typed


@pytest.mark.parametrize(
    ("offset", "said"),
    [
        (None, "23:39 by the camera&#39;s clock, zone unknown."),
        ("-04:00", "23:39 by the camera&#39;s clock, -04:00 from UTC."),
        ("Z", "23:39 by the camera&#39;s clock, +00:00 from UTC."),
    ],
)
def test_the_day_stays_the_cameras(offset: str | None, said: str, tmp_path: Path) -> None:
    """Late in the evening far west: in UTC it would be the next day."""
    folder = small_catalogue(tmp_path / "c")
    block = exif(taken="2026:02:11 23:39:45", offset=offset)
    Image.new("RGB", (64, 48), (90, 90, 90)).save(folder / TRIAL / "images/late.jpg", exif=block)
    assert typed("build", folder, "--jobs", "1").code == 0
    page = (folder / "site/shop/pictures/M-001/T1/late.jpg.html").read_text(encoding="utf-8")
    assert f"Picture of 11 February 2026, {said}" in page.replace("\N{NO-BREAK SPACE}", " ")
