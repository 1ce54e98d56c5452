"""Time `portal check` and `portal build` on a catalogue of many parts and findings whose pictures are tiny.

    python tests/benchmarks/catalogue.py --parts 200 --findings 20000 [--keep FOLDER]

Each part has a mould with two trials; each picture has five findings: specks that are measured and counted, gate
vestiges that are measured from a base. What is timed is reading, judging and writing pages, not pictures. Prints
seconds of `check`, of a first build, of one that finds nothing changed, and of one after one tag changed. Measures,
never passes or fails.
"""

import argparse
import hashlib
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP))

from PIL import Image  # noqa: E402 - the checkout's own folders come first

from portal.tasks.new import new  # noqa: E402

FRAME = (64, 48)
TRIALS = 2
ON_A_PICTURE = 5
DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

STANDARD = """format: 1
name: Looks of small mouldings
effective: 2026-01-01
owner: shop
zone_classes: {A: seen in use, B: seen when handled}
conditions: {stereo-20-ring: {instrument: stereo microscope, magnification: 20, light: {kind: ring}}}
criteria:
  - {id: BS, revision: "1", defect: black-speck, zone_class: B, condition: stereo-20-ring, severity: minor,
     rule: limits, limits: [{characteristic: diameter, max: 12 um}], count: [{max: 4, per: zone}], spacing: 2 um,
     source: {document: looks}, agreed: {party: vellorin, by: R. Reviewer, date: 2026-01-02}}
  - {id: GV, revision: "1", defect: gate-vestige, zone_class: B, condition: stereo-20-ring, severity: minor,
     rule: limits, limits: [{characteristic: height, max: 30 um}],
     source: {document: looks}, agreed: {party: vellorin, by: R. Reviewer, date: 2026-01-02}}
"""
PART = """format: 1
customer: vellorin
name: Benchmark collar
numbers: {shop: NAME, customer: "C-NAME"}
drawing: {number: NAME, revision: A}
material: POM natural
zones: {A: {class: A, kind: functional}, B: {class: B, kind: appearance}}
views:
  top: {picture: always, sees: {A: {as: face}, B: {as: face}}}
  gate-profile: {picture: always, sees: {B: {as: profile}}}
standards: [looks]
precedence: [drawing, customer-standard, part, shop-standard]
"""
TRIAL = """format: 1
stage: First-off
date: 2026-02-12
standards: {looks: "1"}
shots: {discarded: 10, kept: [11], required: 1}
"""
TAG = """format: 1
picture: {{sha256: {sha256}, stored: 64x48}}
taken: 2026-02-12T10:15
cavity: "{cavity}"
shot: 11
view: {view}
scope: bench-1
setting: zoom-2-adapter-0.5
findings:
"""
SPECK = """  - id: {id}
    defect: black-speck
    zone: B
    seen: yes
    shapes:
      - {{characteristic: diameter, shape: outline, points: "{x},10 {x}.5,15 {x}.3,20 {x}.1,18",
         edge: sharp, drawn: by hand}}
    by: first-inspector
    at: 2026-02-12T10:20
"""
VESTIGE = """  - id: {id}
    defect: gate-vestige
    zone: B
    seen: yes
    shapes:
      - {{characteristic: height, shape: base-and-point, base: "4,40 12,40 50,40 60,40", point: "{x},12",
         edge: torn, drawn: by hand}}
    by: first-inspector
    at: 2026-02-12T10:22
"""


