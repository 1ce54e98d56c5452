"""A Chromium of this machine, and the sites it opens; without one these tests are skipped."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.benched import at, served
from tests.browser.patience import PATIENCE_MS
from tests.browser.reviewer import opened, store
from tests.browser.sat import sat
from tests.site.conftest import Built, built, hostile

__all__ = ["PATIENCE_MS", "at", "built", "hostile", "opened", "sat", "served", "store"]
NAMES = ("chromium", "chromium-browser", "google-chrome")
OFF = [
    "AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding", "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints", "NetworkTimeServiceQuerying", "AimEnabled",
    "PreconnectToSearch", "WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup",
]  # fmt: skip
"""What Playwright switches off itself, which ours takes the place of, and the pages behind each window's address line:
nobody sees them, and to load them for each context takes as much processor time as all that is tested."""
QUIET = [
    f"--disable-features={','.join(OFF)}",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser that the environment names, else the first that is installed."""
    found = os.environ.get("PORTAL_CHROMIUM") or next((path for path in map(shutil.which, NAMES) if path), None)
    if not found:
        pytest.skip(f"no Chromium: set PORTAL_CHROMIUM, or install one of {', '.join(NAMES)}")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=found, args=QUIET, timeout=PATIENCE_MS)
        yield browser
        browser.close()


@dataclass
class Opened:
    """A page in the browser, and what its console said."""

    page: Page
    said: list[str] = field(default_factory=list)


Open = Callable[..., Opened]


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[Open]:
    """Opens a file of a site; every context is closed afterwards."""
    contexts = []

    def opening(site: Built, path: str, *, width: int = 1280, scheme: str = "light", scripts: bool = True) -> Opened:
        context = chromium.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=scripts,
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        opened = Opened(context.new_page())
        opened.page.on("console", lambda message: opened.said.append(message.text))
        opened.page.on("pageerror", lambda error: opened.said.append(str(error)))
        opened.page.goto((Path(site.out) / path).as_uri())
        return opened

    yield opening
    for context in contexts:
        context.close()
