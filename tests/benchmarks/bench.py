"""How quick the bench is: run it with `python tests/benchmarks/bench.py`; it measures and never passes or fails."""

import sys
import tempfile
import time
from collections.abc import Callable
from itertools import cycle
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from portal.bench.answer import answer
from portal.bench.bodies import Edges, Place, Question, Save
from portal.bench.decoding import Decoding
from portal.bench.edges import find_edges
from portal.bench.index import key_of, trial_key
from portal.bench.listing import trial_data
from portal.bench.pixels import Pixels
from portal.bench.save import place_of, save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.model.picture import PictureFacts
from tests.tasks.small import TRIAL, small_catalogue

PICTURES = 2000
OTHERS = ("big2.jpg", "big3.jpg")
"""As large as the first, so that no more than two of the three are held decoded."""
PLACE = {"cavity": "1", "shot": "11", "view": "top", "scope": "bench-1", "setting": "zoom-2-adapter-0.5"}


def timed(what: str, work: Callable[[], object], *, times: int = 1, pause_s: float = 0.0) -> None:
    """Print the median and the 95th percentile of some runs, and the processor time that who asked waited for."""
    took, used = [], []
    for _ in range(times):
        begun, own = time.perf_counter(), time.thread_time()
        work()
        took.append(1000 * (time.perf_counter() - begun))
        used.append(1000 * (time.thread_time() - own))
        time.sleep(pause_s)
    told = f"median {np.median(took):.1f} ms, p95 {np.percentile(took, 95):.1f} ms of {times}"
    print(f"{what}: {told}, processor {np.median(used):.1f} ms", flush=True)


def main() -> None:
    """A trial of two thousand pictures, one of them of 24 megapixels."""
    with tempfile.TemporaryDirectory() as top:
        folder = small_catalogue(Path(top) / "c")
        images, tags = folder / TRIAL / "images", folder / TRIAL / "tags"
        tag = (tags / "c1_top.jpg.yaml").read_text(encoding="utf-8").partition("findings:")[0]
        content = (images / "c1_top.jpg").read_bytes()
        for number in range(PICTURES - 3 - len(OTHERS)):
            (images / f"p{number:04}.jpg").write_bytes(content)
            (tags / f"p{number:04}.jpg.yaml").write_text(tag, encoding="utf-8")
        grey = np.random.default_rng(1).integers(60, 200, (500, 750, 3), dtype=np.uint8)
        Image.fromarray(grey).resize((6000, 4000), Image.Resampling.BICUBIC).save(images / "big.jpg", quality=92)
        for other in OTHERS:
            (images / other).write_bytes((images / "big.jpg").read_bytes() + other.encode("ascii"))
        timed("open the catalogue", lambda: Bench(folder))
        bench = Bench(folder)
        key, big = trial_key(next(bench.catalogue.trials())[1]), key_of(f"{TRIAL}/images/big.jpg")
        timed("look into the trial's folder the first time", lambda: bench.refresh("M-001", "T1"))
        timed("look again where nothing changed", lambda: bench.refresh("M-001", "T1"), times=10)
        timed("list the trial", lambda: trial_data(bench, key, bench.speaker()), times=10)
        _one_picture(bench, big, Path(top))


def _one_picture(bench: Bench, big: str, top: Path) -> None:
    place = Place.model_validate(PLACE | {"piece": "", "made": "single"})
    angles = np.linspace(0, 2 * np.pi, 300, endpoint=False)
    points = " ".join(f"{3000 + 900 * np.cos(each):.2f},{2000 + 700 * np.sin(each):.2f}" for each in angles)
    shape = {"characteristic": "area", "shape": "outline", "points": points, "edge": "sharp", "drawn": "by hand"}
    finding = {"defect": "black-speck", "zone": "B", "seen": "yes", "shapes": [shape]}
    spot = bench.index.spot(big)
    path = bench.folder / spot.picture.file
    timed("hash and header of 24 megapixels", lambda: bench.facts[spot.picture.file])
    own = bench.facts[spot.picture.file]
    assert isinstance(own, PictureFacts)
    timed("what the page needs of it", lambda: sight(bench, big, bench.speaker()), times=5)
    pixels = Pixels(top / "derived")
    timed("first sight of 24 megapixels", lambda: pixels.file(path, own, 4))
    timed("its full size then", lambda: pixels.file(path, own, 1), times=5)
    asked = Question(number=1, picture=big, place=place, finding=finding)
    timed("answer to an outline of 300 points", lambda: answer(bench, asked), times=40)
    codes = Decoding()
    edges = Edges(number=1, picture=big, shape={**shape, "shape": "line", "points": "2000.00,2000.00 3000.00,2000.00"})
    timed("find edges, decoding first", lambda: find_edges(bench, codes, edges))
    timed("find edges then", lambda: find_edges(bench, codes, edges), times=10)
    others = [key_of(f"{TRIAL}/images/{each}") for each in OTHERS]
    turns = cycle(edges.model_copy(update={"picture": each}) for each in (*others, big))
    for each in OTHERS:
        bench.facts[f"{TRIAL}/images/{each}"]
    time.sleep(1)
    timed("find edges in pictures that went", lambda: find_edges(bench, codes, next(turns)), times=9, pause_s=0.6)

    def store() -> None:
        tag = bench.index.spot(big).picture.tag
        seen = digest_of(place_of(tag)) if tag else ""
        body = {"number": 1, "picture": big, "place": place.model_dump(), "place_seen": seen, "finding": finding}
        save(bench, Save.model_validate(body | {"id": "", "seen": "", "by": "first-inspector"}))

    timed("save outlines of 300 points into one file", store, times=8)


if __name__ == "__main__":
    main()
