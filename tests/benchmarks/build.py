"""Time `portal build` on catalogues of many large pictures: cold, with nothing changed, after one tag changed.

    python tests/benchmarks/build.py 20 100 300
    python tests/benchmarks/build.py 100 1000 --small

Makes a catalogue with that many pictures of 12 megapixels, three findings on each, and prints seconds, seconds of
processor time of all processes, the peak of the main process's memory and of what all processes held together (Linux
only). Twenty pictures come from the sample's renderer, further ones are those shifted by some pixels, so that each is
another file. `--small` takes pictures of 800 x 600, where their number counts and not their size.
A first build, which isn't measured, leaves the program compiled, as an installed one is, also where the environment
says that nothing compiled is kept: then beside the catalogues. The tag that changes comes to another part of its
picture for its card. Measures, never passes or fails.
"""

import argparse
import hashlib
import os
import re
import resource
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "sample_catalog")]

import numpy as np  # noqa: E402 - the checkout's own folders come first
from PIL import Image  # noqa: E402 - the checkout's own folders come first

from portal.tasks.new import new  # noqa: E402
from render import bench_picture  # noqa: E402

SIZE, SMALL = (4000, 3000), (800, 600)
Size = tuple[int, int]
RENDERED = 20
TRIAL = "moulds/M-001/trials/T1"
FINDINGS = """  - id: {first}
    defect: black-speck
    zone: B
    seen: yes
    shapes:
      - {{characteristic: diameter, shape: outline, points: "1500,900 1620,900 1660,960 1620,1020 1500,1020 1460,960",
         edge: sharp, drawn: by hand}}
    by: first-inspector
    at: 2026-02-12T10:20
  - id: {second}
    defect: black-speck
    zone: B
    seen: yes
    shapes:
      - {{characteristic: diameter, shape: ellipse, points: "2500,2000 2600,2000 2550,2030",
         edge: sharp, drawn: by hand}}
    by: first-inspector
    at: 2026-02-12T10:21
  - id: {third}
    defect: black-speck
    zone: B
    seen: yes
    shapes:
      - {{characteristic: diameter, shape: rectangle, points: "800,700 900,700 900,760", edge: sharp, drawn: by hand}}
    by: first-inspector
    at: 2026-02-12T10:22
"""


