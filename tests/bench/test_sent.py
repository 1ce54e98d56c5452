"""What a sent review showed stays as it was sent, also where only what the picture shows would be changed."""

from pathlib import Path

import pytest

from portal.bench.index import key_of
from portal.bench.save import place_of, save
from portal.bench.state import Bench
from portal.problem import PortalError
from tests.bench.conftest import GATE, wanted
from tests.tasks.packing import pack, ready_catalogue


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of which a review was sent."""
    made = ready_catalogue(tmp_path_factory.mktemp("sent") / "c")
    assert pack(made).code == 0
    return made


@pytest.mark.parametrize("change", [{"cavity": "2"}, {"setting": ""}, {"made": "stacked"}])
def test_what_its_picture_shows_isnt_changed_beside_a_new_finding(folder: Path, change: dict[str, str]) -> None:
    """It is what the finding was measured by; a new finding on the picture as it is is written."""
    bench = Bench(folder)
    tag = bench.index.spot(key_of(GATE)).picture.tag
    assert tag and {each.id for each in tag.findings} & bench.logs.sent()
    path = bench.tag_path(bench.index.spot(key_of(GATE)).picture)
    before = path.read_bytes()
    with pytest.raises(PortalError, match="stays as it was sent"):
        save(bench, wanted(bench, place=place_of(tag) | change))
    assert path.read_bytes() == before
    assert save(bench, wanted(bench)).conflict is None
    path.write_bytes(before)
