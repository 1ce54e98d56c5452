"""The smallest distance between two of a class in a zone."""

from typing import Any

import pytest

from portal.judge.spacing import demanded, hold
from portal.model.countable import Group
from portal.model.result import Held
from portal.model.say import Say
from portal.model.standard import Criterion
from portal.model.terms import VerdictWord
from portal.site.words import Speaker
from tests.judge.countables import NOT_CHECKED, a_group, a_speck, counting
from tests.judge.records import a_criterion

CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED
SPEAKER = Speaker("en", "mm", lambda slug: slug.replace("-", " "))
ONE_MM = counting(spacing="1 mm")
LEAST = counting(spacing="1 mm", smallest_counted="0.05 mm")


def held(criterion: Criterion, group: Group, *, soft: bool = False) -> Held:
    """The spacing that the criterion demands."""
    limit = demanded(criterion)
    assert limit is not None
    return hold(limit, group, criterion=criterion, zone="B", soft=soft)


@pytest.mark.parametrize(("apart", "word"), [(1_100.0, CONFORMS), (1_004.0, UNDECIDED), (990.0, FAILS), (0.0, FAILS)])
def test_the_nearest_two_are_held_against_the_smallest_allowed(apart: float, word: VerdictWord) -> None:
    """At least 1 mm with u = 3 µm."""
    group = a_group(a_speck(None, (0.0, 0.0)), a_speck(None, (apart, 0.0)), a_speck(None, (9_000.0, 0.0)))
    found = held(ONE_MM, group)
    assert found.word is word
    assert found.measurement is not None and found.measurement.value == pytest.approx(apart)
    assert "7K3F no. 1 and 7K3F no. 2" in SPEAKER.say(found.sentence)


def test_a_limit_of_the_characteristic_spacing_demands_the_same() -> None:
    """Written among the limits."""
    listed = a_criterion(defect="black-speck", limits=[{"characteristic": "spacing", "min": "1 mm"}])
    near = a_group(a_speck(None, (0.0, 0.0)), a_speck(None, (500.0, 0.0)))
    assert held(listed, near).word is FAILS
    assert demanded(a_criterion()) is None


def test_a_single_one_has_nothing_to_be_near_to() -> None:
    """Nor has none; other classes and other zones are no neighbours."""
    assert held(ONE_MM, a_group(a_speck(100.0))).word is CONFORMS
    others = a_speck(100.0, defect="bubble"), a_speck(100.0, zones=("C",))
    assert held(ONE_MM, a_group(a_speck(100.0), *others)).word is CONFORMS
    assert "no two on the picture" in SPEAKER.say(held(ONE_MM, a_group()).sentence)


def test_what_is_smaller_than_the_smallest_counted_is_no_neighbour() -> None:
    """A speck of 30 µm beside one of 100 µm."""
    assert held(LEAST, a_group(a_speck(100.0), a_speck(30.0, (500.0, 0.0)))).word is CONFORMS


def test_a_doubtful_neighbour_that_decides_is_named() -> None:
    """51 µm against a smallest of 50 µm, 0.4 mm away; where others fail already it decides nothing."""
    doubtful = a_speck(51.0, (500.0, 0.0))
    found = held(LEAST, a_group(a_speck(100.0), doubtful))
    assert (found.word, found.sentence.key) == (UNDECIDED, "verdict.spacing-undecided.size")
    assert SPEAKER.say(found.sentence).endswith(
        "It is decided by 7K3F no. 2 (0.051 mm ± 0.006 mm), whose size is too near the smallest that counts."
    )
    assert held(LEAST, a_group(a_speck(100.0), doubtful, a_speck(100.0, (300.0, 0.0)))).word is FAILS
    assert held(LEAST, a_group(a_speck(100.0), a_speck(51.0, (5_000.0, 0.0)))).word is CONFORMS


@pytest.mark.parametrize(
    ("other", "reason"),
    [
        ({"unsure": NOT_CHECKED}, "reason.not-checked"),
        ({"at": None, "is_drawn": False, "sizes": ()}, "reason.item-undrawn"),
    ],
    ids=["not checked", "not drawn"],
)
def test_what_the_shop_can_find_out_leaves_no_verdict(other: dict[str, Any], reason: str) -> None:
    """Unless two others are too near already."""
    values: dict[str, Any] = {"diameter": 100.0, "at": (500.0, 0.0)}
    unknown = a_speck(**(values | other))
    found = held(ONE_MM, a_group(a_speck(100.0), unknown))
    assert found.word is NOT_JUDGED and found.reason is not None and found.reason.key == reason
    assert held(ONE_MM, a_group(a_speck(100.0), unknown, a_speck(100.0, (300.0, 0.0)))).word is FAILS


def test_a_picture_narrower_than_the_spacing_only_ever_fails() -> None:
    """0.8 mm of 1 mm: what lies beyond its edge isn't seen."""
    found = held(ONE_MM, a_group(a_speck(100.0), whole_zone=False, shown_um=800.0))
    assert found.word is NOT_JUDGED and found.reason is not None
    assert SPEAKER.say(found.reason) == "the picture shows 0.80 mm, the rule needs 1 mm"
    near = a_speck(100.0), a_speck(100.0, (500.0, 0.0))
    assert held(ONE_MM, a_group(*near, whole_zone=False, shown_um=800.0)).word is FAILS


def test_without_a_scale_or_along_a_soft_edge_there_is_no_distance() -> None:
    """Where there are two; a single one needs none."""
    why = Say.of("measure.no-scale.no-scope-named")
    none: dict[str, Any] = {"ruler": why}
    pair = a_speck(None, None), a_speck(None, None)
    assert held(ONE_MM, a_group(*pair, **none)).reason == why
    assert held(ONE_MM, a_group(pair[0], **none)).word is CONFORMS
    soft = a_group(a_speck(100.0), a_speck(100.0, (300.0, 0.0)))
    assert held(ONE_MM, soft, soft=True).reason == Say.of("reason.item-soft")
    assert held(counting(spacing="1 mm", edge_drawn="at half"), soft, soft=True).word is FAILS


def test_simply_decided_the_value_is_held_unless_it_is_too_uncertain() -> None:
    """1.001 mm conforms simply; with U above a third of the limit it is refused."""
    simple = counting(spacing="1 mm", decision="simple")
    pair = a_speck(None), a_speck(None, (1_001.0, 0.0))
    assert held(simple, a_group(*pair)).word is CONFORMS
    assert held(simple, a_group(*pair, u=200.0)).word is NOT_JUDGED
