"""Large pictures on the bench in Chromium: `python tests/benchmarks/benchlarge.py 24 100 200`; it never fails.

For each number of megapixels: to its first sight, to sharp pixels once it is zoomed in, the longest time for which the
page stood still meanwhile, the first search for an edge, and the memory of server and browser (Linux only).
"""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path
from subprocess import PIPE, Popen
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.build import _family, _held
from tests.tasks.small import TRIAL, small_catalogue

STILL = """() => { let last = performance.now(); window.most = 0;
  const tick = () => { const now = performance.now(); window.most = Math.max(window.most, now - last); last = now;
    requestAnimationFrame(tick); }; tick(); }"""
DRAWN = """async () => { const all = [...document.querySelectorAll('#stage img, #stage image')];
  await Promise.all(all.map(one => one.decode ? one.decode().catch(() => {}) : 0)); return all.length; }"""
EDGE = """async () => { const answer = await fetch('/');
  const token = JSON.parse(new DOMParser().parseFromString(await answer.text(), 'text/html')
    .getElementById('bench-data').textContent).token;
  const shape = { characteristic: 'length', shape: 'line', points: '2000.00,2000.00 3000.00,2000.00', edge: 'sharp',
    drawn: 'by hand' }, begun = performance.now();
  const told = await fetch('/api/edges', { method: 'POST', headers: { 'Content-Type': 'application/json',
    'X-Portal-Token': token },
    body: JSON.stringify({ number: 1, picture: sessionStorage.getItem('picture'), shape }) });
  return [told.status, performance.now() - begun]; }"""


def main() -> None:
    """One bench, one browser, on this machine."""
    with tempfile.TemporaryDirectory() as top, sync_playwright() as play:
        folder = small_catalogue(Path(top) / "c")
        for megapixels in [int(each) for each in sys.argv[1:]] or [24, 100, 200]:
            _make(folder / TRIAL / f"images/big_{megapixels}.jpg", megapixels)
        command = [sys.executable, "-m", "portal.cli", "bench", str(folder), "--port", "0"]
        server = Popen(command, stdout=PIPE, text=True, cwd=Path(__file__).parents[2])
        assert server.stdout
        address = next(word for line in server.stdout for word in line.split() if word.startswith("http"))
        found = os.environ.get("PORTAL_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 1600, "height": 1000}).new_page()
        page.set_default_timeout(60000)
        page.goto(address)
        page.click("[data-by=first-inspector]")
        page.click("#trial-list button")
        page.wait_for_selector("#strip [aria-current=true]")
        page.evaluate(STILL)
        for path in sorted((folder / TRIAL / "images").glob("big_*"), key=lambda each: each.stat().st_size):
            _one(page, path.name, server.pid)
        browser.close()
        server.terminate()
        server.wait(timeout=20)


def _make(path: Path, megapixels: int) -> None:
    width = round((megapixels * 1.5e6) ** 0.5)
    grey = np.random.default_rng(1).integers(60, 200, (500, 750, 3), dtype=np.uint8)
    image = Image.fromarray(grey).resize((width, width * 2 // 3), Image.Resampling.BICUBIC)
    image.save(path, quality=92)


def _one(page: Page, name: str, server: int) -> None:
    page.evaluate("() => { window.most = 0; }")
    begun = time.perf_counter()
    page.click(f"#strip button:has-text('{name}')")
    page.wait_for_selector(f"#strip [aria-current=true]:has-text('{name}')")
    page.wait_for_selector("#stage img")
    page.evaluate("async () => { await document.querySelector('#stage img').decode(); }")
    sight = time.perf_counter() - begun
    page.wait_for_timeout(int(1000 * float(os.environ.get("LOOK_S", "2"))))
    status, edge = page.evaluate(EDGE)
    begun = time.perf_counter()
    page.mouse.move(700, 500)
    zoom: Any = 0
    while float(zoom or 0) < 1:
        page.mouse.wheel(0, -400)
        page.wait_for_timeout(20)
        zoom = page.get_attribute("#window", "data-zoom")
    page.evaluate(DRAWN)
    sharp = time.perf_counter() - begun
    for _ in range(30):
        page.mouse.wheel(0, 60)
        page.wait_for_timeout(30)
    most = page.evaluate("window.most")
    held = sum(_held(each) for each in _family(server)) / 1024
    peak = Path(f"/proc/{server}/status").read_text(encoding="ascii").partition("VmHWM:")[2].split()[0]
    print(
        f"{name}: first sight {1000 * sight:.0f} ms, first edge {edge:.0f} ms ({status}), zoomed in and sharp "
        f"{1000 * sharp:.0f} ms, the page stood still {most:.0f} ms at most, server {held:.0f} MiB "
        f"(peak {int(peak) / 1024:.0f}), browser {_browser():.0f} MiB",
        flush=True,
    )


def _browser() -> float:
    """All that this process started and isn't Python."""
    others = [each for each in _family(os.getpid()) if "chrom" in Path(f"/proc/{each}/cmdline").read_text()]
    return sum(_held(each) for each in others) / 1024


if __name__ == "__main__":
    main()
