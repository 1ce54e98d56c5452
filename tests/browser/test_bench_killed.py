"""A browser and a server that are killed lose at most the stroke in hand."""

import contextlib
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page, expect

from portal.catalog import read
from tests.browser.benched import At, asked
from tests.tasks.small import TRIAL, small_catalogue

PATIENCE_MS = 60_000
PROGRAM = """
import sys
from pathlib import Path
from portal.bench.run import run_bench
run_bench(Path(sys.argv[1]), port=int(sys.argv[2]), ready=lambda address: print(address, flush=True))
"""


def bench(folder: Path, port: int = 0) -> tuple[subprocess.Popen[str], str]:
    """A bench in a process of its own, and its address."""
    command = [sys.executable, "-c", PROGRAM, str(folder), str(port)]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    assert running.stdout
    return running, running.stdout.readline().strip()


def kill(running: subprocess.Popen[str]) -> None:
    """At once."""
    running.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    running.wait(timeout=20)
    if running.stdout:
        running.stdout.close()


def sit_down(page: Page, address: str) -> None:
    """Somebody opens the top picture and takes a line for a length."""
    page.goto(address)
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.click("#strip button:has-text('c1_top')")
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    expect(page.locator("#classes button").first).to_be_visible()


@dataclass
class Sat:
    """Somebody who sits at a bench that runs in a process of its own."""

    at: At
    address: str
    running: subprocess.Popen[str]

    def start_again(self) -> None:
        """The bench listens where it listened before."""
        self.running, _ = bench(self.at.folder, int(self.address.rstrip("/").rpartition(":")[2]))

    def crash(self) -> Page:
        """A line is drawn that no server hears of, and the tab's process crashes; a new tab, nothing opened in it."""
        self.at.page.route("**/api/save*", lambda route: route.abort())
        line(self.at, 70)
        expect(self.at.page.locator("#state[data-kind=waiting]")).to_be_visible()
        with contextlib.suppress(Error):
            self.at.page.goto("chrome://crash", timeout=5_000)
        return self.at.page.context.new_page()


@pytest.fixture
def sat(tmp_path: Path, chromium: Browser) -> Iterator[Sat]:
    """The same, with the top picture open."""
    folder = small_catalogue(tmp_path / "c")
    running, address = bench(folder)
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    expect.set_options(timeout=PATIENCE_MS)
    found = Sat(At(folder, context.new_page()), address, running)
    try:
        sit_down(found.at.page, address)
        yield found
    finally:
        kill(found.running)
        context.close()


def line(at: At, y: float, *, first: bool = True) -> None:
    """A line over two clicks; a later one is taken for the same as the first."""
    if first:
        at.pick("length")
        at.page.get_by_role("button", name="line", exact=False).first.click()
    at.click(50, y)
    at.click(80, y)
    at.page.keyboard.press("Enter")


def lines(folder: Path) -> list[int]:
    """How far down each line lies that is in the folder."""
    catalogue = read(folder).catalogue
    assert catalogue
    shapes = [shape for each in catalogue.findings() for shape in each.finding.shapes]
    return sorted(round(shape.points.xy[0][1]) for shape in shapes if shape.shape == "line")


def test_a_killed_server_that_comes_back_gets_what_was_drawn_meanwhile(sat: Sat) -> None:
    """Though it knows nothing of this page any more: the page asks it for a new token by itself."""
    page, folder = sat.at.page, sat.at.folder
    line(sat.at, 50)
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    kill(sat.running)
    line(sat.at, 90, first=False)
    expect(page.locator("#state[data-kind=waiting]")).to_be_visible()
    assert lines(folder) == [50]
    sat.start_again()
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    assert lines(folder) == [50, 90]


def test_a_browser_that_is_killed_sends_what_was_kept_once_it_is_opened_again(sat: Sat) -> None:
    """The tab's process crashes while the bench doesn't answer; another tab sends it."""
    again = sat.crash()
    again.goto(sat.address)
    expect(again.locator("[data-by=first-inspector]")).to_be_visible()
    assert lines(sat.at.folder) == [70]


def test_what_was_kept_and_cant_be_written_is_said_and_stays(sat: Sat) -> None:
    """The tag can't be read when the page is opened again; once it is mended, what was drawn is written."""
    tag = sat.at.folder / TRIAL / "tags/c1_top.jpg.yaml"
    whole = tag.read_bytes()
    again = sat.crash()
    tag.write_text("format: 1\npicture: [\n", encoding="utf-8")
    until_known(sat, broken=True)
    again.goto(sat.address)
    expect(again.locator("#left")).to_contain_text("c1_top.jpg: what was drawn before this page")
    again.get_by_role("button", name="Try again").dblclick()
    again.reload()
    expect(again.locator("#left")).to_contain_text("could not be written")
    tag.write_bytes(whole)
    until_known(sat, broken=False)
    again.get_by_role("button", name="Try again").click()
    expect(again.locator("#left")).to_be_hidden()
    assert lines(sat.at.folder) == [70]
    again.reload()
    expect(again.locator("[data-by=first-inspector]")).to_be_visible()
    expect(again.locator("#left")).to_be_hidden()


def until_known(sat: Sat, *, broken: bool) -> None:
    """Once the server has seen whether a tag of the trial can't be read."""
    key = asked(sat.address, "api/trials")[0]["key"]
    for _ in range(400):
        if any(each["broken"] for each in asked(sat.address, f"api/trial/{key}")["pictures"]) is broken:
            return
        time.sleep(0.05)
    raise AssertionError(broken)