def main() -> None:
    """Make the catalogue, or take the one that was kept, and time each command on it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=int, default=200)
    parser.add_argument("--findings", type=int, default=20_000)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--keep", type=Path, help="a folder for the catalogue, used again when it is there")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = asked.keep or Path(scratch) / "catalogue"
        if not folder.exists():
            make(folder, parts=asked.parts, findings=asked.findings)
        measure(folder, jobs=asked.jobs)


def make(folder: Path, *, parts: int, findings: int) -> None:
    """A catalogue with that many parts and about that many findings, an hour old."""
    new(folder)
    for part in ("parts/P-0001", "moulds/M-001"):
        _remove(folder / part)
    scope = folder / "scopes/bench-1.yaml"
    text = (
        scope.read_text(encoding="utf-8").replace("4000x3000", "64x48").replace("date: 2000-01-01", "date: 2026-01-05")
    )
    scope.write_text(text.replace("valid_until: 2000-01-01", "valid_until: 2027-01-04"), encoding="utf-8")
    (folder / "standards/looks/1.yaml").write_text(STANDARD, encoding="utf-8")
    pictures = findings // (parts * TRIALS * ON_A_PICTURE)
    for number in range(1, parts + 1):
        _part(folder, number, pictures)
    then = time.time() - 3600
    for path in folder.rglob("*"):
        os.utime(path, (then, then))


def _remove(path: Path) -> None:
    for each in sorted(path.rglob("*"), reverse=True):
        each.rmdir() if each.is_dir() else each.unlink()
    path.rmdir()


def _part(folder: Path, number: int, pictures: int) -> None:
    name = f"P-{number:04d}"
    _write(folder / f"parts/{name}/part.yaml", PART.replace("NAME", name))
    cavities = "\n".join(f'  "{each}": {{part: {name}, status: running}}' for each in range(1, 5))
    mould = folder / f"moulds/M-{number:04d}"
    _write(mould / "mould.yaml", f"format: 1\ncustomer_tool_number: T-{number}\nrevision: '1'\ncavities:\n{cavities}\n")
    ids = _ids()
    for trial in range(1, TRIALS + 1):
        home = mould / f"trials/T{trial}"
        _write(home / "trial.yaml", TRIAL)
        for each in range(pictures):
            _picture(home, number, trial, each, ids)


def _picture(home: Path, number: int, trial: int, each: int, ids: Iterator[str]) -> None:
    cavity, view = each % 4 + 1, ("top", "gate-profile")[each // 4 % 2]
    name = f"M-{number:04d}_T{trial}_c{cavity}_{each:02d}.png"
    buffer = BytesIO()
    Image.new("RGB", FRAME, (number % 256, 10 * trial + number // 256, each)).save(buffer, "PNG")
    (home / "images").mkdir(exist_ok=True)
    (home / "images" / name).write_bytes(buffer.getvalue())
    found = SPECK if view == "top" else VESTIGE
    sha256 = hashlib.sha256(buffer.getvalue()).hexdigest()
    findings = "".join(found.format(id=next(ids), x=6 + 11 * place) for place in range(ON_A_PICTURE))
    _write(home / "tags" / f"{name}.yaml", TAG.format(sha256=sha256, cavity=cavity, view=view) + findings)


def _ids() -> Iterator[str]:
    for number in range(32**4):
        yield "".join(DIGITS[number // 32**place % 32] for place in (3, 2, 1, 0))


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def measure(folder: Path, *, jobs: int) -> None:
    """Print what each command took, and its last line."""
    build = ("build", str(folder), "--jobs", str(jobs), "--as-of", "2026-03-01")
    _timed("check", "check", str(folder))
    _timed("build, first", *build)
    time.sleep(2.5)  # what was touched within two seconds of a build is looked at again
    _timed("build, renewed", *build)
    _timed("build, nothing changed", *build)
    tag = next(iter(sorted(folder.glob("moulds/*/trials/*/tags/*.yaml"))))
    tag.write_text(tag.read_text(encoding="utf-8").replace(",12", ",13").replace(",10 ", ",11 "), encoding="utf-8")
    _timed("build, one tag changed", *build)


def _timed(what: str, *words: str) -> None:
    begun = time.perf_counter()
    command = [sys.executable, "-m", "portal.cli", *words]
    done = subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - begun
    last = (done.stdout + done.stderr).strip().splitlines()[-1:]
    print(f"{what:24} {seconds:7.2f} s   exit {done.returncode}   {' '.join(last)}", flush=True)


if __name__ == "__main__":
    main()
