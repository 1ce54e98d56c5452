"""Time the log and a review that goes out: append, ask, verify and fold, receive, pack, the one file in a browser.

    python tests/benchmarks/log.py [append] [ask] [many] [receive] [pack] [file]

Prints what each took; all of them where none is named. Measures, never passes or fails. The browser's part needs
Chromium (PORTAL_CHROMIUM, or `chromium` on the path).
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "sample_catalog")]

from portal.log import append, fold, read, verify  # noqa: E402 - as above
from portal.log.form import hash_of  # noqa: E402 - as above
from portal.model.digest import canonical  # noqa: E402 - as above
from portal.model.event import FORMAT, About, Event, Via, at_text, file_name  # noqa: E402 - as above
from portal.model.says import Audience, CommentMade, Party  # noqa: E402 - as above
from tests.benchmarks.build import make  # noqa: E402 - as above
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, TRIAL_NAME  # noqa: E402 - as above
from tests.tasks.packing import carriers, pack, ready_catalogue  # noqa: E402 - as above

BY = Party(name="E. Engineer", role="engineer", organisation="Shop", id=ENGINEER)
START = datetime(2026, 3, 1, 8, tzinfo=UTC)
_WATCH = """
new MutationObserver(() => {
  if (!window.live && document.documentElement.classList.contains("live")) window.live = performance.now();
}).observe(document, {subtree: true, attributes: true, attributeFilter: ["class"]});
"""


def main() -> None:
    """Run what was named."""
    every: dict[str, Callable[[Path], None]] = {
        "append": _append,
        "ask": _ask,
        "many": _many,
        "receive": _receive,
        "pack": _pack,
        "file": _file,
    }
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", nargs="*", choices=[*every, []])
    asked = parser.parse_args().what
    for name in asked or every:
        with tempfile.TemporaryDirectory() as scratch:
            every[name](Path(scratch))


def tell(what: str, seconds: float) -> None:
    """One line."""
    print(f"{what:70}  {seconds * 1000:10.1f} ms", flush=True)


def tell_both(command: str, run: Callable[[Path], float], root: Path) -> None:
    """A command where nothing changed since another judged the catalogue, as is usual, and where all is judged anew."""
    known = root / "known"
    run(known)
    tell(f"`portal {command}`, the whole process, best of 5", min(run(known) for _ in range(5)))
    tell("the same where everything is judged anew", min(run(root / f"fresh{number}") for number in range(5)))


def write_comments(root: Path, part: str, count: int) -> None:
    """A log of so many comments, written without waiting for the disk."""
    folder = root / "parts" / part / "log"
    folder.mkdir(parents=True, exist_ok=True)
    after: tuple[str, ...] = ()
    for number in range(count):
        event = Event(
            format=FORMAT,
            at=at_text(START + timedelta(seconds=number)),
            kind="comment-made",
            part=part,
            about=About(trial=TRIAL_NAME),
            by=BY,
            via=Via.COMMAND,
            after=after,
            says=CommentMade(audience=Audience.SHOP, comment=f"Looked at piece {number} once more, nothing new"),
        )
        content = canonical(event.given())
        after = (hash_of(content),)
        (folder / file_name(event.at, after[0])).write_bytes(content)


def timed(*words: str, cache: Path | None = None) -> float:
    """Seconds of a command in a process of its own, with its modules compiled as an installed program has them.

    `cache` is where it finds what was judged before, and keeps what it judges.
    """
    judged = {"PORTAL_CACHE": str(cache)} if cache else {}
    compiled = {"PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "portal-bench-compiled")}
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    known = kept | compiled | judged
    begun = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "portal.cli", *words], cwd=TOP, env=known, capture_output=True, text=True
    )
    seconds = time.perf_counter() - begun
    if done.returncode:
        raise SystemExit(done.stderr)
    return seconds


def _append(root: Path) -> None:
    write_comments(root, PART, 1000)
    log, took = read(root, PART), []
    for number in range(50):
        begun = time.perf_counter()
        says = CommentMade(audience=Audience.SHOP, comment=f"one more, {number}")
        append(log, says, about=About(trial=TRIAL_NAME), by=BY)
        took.append(time.perf_counter() - begun)
    tell("append to an open log of 1,000, median of 50, durable", statistics.median(took))


def _ask(root: Path) -> None:
    folder = ready_catalogue(root / "c")
    write_comments(folder, PART, 1000)
    words = ("--part", PART, "--finding", "7K3J", "--question", "Inside or outside?", "--by", ENGINEER)
    tell_both("ask", lambda cache: timed("ask", str(folder), *words, cache=cache), root)


def _many(root: Path) -> None:
    parts = [f"P-{number:04d}" for number in range(200)]
    for part in parts:
        write_comments(root, part, 500)
    for _ in range(2):  # the second time with a warm file cache
        begun = time.perf_counter()
        for part in parts:
            verify(root, part)
        checked = time.perf_counter()
        logs = [(part, read(root, part)) for part in parts]
        been_read = time.perf_counter()
        for part, log in logs:
            fold(part, log.events)
        folded = time.perf_counter()
    tell("verify 100,000 events of 200 parts, one process", checked - begun)
    tell("read them", been_read - checked)
    tell("fold them", folded - been_read)


def _receive(root: Path) -> None:
    folder = ready_catalogue(root / "c")
    pack(folder)
    (code,) = [name[-12:-4] for name in carriers(folder) if name.endswith(".txt")]
    reply = root / "reply.txt"
    reply.write_text(f"Review {code}\nAnswered by: {MAY_ALL}\n\n1 B\n2 A\n", encoding="utf-8")
    as_sent = shutil.copytree(folder, root / "as_sent")

    def receive(cache: Path) -> float:
        shutil.rmtree(folder)
        shutil.copytree(as_sent, folder)
        return timed("receive", str(folder), str(reply), "--by", ENGINEER, cache=cache)

    tell_both("receive", receive, root)


def _pack(root: Path) -> None:
    """60 pictures of 12 megapixels, a finding on each of the first 20."""
    folder = root / "c"
    make(folder, 60, pictures=Path(os.environ.get("PORTAL_BENCH_PICTURES", root / "pictures")))
    trial = folder / "moulds/M-001/trials/T1"
    for number, tag in enumerate(sorted((trial / "tags").iterdir())):
        head, _, findings = tag.read_text(encoding="utf-8").partition("findings:\n")
        first = findings.partition("  - id:")[2].partition("  - id:")[0]
        tag.write_text(f"{head}findings:\n  - id:{first}" if number < 20 else head, encoding="utf-8")
    checked = "checked: {by: first-engineer, at: 2026-02-13T09:00}\n"
    (trial / "trial.yaml").write_text((trial / "trial.yaml").read_text(encoding="utf-8") + checked, encoding="utf-8")
    words = ("--part", PART, "--trial", TRIAL_NAME, "--by", ENGINEER)
    timed("ask", str(folder), *words, "--proposed")
    timed("build", str(folder), "--as-of", "2026-03-01")
    time.sleep(2.5)
    tell("pack 20 findings, 60 pictures of 12 megapixels, after a build", timed("pack", str(folder), *words))
    tell("pack them again", timed("pack", str(folder), *words))


def _file(root: Path) -> None:
    from playwright.sync_api import sync_playwright

    shutil.copytree(
        TOP / "sample_catalog", root / "c", ignore=shutil.ignore_patterns("render", "site", "log", "reviews")
    )
    words = ("--part", "LC-0440", "--trial", "M-118/T2", "--by", "m-vasquell")
    timed("ask", str(root / "c"), *words, "--proposed")
    timed("pack", str(root / "c"), *words)
    (file,) = root.glob("c/parts/LC-0440/reviews/*/carriers/*.html")
    with sync_playwright() as play:
        found = os.environ.get("PORTAL_CHROMIUM") or shutil.which("chromium")
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.add_init_script(_WATCH)
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 4})
        painted, ready = [], []
        for _ in range(5):
            page.goto(file.as_uri())
            page.wait_for_selector("html.live", state="attached")
            painted.append(page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime") / 1000)
            ready.append(page.evaluate("window.live") / 1000)
        browser.close()
    tell(f"first paint of the HTML file ({file.stat().st_size / 1e6:.1f} MB), a quarter of the processor", min(painted))
    tell("until the first answer can be given", min(ready))


if __name__ == "__main__":
    main()
