"""What is larger than any size that is counted."""

from typing import Any

import pytest

from portal.judge.case import Ruling
from portal.judge.numbers import hold_counts, judge
from portal.model.countable import Countable
from portal.model.result import Held, Verdict
from portal.model.standard import Criterion
from portal.model.terms import VerdictWord
from portal.site.words import Speaker
from tests.judge.countables import a_group, a_speck, counting
from tests.judge.records import a_case

CONFORMS, FAILS, NOT_JUDGED = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM, VerdictWord.NOT_JUDGED
BANDS = ({"from": "0.05 mm", "to": "0.1 mm", "max": "3"}, {"from": "0.1 mm", "to": "0.2 mm", "max": "1"})
SPEAKER = Speaker("en", "mm", lambda slug: slug.replace("-", " "))


def held(criterion: Criterion, *specks: Countable, soft: bool = False) -> tuple[Held, ...]:
    """All counts on one picture."""
    return hold_counts(criterion, [a_group(*specks)], zone="B", soft=soft)


def verdict(criterion: Criterion, *specks: Countable) -> Verdict:
    """What they come to."""
    return judge(Ruling(a_case(criterion), criterion, None), held(criterion, *specks))


@pytest.mark.parametrize(
    ("diameter", "word"), [(194.0, CONFORMS), (196.0, NOT_JUDGED), (210.0, NOT_JUDGED), (900.0, NOT_JUDGED)]
)
def test_a_table_that_ends_at_a_size_does_not_let_larger_ones_conform(diameter: float, word: VerdictWord) -> None:
    """Up to 0.2 mm is counted; 4.95 µm to either side it is too close to call whether anything is agreed."""
    found = verdict(counting(*BANDS), a_speck(diameter))
    assert found.word is word
    if word is NOT_JUDGED:
        assert found.key == "verdict.not-agreed" and found.reason is not None


def test_it_is_named_with_its_size_and_the_largest_that_is_counted() -> None:
    """So that the customer knows what is asked."""
    found = verdict(counting(*BANDS), a_speck(80.0), a_speck(500.0))
    assert SPEAKER.say(found.sentence) == (
        "No limit is agreed for 7K3F no. 2 (0.500 mm ± 0.006 mm): it is, or may be, larger than any size that "
        "criterion GV-B counts (up to 0.2 mm)."
    )
    assert found.reason is not None
    assert SPEAKER.say(found.reason) == "no agreed limit for black speck larger than 0.2 mm"


def test_it_is_told_before_what_the_shop_still_has_to_find_out() -> None:
    """Once somebody says that the picture shows all of the zone, of the large one nothing is agreed yet."""
    criterion = counting(*BANDS)
    counted = hold_counts(criterion, [a_group(a_speck(500.0), whole_zone=False)], zone="B", soft=False)
    assert [each.word for each in counted] == [NOT_JUDGED] * 3
    assert judge(Ruling(a_case(criterion), criterion, None), counted).key == "verdict.not-agreed"


def test_another_count_that_fails_stays_the_verdict() -> None:
    """Two of 0.150 mm against one, beside a large one."""
    assert verdict(counting(*BANDS), a_speck(150.0), a_speck(150.0), a_speck(500.0)).word is FAILS


@pytest.mark.parametrize(
    "criterion",
    [
        counting(*BANDS, {"from": "0.2 mm", "max": "1"}),
        counting(*BANDS, {"max": "9"}),
        counting(*BANDS, limits=[{"characteristic": "diameter", "max": "1 mm"}]),
        counting({"max": "9"}),
    ],
    ids=["open above", "of any size", "a limit of the size", "no sizes"],
)
def test_what_covers_every_size_asks_nothing(criterion: Criterion) -> None:
    """One large speck, counted or limited elsewhere."""
    assert not [each for each in held(criterion, a_speck(500.0)) if each.sentence.key.startswith("verdict.not-agreed")]


@pytest.mark.parametrize(
    "other",
    [{"defect": "bubble"}, {"zones": ("C",)}, {"sizes": (), "is_sizable": False}],
    ids=["another class", "another zone", "a point"],
)
def test_only_pieces_of_the_class_in_the_zone_with_a_size_count_as_larger(other: dict[str, Any]) -> None:
    """The others are none of this criterion's."""
    found = held(counting(*BANDS), a_speck(150.0), a_speck(500.0, **other))
    assert {each.word for each in found} == {CONFORMS}


def test_areas_go_by_the_area() -> None:
    """Up to 0.02 mm² is counted."""
    criterion = counting({"to_area": "0.02 mm²", "max": "3"})
    assert verdict(criterion, a_speck(None, area=15_000.0)).word is CONFORMS
    assert verdict(criterion, a_speck(None, area=25_000.0)).key == "verdict.not-agreed"