def main() -> None:
    """Read the numbers of pictures, measure each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("numbers", nargs="*", type=int, default=[20, 100, 300])
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--keep", type=Path, help="a folder for the pictures, used again when they are there")
    parser.add_argument("--small", action="store_true", help="pictures of 800 x 600")
    asked = parser.parse_args()
    size = SMALL if asked.small else SIZE
    print("pictures  build            seconds  of processor  per picture   peak: main         all")
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["PORTAL_CACHE"] = str(Path(scratch) / "cache")
        if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
            os.environ["PYTHONPYCACHEPREFIX"] = str(Path(scratch) / "compiled")
        make(Path(scratch) / "first", 1, pictures=asked.keep or Path(scratch) / "pictures", size=size)
        subprocess.run(_command(Path(scratch) / "first", 1), cwd=TOP, check=True, stdout=subprocess.DEVNULL)
        for number in asked.numbers:
            folder = Path(scratch) / f"catalogue-{number}"
            make(folder, number, pictures=asked.keep or Path(scratch) / "pictures", size=size)
            measure(folder, number, jobs=asked.jobs)


def make(folder: Path, number: int, *, pictures: Path, size: Size = SIZE) -> None:
    """A catalogue with that many pictures; the pictures themselves are made once and linked."""
    new(folder)
    scope = folder / "scopes/bench-1.yaml"
    text = scope.read_text(encoding="utf-8").replace("date: 2000-01-01", "date: 2026-01-05")
    text = text.replace("frame: 4000x3000", f"frame: {size[0]}x{size[1]}")
    scope.write_text(text.replace("valid_until: 2000-01-01", "valid_until: 2027-01-04"), encoding="utf-8")
    for kind in ("images", "tags"):
        (folder / TRIAL / kind).mkdir(parents=True, exist_ok=True)
    for seed in range(number):
        source = _picture(pictures, seed, size)
        os.link(source, folder / TRIAL / "images" / source.name)
        _tag(folder, source, seed, size)
    then = time.time() - 3600
    for path in folder.rglob("*"):
        os.utime(path, (then, then))


def _picture(pictures: Path, seed: int, size: Size) -> Path:
    pictures.mkdir(parents=True, exist_ok=True)
    path = pictures / f"p{seed:04d}.jpg"
    if not path.is_file():
        Image.fromarray(_pixels(pictures, seed, size)).save(path, quality=88)
    return path


def _pixels(pictures: Path, seed: int, size: Size) -> Any:
    if seed < RENDERED:
        return bench_picture(seed, size)
    with Image.open(_picture(pictures, seed % RENDERED, size)) as rendered:
        return np.roll(np.asarray(rendered), seed // RENDERED, axis=(0, 1))


def _tag(folder: Path, picture: Path, seed: int, size: Size) -> None:
    ids = {name: _id(3 * seed + place) for place, name in enumerate(("first", "second", "third"))}
    sha256 = hashlib.sha256(picture.read_bytes()).hexdigest()
    head = (
        f"format: 1\npicture: {{sha256: {sha256}, stored: {size[0]}x{size[1]}}}\n"
        f'taken: 2026-02-12T10:15\ncavity: "1"\nshot: 11\npiece: T1-1-11-1\nview: top\nscope: bench-1\n'
        f"setting: zoom-2-adapter-0.5\nfindings:\n"
    )
    findings = FINDINGS.format(**ids)
    if size != SIZE:
        findings = re.sub(r'(?<=points: ")[^"]+', lambda points: _smaller(points[0], size[0] / SIZE[0]), findings)
    (folder / TRIAL / "tags" / f"{picture.name}.yaml").write_text(head + findings, encoding="utf-8")


def _smaller(points: str, share: float) -> str:
    return " ".join(",".join(f"{float(side) * share:g}" for side in point.split(",")) for point in points.split())


def _id(number: int) -> str:
    digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    return "".join(digits[number // 32**place % 32] for place in (3, 2, 1, 0))


def measure(folder: Path, number: int, *, jobs: int) -> None:
    """Build three times and print what each took."""
    _build("cold", folder, number, jobs)
    time.sleep(2.5)  # what was touched within two seconds of a build is looked at again
    _build("renewed", folder, number, jobs)
    _build("nothing changed", folder, number, jobs)
    tag = folder / TRIAL / "tags/p0000.jpg.yaml"
    text = tag.read_text(encoding="utf-8")
    tag.write_text(text.replace("1500,900", "1460,880").replace("300,180", "292,176"), encoding="utf-8")
    _build("one tag changed", folder, number, jobs)


def _build(what: str, folder: Path, number: int, jobs: int) -> None:
    begun, used = time.perf_counter(), _used()
    process = subprocess.Popen(
        _command(folder, jobs), cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    peak = _Peak(process.pid)
    peak.start()
    said, _ = process.communicate()
    seconds, busy = time.perf_counter() - begun, _used() - used
    peak.stop()
    if process.returncode != 0:
        raise SystemExit(said)
    print(
        f"{number:8}  {what:15}  {seconds:7.2f}  {busy:12.2f}  {1000 * busy / number:8.1f} ms  "
        f"{peak.main:6.0f} MiB  {peak.mib:6.0f} MiB",
        flush=True,
    )


def _command(folder: Path, jobs: int) -> list[str]:
    return [sys.executable, "-m", "portal.cli", "build", str(folder), "--jobs", str(jobs), "--as-of", "2026-03-01"]


def _used() -> float:
    """Processor time of all processes that ended."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


class _Peak(threading.Thread):
    """The most that a process and its children hold, looked at fifty times a second, and what it holds itself."""

    def __init__(self, pid: int) -> None:
        super().__init__(daemon=True)
        self.pid, self.main, self.mib, self._ended = pid, 0.0, 0.0, threading.Event()

    def run(self) -> None:
        """Look until told to stop."""
        while not self._ended.wait(0.02):
            self.mib = max(self.mib, sum(_held(pid) for pid in _family(self.pid)) / 1024)
            self.main = max(self.main, _highest(self.pid) / 1024)

    def stop(self) -> None:
        """End looking."""
        self._ended.set()
        self.join()


def _family(pid: int) -> list[int]:
    try:
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    except OSError:
        return [pid]
    return [pid, *(other for child in children for other in _family(int(child)))]


def _highest(pid: int) -> int:
    """The most that a process ever held, in KiB."""
    try:
        text = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in text.splitlines() if line.startswith("VmHWM:")), 0)


def _held(pid: int) -> int:
    """Proportional memory of a process in KiB, shared pages shared out."""
    try:
        text = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii")
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in text.splitlines() if line.startswith("Pss:")), 0)


if __name__ == "__main__":
    main()
