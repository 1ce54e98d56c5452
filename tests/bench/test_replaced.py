"""A picture was replaced while it was open: what was drawn on the one is never measured or written on the other."""

from collections.abc import Callable

import pytest

from portal.bench.answer import answer
from portal.bench.bodies import Edges, Question
from portal.bench.decoding import Decoding
from portal.bench.edges import find_edges
from portal.bench.index import key_of
from portal.bench.save import save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.catalog import read
from portal.catalog.alone import Busy
from portal.problem import PortalError
from tests.bench.conftest import GATE, TOP, UNTAGGED, vestige, wanted


@pytest.fixture
def open_then_replaced(bench: Bench) -> tuple[Bench, str]:
    """A bench with a picture that nobody tagged, and the digest of the one that the page shows under that name."""
    path = bench.folder / UNTAGGED
    path.write_bytes((bench.folder / GATE).read_bytes() + b" ")
    bench = Bench(bench.folder)
    shown = str(sight(bench, key_of(UNTAGGED), bench.speaker())["shown"])
    path.write_bytes((bench.folder / TOP).read_bytes())
    return bench, shown


def test_it_is_refused_whatever_is_asked(open_then_replaced: tuple[Bench, str]) -> None:
    """To be measured, to be moved onto edges, to be written; and no tag is there afterwards."""
    bench, shown = open_then_replaced
    drawn = vestige("1.00,2.00 30.50,40.25")
    own = {"number": 1, "picture": key_of(UNTAGGED), "shown": shown}
    place = wanted(bench, UNTAGGED).place
    asks: list[Callable[[], object]] = [
        lambda: answer(bench, Question.model_validate({**own, "place": place, "finding": drawn})),
        lambda: find_edges(bench, Decoding(), Edges.model_validate({**own, "shape": drawn["shapes"][0]})),
        lambda: save(bench, wanted(bench, UNTAGGED, shown=shown)),
    ]
    for ask in asks:
        with pytest.raises(PortalError, match="was replaced by another picture since it was opened here"):
            ask()
    assert not bench.tag_path(bench.index.spot(key_of(UNTAGGED)).picture).exists()


def test_opened_again_it_can_be_drawn_on(open_then_replaced: tuple[Bench, str]) -> None:
    """The pixels of the one and of the other have different addresses, so that no browser keeps the earlier ones."""
    bench, shown = open_then_replaced
    again = sight(bench, key_of(UNTAGGED), bench.speaker())
    assert again["shown"] != shown and str(again["shown"])[:16] in str(again["sizes"])
    assert save(bench, wanted(bench, UNTAGGED, shown=again["shown"])).id


def test_while_the_whole_folder_is_away_nothing_is_taken_for_gone(bench: Bench) -> None:
    """A share that isn't connected for a moment: the pictures stay, a save can be sent again as it is."""
    asked, away = wanted(bench), bench.folder.parent / "away"
    shown = bench.catalogue
    bench.refresh("M-001", "T1")
    bench.folder.rename(away)
    assert bench.refresh("M-001", "T1") is False and bench.reread() is False
    assert bench.catalogue == shown
    with pytest.raises(Busy, match="can't be reached"):
        save(bench, asked)
    drawn = {"number": 1, "picture": asked.picture, "place": asked.place, "finding": asked.finding}
    with pytest.raises(Busy, match="can't be reached"):
        answer(bench, Question.model_validate(drawn))
    away.rename(bench.folder)
    assert save(bench, asked).conflict is None
    assert read(bench.folder).problems == ()
