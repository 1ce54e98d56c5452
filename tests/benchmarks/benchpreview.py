"""One tag changed in the running bench: `python tests/benchmarks/benchpreview.py 1000 --keep FOLDER [--small]`.

For that many pictures of 12 megapixels, three findings on each: to the first review page as the customer will see it,
then from the change of a tag to the page drawn anew, and what a look into the trial's folder takes. It never fails.
"""

import argparse
import gc
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

sys.path.insert(0, str(Path(__file__).parents[2]))

from portal.bench.index import key_of, trial_key
from portal.bench.listing import trial_data
from portal.bench.previewing import Previewing
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.cli import SELDOM
from tests.benchmarks.build import SIZE, SMALL, TRIAL, make

T = TypeVar("T")


def main() -> None:
    """Make the catalogue, draw its page, change one tag three times."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("number", nargs="?", type=int, default=1000)
    parser.add_argument("--keep", type=Path, help="a folder for the pictures, used again when they are there")
    parser.add_argument("--small", action="store_true", help="pictures of 800 x 600: their number counts")
    asked = parser.parse_args()
    size = SMALL if asked.small else SIZE
    gc.set_threshold(*SELDOM)  # as the program does
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "c"
        make(folder, asked.number, pictures=asked.keep or Path(scratch) / "pictures", size=size)
        measure(folder, Path(scratch) / "beside")


def measure(folder: Path, beside: Path) -> None:
    """What each step takes, and of that on the processor."""
    bench = timed("open the catalogue", lambda: Bench(folder))
    _, trial = next(bench.catalogue.trials())
    key = trial_key(trial)
    timed("look into the folder", lambda: bench.refresh(trial.mould, trial.id))
    timed("list the trial", lambda: trial_data(bench, key, bench.speaker()))
    previewing = Previewing(bench, beside)
    frame = previewing.frame(key, None).decode()
    path = frame.partition(f"/preview/{key}/0/")[2].partition('"')[0]
    timed("the page the first time", lambda: previewing.page(key, 0, path))
    timed("the page where nothing changed", lambda: previewing.page(key, 0, path))
    tag = folder / TRIAL / "tags/p0000.jpg.yaml"
    for step in range(3):
        text = tag.read_text(encoding="utf-8")
        earlier, later = (f"10:2{2 + each}" for each in (step, step + 1))
        text = text.replace(f"1500,{900 + step}", f"1500,{901 + step}").replace(earlier, later)
        tag.write_text(text, encoding="utf-8")
        timed("look into the folder once a tag was changed", lambda: bench.refresh(trial.mould, trial.id))
        timed("the page then", lambda: previewing.page(key, 0, path))
        timed("the picture then", lambda: sight(bench, key_of(f"{TRIAL}/images/p0000.jpg"), bench.speaker()))
    page = previewing.page(key, 0, path)
    print(f"the page has {len(page) / 1000:.0f} kB")


def timed(what: str, work: Callable[[], T]) -> T:
    """Print how long it took."""
    begun, used = time.perf_counter(), time.process_time()
    made = work()
    took, own = time.perf_counter() - begun, time.process_time() - used
    print(f"{what}: {1000 * took:.0f} ms, on the processor {1000 * own:.0f} ms", flush=True)
    return made


if __name__ == "__main__":
    main()
