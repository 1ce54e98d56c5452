"""Asked and noted from the bench: events of the round trip by the same rules as on the command line."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from portal.bench import asking
from portal.bench.bodies import Ask, Note
from portal.bench.index import key_of
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.log import fold, read
from portal.model.event import About, Via
from portal.model.says import Audience
from portal.problem import PortalError
from portal.tasks.build import build
from tests.bench.conftest import GATE, TOP
from tests.tasks.judged import PART
from tests.tasks.packing import ready_catalogue


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A bench over a catalogue with a customer whose reviewers can be asked."""
    return Bench(ready_catalogue(tmp_path / "c"))


def talk(bench: Bench, picture: str, *language: str) -> list[dict[str, Any]]:
    """What was said beside a picture, as the page is given it."""
    said: Any = sight(bench, key_of(picture), bench.speaker(*language))["talk"]
    return list(said)


def asked(picture: str, **changes: Any) -> Ask:
    """A question about that picture."""
    body = {"picture": key_of(picture), "finding": "", "spot": "", "words": "What is this?", "by": "first-engineer",
            "due": "", "in_words": False, "as_it_is": False}  # fmt: skip
    return Ask.model_validate(body | changes)


def noted(picture: str, **changes: Any) -> Note:
    """A note about that picture."""
    body = {"picture": key_of(picture), "finding": "", "spot": "", "words": "Wiped.", "by": "first-inspector"}
    return Note.model_validate(body | {"shared": False} | changes)


def state(bench: Bench) -> Any:
    """What the part's log comes to."""
    return fold(PART, read(bench.folder, PART).events)


def test_a_finding_a_picture_and_a_spot_are_asked_about(bench: Bench) -> None:
    """Each event says by which way it came, what it is about, and offers what fits."""
    before = len(state(bench).events)
    asking.ask(bench, asked(TOP, finding="7K3F", in_words=True))
    asking.ask(bench, asked(TOP))
    asking.ask(bench, asked(GATE, spot="12.50,40.00"))
    finding, picture, spot = state(bench).events[before:]
    assert [each.event.via for each in (finding, picture, spot)] == [Via.BENCH] * 3
    assert finding.event.about == About(trial="M-001/T1", finding="7K3F")
    assert picture.event.about == About(trial="M-001/T1", picture=TOP)
    assert spot.event.about == About(trial="M-001/T1", picture=GATE, spot="12.5,40")
    assert finding.event.says.kind == "question-asked"


def test_what_was_said_unheard_is_not_said_twice(bench: Bench) -> None:
    """The page sends it again with the events that it knew of; who says the same again, having heard, says it twice."""

    def known() -> list[str]:
        return [str(each["event"]) for each in talk(bench, GATE)]

    before, count = known(), len(state(bench).events)
    for _ in range(2):
        asking.note(bench, noted(GATE, known=before))
        asking.note(bench, noted(GATE, spot="12.50,40.00", known=before))
        asking.ask(bench, asked(GATE, known=before))
    assert len(state(bench).events) == count + 3
    asking.note(bench, noted(GATE, known=known()))
    asking.note(bench, noted(GATE, known=before, words="Turned."))
    asking.note(bench, noted(GATE, known=before, shared=True))
    asking.note(bench, noted(TOP, known=before))
    assert len(state(bench).events) == count + 7


def test_a_note_is_for_the_shop_unless_it_is_shared(bench: Bench) -> None:
    """Also an inspector may note; on a finding, a picture, a spot."""
    asking.note(bench, noted(TOP, finding="7K3F"))
    asking.note(bench, noted(TOP, shared=True))
    asking.note(bench, noted(GATE, spot="3,4"))
    comments = [each for _, each in state(bench).comments][-3:]
    assert [each.audience for each in comments] == [Audience.SHOP, Audience.SHARED, Audience.SHOP]
    assert [each.by.name for each in comments] == [bench.catalogue.shop.people["first-inspector"].name] * 3


def test_what_was_said_stands_beside_its_picture(bench: Bench) -> None:
    """By finding, picture and spot; not beside another picture."""
    asking.note(bench, noted(TOP, finding="7K3F", words="of the finding"))
    asking.ask(bench, asked(GATE, spot="12,40", words="of the spot?"))
    top = talk(bench, TOP)
    gate = talk(bench, GATE, "de")
    assert (top[-1]["text"], top[-1]["finding"], top[-1]["spot"]) == ("of the finding", "7K3F", "")
    assert (gate[-1]["text"], gate[-1]["spot"]) == ("of the spot?", "12,40")
    assert "Gefragt von" in gate[-1]["said"]
    assert "of the" not in str(gate[:-1])


def test_a_spot_has_a_name_by_which_its_words_are_found(bench: Bench) -> None:
    """Questions and notes are counted apart, from old to new; what is about no spot has none."""
    asking.note(bench, noted(GATE, spot="3,4"))
    asking.ask(bench, asked(GATE, spot="12,40"))
    asking.note(bench, noted(GATE, words="of the picture"))
    asking.note(bench, noted(GATE, spot="5,6"))
    english = [each["label"] for each in talk(bench, GATE)]
    german = [each["label"] for each in talk(bench, GATE, "de")]
    bare = str.maketrans("", "", "\u2068\u2069")
    assert [each.translate(bare) for each in english[-4:]] == ["Note 1", "Question 1", "", "Note 2"]
    assert [each.translate(bare) for each in german[-4:]] == ["Notiz 1", "Frage 1", "", "Notiz 2"]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"by": "first-inspector"}, "no project engineer"),
        ({"by": "nobody"}, "not among `people`"),
        ({"words": " "}, "nothing is asked"),
        ({"words": "Is it sound? And how high?"}, "may ask two things"),
        ({"spot": "900,900"}, "outside c1_top.jpg"),
        ({"spot": "../x"}, "is no spot"),
        ({"finding": "0000"}, "has no finding"),
        ({"due": "2020-01-01"}, "is past"),
        ({"due": "soon"}, "--due"),
    ],
)
def test_what_cant_be_asked_is_refused_with_the_reason(bench: Bench, change: dict[str, Any], why: str) -> None:
    """And no event is written."""
    before = len(state(bench).events)
    with pytest.raises(PortalError, match=why):
        asking.ask(bench, asked(TOP, **change))
    assert len(state(bench).events) == before


def test_a_question_that_seems_to_be_two_is_asked_where_somebody_says_it_is_one(bench: Bench) -> None:
    """As on a terminal."""
    before = len(state(bench).events)
    asking.ask(bench, asked(TOP, words="Is it sound and clean?", as_it_is=True))
    assert len(state(bench).events) == before + 1


def test_the_site_tells_on_which_picture_and_where_something_was_noted(bench: Bench) -> None:
    """Among the remarks of the trial, for the shop."""
    asking.note(bench, noted(GATE, spot="3,4", words="A scratch of the fixture."))
    build(bench.folder, out=None, as_of=date(2026, 3, 1), processes=1)
    pages = "".join(each.read_text(encoding="utf-8") for each in (bench.folder / "site/shop/parts").rglob("*.html"))
    plain = pages.replace("\u2068", "").replace("\u2069", "").replace("\u00a0", " ")
    assert "A scratch of the fixture." in plain and "on picture c1_gate.jpg at 3, 4 px" in plain
