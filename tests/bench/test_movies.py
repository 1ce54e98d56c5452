"""A movie on the bench: its frame is shown upright, and nothing is measured on it."""

from pathlib import Path

import pytest
from PIL import Image

from portal.bench.bodies import Edges
from portal.bench.decoding import Decoding
from portal.bench.edges import find_edges
from portal.bench.index import key_of
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from portal.model.picture import PictureFacts, PictureUnreadable
from portal.problem import PortalError
from tests.bench.conftest import vestige
from tests.pictures.movies import movie
from tests.tasks.small import TRIAL

FILE = f"{TRIAL}/images/c1_tilt.mov"


@pytest.fixture
def filmed(bench: Bench) -> Bench:
    """A bench with a movie that was held upright."""
    movie(bench.folder / FILE, orientation=6)
    return Bench(bench.folder)


def test_its_frame_is_shown_upright(filmed: Bench, tmp_path: Path) -> None:
    """As a picture like any other."""
    facts = filmed.facts[FILE]
    assert isinstance(facts, PictureFacts) and facts.movie
    made = Pixels(tmp_path / "pixels").file(filmed.folder / FILE, facts, 1)
    with Image.open(made) as image:
        assert image.size == (64, 96)


def test_no_edge_is_looked_for_in_it(filmed: Bench) -> None:
    """And it says why."""
    shape = vestige("10.00,20.00 50.00,20.00")["shapes"][0]
    with pytest.raises(PortalError, match="nothing is measured in a movie"):
        find_edges(filmed, Decoding(), Edges.model_validate({"number": 1, "picture": key_of(FILE), "shape": shape}))


def test_one_that_is_broken_has_its_reason(bench: Bench) -> None:
    """Looked at in another process, whatever it does there."""
    path = movie(bench.folder / FILE, frames=40)
    path.write_bytes(path.read_bytes()[:2000])
    facts = Bench(bench.folder).facts[FILE]
    assert isinstance(facts, PictureUnreadable) and facts.reason.startswith("damaged file: ")
