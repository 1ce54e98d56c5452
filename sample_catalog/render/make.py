"""Make the sample's pictures again, or random ones for tests, or large ones for timing."""

import argparse
import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from render import exif, files, lens
from render.bench import bench_picture
from render.others import TAKES
from render.randoms import KINDS, made_random
from render.scenes import Scene, scene_truth
from render.shots import SHOTS
from render.takes import Take, write_take, write_take_truth

HERE = Path(__file__).resolve().parent


def main(arguments: list[str] | None = None) -> int:
    """Read the command line and make what it asks for."""
    asked = _parser().parse_args(arguments)
    begun = time.perf_counter()
    if asked.random:
        lines = [_random(asked, k) for k in range(asked.random)]
    elif asked.flat:
        lines = [_flat(asked, k) for k in range(asked.flat)]
    else:
        lines = _samples(asked)
    print("\n".join(lines))
    print(f"{len(lines)} pictures in {time.perf_counter() - begun:.1f} s")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, help="folder to write to (default: the sample catalogue)")
    parser.add_argument("--only", default="", help="make only pictures whose path contains this")
    parser.add_argument("--truth-only", action="store_true", help="write the truth alone, nothing is rendered")
    parser.add_argument("--jobs", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--random", type=int, default=0, metavar="N", help="make N random pictures")
    parser.add_argument("--kind", choices=KINDS, default="gate-profile")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--size", type=_size, default=None, metavar="WxH")
    parser.add_argument("--flat", type=int, default=0, metavar="N", help="make N large pictures fast")
    return parser


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.partition("x")
    return int(width), int(height)


def _samples(asked: argparse.Namespace) -> list[str]:
    out = asked.out or HERE.parent
    truth = asked.out / "truth" if asked.out else HERE / "truth"
    every: tuple[Scene | Take, ...] = (*SHOTS, *TAKES)
    wanted = [each for each in every if asked.only in each.path]
    if asked.truth_only:
        return [_truth(each, truth) for each in wanted]
    if asked.jobs <= 1:
        return [_made(each, out, truth) for each in wanted]
    with ProcessPoolExecutor(asked.jobs) as pool:
        return list(pool.map(_made, wanted, [out] * len(wanted), [truth] * len(wanted)))


def _made(each: Scene | Take, out: Path, truth: Path) -> str:
    return write_take(each, out, truth) if isinstance(each, Take) else files.write_scene(each, out, truth)


def _truth(each: Scene | Take, truth: Path) -> str:
    if isinstance(each, Take):
        return write_take_truth(each, truth)
    return files.write_truth(scene_truth(each), files.truth_path(truth, each))


def _random(asked: argparse.Namespace, k: int) -> str:
    made = made_random(asked.kind, asked.seed + k, asked.size or (512, 384))
    pixels = lens.to_bytes(made.grey)
    path = (asked.out or Path()) / made.truth["picture"]
    shot = exif.Shot("2026:03:04 12:00:00", (pixels.shape[1], pixels.shape[0]), 1, asked.seed + k, 14)
    files.put(path, files.encode(pixels, shot)[0])
    files.write_truth(made.truth, path.with_suffix(".json"))
    return str(path)


def _flat(asked: argparse.Namespace, k: int) -> str:
    size = asked.size or (4000, 3000)
    pixels = bench_picture(asked.seed + k, size)
    path = (asked.out or Path()) / f"flat-{asked.seed + k:06d}.jpg"
    shot = exif.Shot("2026:03:04 12:00:00", size, 1, asked.seed + k, 14)
    files.put(path, files.encode_fast(pixels, shot))
    return str(path)


if __name__ == "__main__":
    raise SystemExit(main())
