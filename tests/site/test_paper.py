"""Long pages: nobody holds one as a whole, nor all the cards that stand in it."""

from pathlib import Path
from weakref import WeakSet

import pytest

from portal.site.desk import desk_for
from portal.site.paper import LONG, Writing
from portal.site.partpages import review_page
from portal.site.reuse import Markings, Reuse
from portal.site.thread import Thread
from tests.site.conftest import Built
from tests.site.specimen import read_site

PIECES = [f"<p>{number} µm, {'x' * (number % 500)}</p>\n" for number in range(4000)]


@pytest.mark.parametrize("enough", [1.0, 0.25])
def test_a_page_is_the_same_held_or_set_aside(enough: float, tmp_path: Path) -> None:
    """Its bytes, their number, the places in it; a long one lies in a file alone."""
    pieces = PIECES[: int(enough * len(PIECES))]
    held, aside = Writing("a.html", None), Writing("a.html", tmp_path / "halves")
    places = []
    for piece in pieces:
        held.take(iter([piece]))
        aside.take(iter([piece]))
        places.append((held.here(), aside.here()))
    one, other = held.done(), aside.done()
    assert one.file is None and one.read().decode() == "".join(pieces)
    assert other.read() == one.read() and other.size == one.size and all(a == b for a, b in places)
    assert (other.file is not None) == (one.size > LONG) and not (other.file and other.held)


def test_what_is_short_is_set_aside_nowhere(tmp_path: Path) -> None:
    """Not even a folder is made for it."""
    writing = Writing("a.html", tmp_path / "halves")
    writing.take(iter(["short"]))
    assert writing.done().held == b"short" and not any(tmp_path.iterdir())


def test_no_line_is_cut_between_runs(tmp_path: Path) -> None:
    """So what stands within a line is found in one of them."""
    writing = Writing("a.html", tmp_path)
    writing.take(iter(PIECES))
    paper = writing.done()
    runs = list(paper.runs())
    assert len(runs) > 2 and all(run.endswith(b"\n") for run in runs) and b"".join(runs) == paper.read()


class _Mark:
    def __call__(self) -> bytes:
        return b"<p>a card</p>"


class _Drawn(Reuse):
    """Every card was drawn before; counts how many of them somebody holds."""

    def __init__(self) -> None:
        self.held: WeakSet[_Mark] = WeakSet()
        self.most = self.asked = 0

    def card(self, picture: str, finding: str, thread: Thread | None) -> Markings | None:
        """One more."""
        mark = _Mark()
        self.held.add(mark)
        self.asked += 1
        self.most = max(self.most, len(self.held))
        return mark


def test_no_card_waits_for_the_others(built: Built) -> None:
    """However many stand on a page, one is made when the one before it is written."""
    site = read_site(built.folder)
    result = max(site.results, key=lambda each: len(each.assessments))
    assert len(result.assessments) >= 5
    drawn = _Drawn()
    review_page(desk_for(site), result, drawn)
    assert drawn.asked == len(result.assessments) and drawn.most <= 2
