"""Measure the first view of a review page with 40 findings and 120 pictures, as a telephone gets it.

    python tests/benchmarks/firstview.py [--keep FOLDER] [--site FOLDER] [--runs N] [--page PATH]

Builds such a catalogue of pictures of 12 megapixels, serves it on loopback (plain, and with what is text compressed, as
web servers do), opens the page in Chromium at 390 × 844 with a slowed network and processor, and prints
what was transferred before anybody scrolled, by kind, and, as medians of some runs, when the page could be read and
how far anything in it was shifted. Measures, never passes or fails.
"""

import argparse
import gzip
import importlib
import os
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from statistics import median
from typing import Any

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "sample_catalog"), str(TOP / "tests/benchmarks")]

from playwright.sync_api import Browser, sync_playwright  # noqa: E402 - the checkout's own folders come first

from portal.tasks.build import build  # noqa: E402

pictures = importlib.import_module("build")

FINDINGS, PICTURES = 40, 120
DOWN_BYTES_PER_S, UP_BYTES_PER_S, LATENCY_MS = 9_000_000 / 8, 1_500_000 / 8, 60
"""A telephone in a usual network of the fourth generation: 9 Mbit/s down, 60 ms; common practice, no source."""
SLOWER = 4
"""The processor is so many times slower than this machine's."""
PAGE = "parts/P-0001/M-001-T1.html"


def main() -> None:
    """Build where no site is given, then look."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", type=Path, help="a folder for the pictures, used again when they are there")
    parser.add_argument("--site", type=Path, help="a site that was built by this before; made there where it isn't")
    parser.add_argument("--runs", type=int, default=10)
    parser.add_argument("--page", default=PAGE)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        site = asked.site or Path(scratch) / "site"
        if not (site / PAGE).is_file():
            make(Path(scratch) / "c", site, keep=asked.keep or Path(scratch) / "pictures")
        for zipped in (False, True):
            with served(site, zipped=zipped) as address:
                look(f"{address}/{asked.page}", "compressed" if zipped else "plain", runs=asked.runs)


def make(folder: Path, site: Path, *, keep: Path) -> None:
    """The catalogue, and its site."""
    pictures.make(folder, PICTURES, pictures=keep)
    for number, tag in enumerate(sorted((folder / pictures.TRIAL / "tags").glob("p*"))):
        head, _, findings = tag.read_text(encoding="utf-8").partition("findings:\n")
        first = "  - id:" + findings.split("  - id:")[1] if number < FINDINGS else ""
        tag.write_text(f"{head}findings:\n{first}" if first else head, encoding="utf-8")
    build(folder, out=site, as_of=date(2026, 3, 1), processes=os.cpu_count() or 1)


class _Files(SimpleHTTPRequestHandler):
    """Serves files, text compressed where it is asked for."""

    zipped = False

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing."""

    def do_GET(self) -> None:
        """One file."""
        path = Path(self.translate_path(self.path))
        if not path.is_file():
            self.send_error(404)
            return
        body = path.read_bytes()
        self.send_response(200)
        self.send_header("content-type", self.guess_type(path))
        if self.zipped and path.suffix in {".html", ".css", ".js"}:
            body = gzip.compress(body, 6)
            self.send_header("content-encoding", "gzip")
        self.send_header("content-length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


@contextmanager
def served(site: Path, *, zipped: bool) -> Iterator[str]:
    """Serve a site on loopback."""
    handler = type("Files", (_Files,), {"zipped": zipped})
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(handler, directory=str(site)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}"
    server.shutdown()


SHIFTS = """() => { window.shifted = 0;
new PerformanceObserver(list => list.getEntries().forEach(one => { window.shifted += one.value; }))
.observe({ type: 'layout-shift', buffered: true }); }"""


def look(address: str, how: str, *, runs: int) -> None:
    """Open the page so many times, each time with nothing kept, and print what came of it."""
    chromium = os.environ.get("PORTAL_CHROMIUM", "/usr/bin/chromium")
    told: dict[str, list[float]] = defaultdict(list)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        for number in range(runs):
            sizes, counts = _once(browser, address, told)
            if not number:
                print(f"{how}: {sum(sizes.values()) / 1000:.0f} kB before scrolling", flush=True)
                for kind, size in sizes.most_common():
                    print(f"    {kind:12} {counts[kind]:4} files {size / 1000:8.1f} kB")
        browser.close()
    for name, values in told.items():
        print(f"    {name:34} {median(values):8.3g}  ({min(values):.3g} to {max(values):.3g}, {runs} runs)", flush=True)


def _once(browser: Browser, address: str, told: dict[str, list[float]]) -> tuple[Counter[str], Counter[str]]:
    """What was transferred by kind, as bytes and as files; what was timed is added to `told`."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, device_scale_factor=2, is_mobile=True)
    page = context.new_page()
    devtools = context.new_cdp_session(page)
    kinds: dict[str, str] = {}
    sizes: Counter[str] = Counter()
    counts: Counter[str] = Counter()
    devtools.on("Network.responseReceived", lambda each: kinds.update({each["requestId"]: each["type"]}))

    def finished(each: dict[str, Any]) -> None:
        kind = kinds.get(each["requestId"], "?")
        sizes[kind] += int(each["encodedDataLength"])
        counts[kind] += 1

    devtools.on("Network.loadingFinished", finished)
    devtools.send("Network.enable")
    devtools.send("Network.emulateNetworkConditions", {
        "offline": False, "latency": LATENCY_MS,
        "downloadThroughput": DOWN_BYTES_PER_S, "uploadThroughput": UP_BYTES_PER_S,
    })  # fmt: skip
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    devtools.send("Performance.enable", {"timeDomain": "threadTicks"})
    page.add_init_script(f"({SHIFTS})()")
    page.goto(address, wait_until="load")
    metrics = {each["name"]: each["value"] for each in devtools.send("Performance.getMetrics")["metrics"]}
    time.sleep(1)  # whatever else it may fetch
    for name, at in page.evaluate("performance.getEntriesByType('paint').map(e => [e.name, e.startTime])"):
        if name == "first-contentful-paint":
            told["first contentful paint, ms"].append(at)
    there = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"
    told["whole text there, ms"].append(page.evaluate(there))
    told["loaded, ms"].append(page.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd"))
    for name in ("TaskDuration", "LayoutDuration", "RecalcStyleDuration", "ScriptDuration"):
        told[f"{name} until loaded, processor ms"].append(1000 * metrics[name])
    before = (sizes.copy(), counts.copy())
    page.mouse.wheel(0, 2000)
    time.sleep(0.3)
    told["layout shift"].append(page.evaluate("window.shifted"))
    context.close()
    return before


if __name__ == "__main__":
    main()
