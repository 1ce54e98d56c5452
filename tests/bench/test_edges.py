"""Finding edges on the bench: a proposal with words, and nothing written by it."""

import numpy as np
from PIL import Image

from portal.bench.bodies import Edges
from portal.bench.decoding import Decoding
from portal.bench.edges import find_edges
from portal.bench.index import key_of
from portal.bench.state import Bench
from tests.bench.conftest import GATE, vestige
from tests.tasks.small import TRIAL


def test_the_ends_of_a_line_are_proposed_on_the_edges_and_nothing_is_written(bench: Bench) -> None:
    """A bright block from 100 to 200 on dark ground, as a picture file."""
    file = f"{TRIAL}/images/block.png"
    grey = np.full((240, 320), 40, dtype=np.uint8)
    grey[80:160, 100:200] = 210
    Image.fromarray(grey).save(bench.folder / file)
    before = {each for each in bench.folder.rglob("*") if each.is_file()}
    bench = Bench(bench.folder)
    shape = vestige("103.00,120.00 197.00,120.00")["shapes"][0]
    asked = Edges.model_validate({"number": 4, "picture": key_of(file), "shape": shape})
    told = find_edges(bench, Decoding(), asked)
    assert told["number"] == 4 and told["found"] == 2
    moved = told["shape"]
    assert isinstance(moved, dict) and moved["drawn"] == "edge found"
    ends = [float(each.split(",")[0]) for each in moved["points"].split()]
    assert abs(ends[0] - 100) < 0.1 and abs(ends[1] - 200) < 0.1
    assert "Edge found at 2 of 2 points" in str(told["said"])
    assert {each for each in bench.folder.rglob("*") if each.is_file()} == before


def test_where_there_is_none_it_says_so(bench: Bench) -> None:
    """On a picture of noise."""
    shape = vestige("103.00,120.00 197.00,120.00")["shapes"][0]
    asked = Edges.model_validate({"number": 4, "picture": key_of(GATE), "shape": shape})
    told = find_edges(bench, Decoding(), asked)
    assert told["found"] == 0 and str(told["said"]).startswith("No edge found. Stayed as drawn: ")
