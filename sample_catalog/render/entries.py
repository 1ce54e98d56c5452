"""Write the files that follow from the pictures of gear, cap and connector, as an inspector would."""

import json
import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from .arrays import F64
from .cases import Case
from .files import put
from .found import ALSO, CAPTIONS, FOUND, KNOWN, LOOKED, MADE, SCOPELESS, TOGETHER, UNPLACED, UNSET, WHOLE
from .others import TAKES
from .outlines import outlined
from .tags import Shot, _hash, _missed, _text, _thin
from .takes import Take, on_picture

HERE = Path(__file__).resolve().parent
CATALOGUE = HERE.parent
CONDITIONS = {"outside": "low-angle-10"}


def write_entries(catalogue: Path = CATALOGUE, truth: Path = HERE / "truth") -> int:
    """Write tags, looked-at files, hashes of limit samples and zone outlines; returns how many files."""
    made = [each for each in TAKES if (catalogue / each.path).exists()]
    written = 0
    for take in made:
        data = json.loads((truth / take.path).with_suffix(".json").read_text(encoding="utf-8"))
        folder, _, name = take.path.rpartition("/")
        if folder.startswith("moulds/"):
            put(catalogue / folder.replace("/images", "/tags") / f"{name}.yaml", _tag(take, data, catalogue))
        elif folder.startswith("limit-samples/"):
            file = catalogue / folder / "sample.yaml"
            text = file.read_text(encoding="utf-8")
            put(file, re.sub(r"sha256: [0-9a-f]{64}", f"sha256: {_hash(catalogue / take.path)}", text).encode())
        else:
            continue
        written += 1
    for mould, trial, cavity, shot, view, clock in LOOKED:
        at = catalogue / "moulds" / mould / "trials" / trial
        if at.is_dir():
            put(at / "looked" / f"{cavity}-{view}-{shot}.yaml", _looked(at, cavity, shot, view, clock))
            written += 1
    return written + outlined(catalogue)


def _looked(at: Path, cavity: str, shot: int, view: str, clock: str) -> bytes:
    day = re.search(r"^date: (\S+)$", (at / "trial.yaml").read_text(encoding="utf-8"), re.MULTILINE)
    assert day is not None
    lines = (
        "format: 1",
        f'cavity: "{cavity}"',
        f"view: {view}",
        f"shot: {shot}",
        f"piece: {at.name}-{cavity}-{shot}-1",
        f"condition: {CONDITIONS.get(view, 'stereo-15-ring')}",
        "by: k-ammer",
        f"at: {day.group(1)}T{clock}",
    )
    return ("\n".join(lines) + "\n").encode()


def _tag(take: Take, truth: dict[str, Any], catalogue: Path) -> bytes:
    shot, name = Shot.of(take.path), take.path.rpartition("/")[2]
    day, clock = take.taken.split(" ")
    taken = f"{day.replace(':', '-')}T{clock}"
    frame = "x".join(str(side) for side in truth["frame"])
    lines = [
        "format: 1",
        f"picture: {{sha256: {_hash(catalogue / take.path)}, stored: {frame}}}",
        f"taken: {taken}",
        *_piece(shot, placed=name not in UNPLACED),
        f"view: {shot.view}",
        *([] if name in SCOPELESS else ["scope: stereo-2"]),
        *([] if name in UNSET or name in SCOPELESS else [f"setting: {take.setting}-adapter-0.63"]),
        f"made: {MADE.get(name, 'single')}",
        *_known(take, name),
        *_bar(take, truth),
        *([f"caption: {CAPTIONS[name]}"] if name in CAPTIONS else []),
    ]
    cases = FOUND.get(name, ())
    lines += ["findings:"] if cases else []
    for case in cases:
        faults = truth["defects"][case.index : case.index + TOGETHER.get(case.id, 1)]
        lines += _finding(case, {**faults[0], "middles": [each.get("centre") for each in faults]}, taken)
    more = ALSO.get(name, ())
    lines += ["also:"] if more else []
    for case in more:
        own = list(_finding(case, truth["defects"][case.index], taken))
        lines += [f"  - finding: {case.id}", *own[own.index("    shapes:") :]]
    return ("\n".join(lines) + "\n").encode()


def _piece(shot: Shot, *, placed: bool) -> tuple[str, ...]:
    if not placed:
        return (f"shot: {shot.shot}",)
    return (f'cavity: "{shot.cavity}"', f"shot: {shot.shot}", f"piece: {shot.trial}-{shot.cavity}-{shot.shot}-1")


def _known(take: Take, name: str) -> Iterator[str]:
    if name in KNOWN:
        key, says, ends = KNOWN[name]
        rng = np.random.default_rng([take.seed, 8])
        yield f'{key}: {{{says}, points: "{_text(_missed(np.asarray(on_picture(take, np.asarray(ends))), rng))}"}}'


def _bar(take: Take, truth: dict[str, Any]) -> Iterator[str]:
    if "burned_in_bar" in truth:
        bar, rng = truth["burned_in_bar"], np.random.default_rng([take.seed, 9])
        points = _text(_missed(np.asarray(bar["ends"]), rng))
        yield f'burned_in_bar: {{length: {bar["length_um"]} um, points: "{points}"}}'


def _finding(case: Case, fault: dict[str, Any], taken: str) -> Iterator[str]:
    yield from (f"  - id: {case.id}", f"    defect: {case.defect}", f"    zone: {case.zone}", f"    seen: {case.seen}")
    yield from (f"    {key}: {value}" for key, value in case.more.items())
    if case.id in WHOLE:
        yield "    whole_zone: true"
    if case.shapes:
        yield "    shapes:"
    for number, (characteristic, kind, edge) in enumerate(case.shapes):
        rng = np.random.default_rng([zlib.crc32(case.id.encode()), number])
        yield from (f"      - characteristic: {characteristic}", f"        shape: {kind}")
        yield from (f'        {key}: "{text}"' for key, text in _points(kind, characteristic, fault, rng))
        yield from (f"        edge: {edge}", "        drawn: by hand")
    yield from (f"    by: {case.by}", f"    at: {taken[:11]}{int(taken[11:13]) + 2:02d}:{taken[14:16]}")


def _points(kind: str, characteristic: str, fault: dict[str, Any], rng: np.random.Generator) -> list[tuple[str, str]]:
    if kind == "base-and-point":
        return _based(fault, rng)
    if kind == "outline":
        points = _thin(np.asarray(fault["outline"]), 40 if fault["kind"] == "burn" else 26)
    elif kind == "ellipse":
        points = _axes(np.asarray(fault["outline"]))
    elif kind == "point":
        points = np.asarray(fault["middles"])
    else:
        points = np.asarray(fault["across" if characteristic == "width" else "line"])
    return [("points", _text(_missed(points, rng)))]


def _based(fault: dict[str, Any], rng: np.random.Generator) -> list[tuple[str, str]]:
    """The truth's base runs with what stands proud on its left, as a base has to."""
    tip, base = np.asarray(fault["farthest"]), np.asarray(fault["base"])
    return [("base", _text(_missed(base, rng))), ("point", _text(_missed(tip.reshape(1, 2), rng)))]


def _axes(outline: F64) -> F64:
    """Both ends of the long axis of an outline that starts at one of them, then an end of the other."""
    quarter = len(outline) // 4
    return np.stack([outline[0], outline[2 * quarter], outline[quarter]])


if __name__ == "__main__":
    print(f"{write_entries()} files written")
