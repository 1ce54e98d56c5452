"""A movie in the browser: it plays from a folder, asks for nothing before, and fits a telephone."""

import shutil
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Locator

from tests.browser.conftest import Open, Opened
from tests.pictures.movies import movie
from tests.site.conftest import Built
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.typed import typed

SAMPLE = Path(__file__).resolve().parents[2] / "sample_catalog"
FILM = SAMPLE / "moulds/M-118/trials/T2/images/M-118_T2_c4_s14_tilt.mp4"
REVIEW, PICTURE = "parts/P-0001/M-001-T1.html", f"pictures/M-001/T1/{FILM.name}.html"
_H264 = "video/mp4; codecs=avc1.640028"


@pytest.fixture(scope="module")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The small catalogue with the sample's movie in it."""
    folder = small_catalogue(tmp_path_factory.mktemp("filmed") / "c")
    shutil.copyfile(FILM, folder / TRIAL / "images" / FILM.name)
    assert typed("build", folder, "--jobs", "1").code == 0
    return Built(folder / "site/shop", {}, folder)


def movie_of(opened: Opened) -> Locator:
    """The only movie of a page; skips where this browser has no decoder for it."""
    video = opened.page.locator("video")
    assert video.count() == 1
    if not video.evaluate(f"video => video.canPlayType('{_H264}')"):
        pytest.skip("this Chromium was built without a decoder for H.264")
    return video


@pytest.mark.parametrize("path", [REVIEW, PICTURE])
def test_a_movie_plays_from_a_folder(path: str, filmed: Built, open_page: Open) -> None:
    """Nothing of it is read before it is started; then it has its size and its length, and time goes by."""
    opened = open_page(filmed, path)
    video = movie_of(opened)
    assert video.evaluate("video => video.readyState") == 0
    played = video.evaluate(
        """video => new Promise((resolve, reject) => {
            video.addEventListener("timeupdate", () => {
                if (video.currentTime > 0.2) resolve([video.videoWidth, video.videoHeight, video.duration]);
            });
            video.addEventListener("error", () => reject(new Error("it doesn't play")));
            video.muted = true;
            video.play();
        })"""
    )
    assert played == [640, 480, 5]
    assert opened.said == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_movie_fits_a_telephone(scheme: str, filmed: Built, open_page: Open) -> None:
    """The page is no wider than the screen, and its frames stand three in a row."""
    opened = open_page(filmed, REVIEW, width=390, scheme=scheme)
    assert opened.page.evaluate("() => document.documentElement.scrollWidth") <= 390
    tops = [box["y"] for each in opened.page.locator(".stills li").all() if (box := each.bounding_box())]
    assert len(tops) == 6 and len(set(tops)) == 2


def test_without_a_script_a_movie_is_there_all_the_same(filmed: Built, open_page: Open) -> None:
    """With its own controls."""
    video = open_page(filmed, PICTURE, scripts=False).page.locator("video[controls][poster]")
    assert video.count() == 1


MADE: Mapping[str, dict[str, Any]] = {
    "narrow.mp4": {"options": {"x264-params": "colormatrix=smpte170m"}},
    "open.webm": {},
    "older.webm": {"coding": "libvpx"},
    "usb.avi": {},
}


@pytest.fixture(scope="module")
def several(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Movies as high as those that some browsers take for wide in their colours, which their files leave open."""
    folder = small_catalogue(tmp_path_factory.mktemp("several") / "c")
    for name, options in MADE.items():
        movie(folder / TRIAL / "images" / name, size=(1280, 720), **options)
    assert typed("build", folder, "--jobs", "1").code == 0
    return Built(folder / "site/shop", {}, folder)


@pytest.mark.parametrize("name", MADE)
def test_the_browser_shows_the_frame_that_stands_for_it_at_its_second(
    name: str, several: Built, open_page: Open
) -> None:
    """The same moment, in the same colours, whatever the browser would have taken untold ones for."""
    opened = open_page(several, f"pictures/M-001/T1/{name}.html")
    video = movie_of(opened)
    poster = several.out / "assets" / Path(video.get_attribute("poster") or "").name
    video.evaluate(
        """video => new Promise((resolve, reject) => {
            video.addEventListener("error", () => reject(new Error("it doesn't play")));
            video.addEventListener("seeked", () => setTimeout(resolve, 500));
            video.addEventListener("loadedmetadata", () => { video.currentTime = 1.001; });
            video.controls = false;
            video.preload = "auto";
            video.load();
        })"""
    )
    with Image.open(BytesIO(video.screenshot())) as shot, Image.open(poster) as stands:
        beside = max(0, shot.width - shot.height * 16 // 9) // 2
        inner = shot.crop((beside, 0, shot.width - beside, shot.height))
        shown = np.asarray(inner.convert("RGB").resize((320, 180)), float)
        expected = np.asarray(stands.convert("RGB").resize((320, 180)), float)
    assert np.abs(shown - expected).mean() < 4
    corner = [each[10:40, 10:70, :2].mean(axis=(0, 1)) for each in (shown, expected)]
    assert np.abs(corner[0] - corner[1]).max() < 4, "red and green; blue is worked out roughly without a graphics card"
