"""Counts on one picture: bands, borders, lines, doubt, and what the picture shows."""

from typing import Any

import pytest

from portal.judge.counts import hold
from portal.model.countable import Countable, Group
from portal.model.result import Held, Unmeasured
from portal.model.say import Say, Several
from portal.model.standard import Criterion
from portal.model.terms import Characteristic, VerdictWord
from portal.site.words import Speaker
from tests.judge.countables import NOT_CHECKED, a_group, a_speck, counting

CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED
SPEAKER = Speaker("en", "mm", lambda slug: slug.replace("-", " "))
BAND = {"from": "0.1 mm", "to": "0.2 mm", "max": "1"}


def held(criterion: Criterion, group: Group, *, soft: bool = False) -> Held:
    """The first count of the criterion."""
    return hold(criterion.count[0], group, criterion=criterion, zone="B", soft=soft)


def said(criterion: Criterion, group: Group) -> str:
    """Its sentence."""
    return SPEAKER.say(held(criterion, group).sentence)


def named(found: Held) -> list[str]:
    """The ones that a sentence names, by their numbers."""
    items = found.sentence.get("items")
    assert isinstance(items, Several)
    return [SPEAKER.value(each).partition(" (")[0] for each in items.items]


@pytest.mark.parametrize(("n", "word"), [(0, CONFORMS), (2, CONFORMS), (3, FAILS)])
def test_more_than_the_number_allowed_does_not_conform(n: int, word: VerdictWord) -> None:
    """At most two, of any size."""
    group = a_group(*(a_speck(150.0) for _ in range(n)))
    assert held(counting({"max": "2"}), group).word is word


@pytest.mark.parametrize(
    ("diameter", "word"),
    [(90.0, CONFORMS), (97.0, UNDECIDED), (104.0, UNDECIDED), (110.0, FAILS), (198.0, UNDECIDED), (210.0, CONFORMS)],
)
def test_a_size_near_a_border_is_doubtful(diameter: float, word: VerdictWord) -> None:
    """None from 0.1 to 0.2 mm; the one-sided 95 % interval is 1.65 × 3 µm = 4.95 µm to either side."""
    assert held(counting(BAND | {"max": "0"}), a_group(a_speck(diameter))).word is word


@pytest.mark.parametrize(("diameter", "word"), [(99.99, CONFORMS), (100.0, FAILS), (200.0, FAILS), (200.01, CONFORMS)])
def test_a_simple_decision_takes_the_size_as_it_is_and_both_borders_belong(diameter: float, word: VerdictWord) -> None:
    """No doubt, and no gap between one band and the next."""
    assert held(counting(BAND | {"max": "0"}, decision="simple"), a_group(a_speck(diameter))).word is word


def test_doubtful_ones_that_change_nothing_leave_the_verdict() -> None:
    """One sure and one doubtful against at most two, and two sure and one doubtful against at most one."""
    assert held(counting(BAND | {"max": "2"}), a_group(a_speck(150.0), a_speck(100.0))).word is CONFORMS
    assert held(counting(BAND), a_group(a_speck(150.0), a_speck(150.0), a_speck(100.0))).word is FAILS


def test_undecided_names_those_that_decide_with_their_sizes() -> None:
    """The second and the third lie too near 0.1 mm."""
    group = a_group(a_speck(150.0), a_speck(101.0), a_speck(98.0), a_speck(50.0))
    found = held(counting(BAND), group)
    assert (found.word, found.sentence.key) == (UNDECIDED, "verdict.count-undecided.size")
    assert named(found) == ["7K3F no. 2", "7K3F no. 3"]
    assert SPEAKER.say(found.sentence) == (
        "Counted on one picture, black speck of 0.1 mm to 0.2 mm in zone B: 1 for certain and up to 3, against at "
        "most 1. It is decided by 7K3F no. 2 (0.101 mm ± 0.006 mm) and 7K3F no. 3 (0.098 mm ± 0.006 mm), whose sizes "
        "are too near a border of what is counted."
    )


def test_of_many_that_decide_some_are_named_and_the_rest_is_a_number() -> None:
    """Nine doubtful ones: six names, and three more."""
    text = said(counting(BAND), a_group(*(a_speck(100.0) for _ in range(9))))
    assert "7K3F no. 6 (0.100 mm ± 0.006 mm) and 3 more, whose sizes" in text and "no. 7" not in text


def test_what_is_smaller_than_the_smallest_counted_does_not_exist() -> None:
    """Specks of 40 µm under a smallest of 50 µm; at 52 µm it is too close to call."""
    criterion = counting({"max": "0"}, smallest_counted="0.05 mm")
    assert held(criterion, a_group(a_speck(40.0), a_speck(44.0))).word is CONFORMS
    assert held(criterion, a_group(a_speck(52.0))).word is UNDECIDED
    assert held(criterion, a_group(a_speck(60.0))).word is FAILS
    assert "black speck of at least 0.05 mm in zone B" in said(criterion, a_group())


def test_a_band_below_the_smallest_counted_stays_empty() -> None:
    """Up to 0.2 mm, of at least 0.05 mm: a speck of 40 µm is none."""
    criterion = counting({"to": "0.2 mm", "max": "0"}, smallest_counted="0.05 mm")
    assert held(criterion, a_group(a_speck(40.0))).word is CONFORMS
    assert held(criterion, a_group(a_speck(150.0))).word is FAILS


def test_a_point_counts_only_where_no_band_is_set() -> None:
    """It has no size: left out of a band, which the sentence says, and counted without one."""
    points = (a_speck(None), a_speck(None))
    assert held(counting({"max": "1"}), a_group(*points)).word is FAILS
    banded = a_group(*points, a_speck(150.0))
    assert held(counting(BAND), banded).word is CONFORMS
    assert said(counting(BAND), banded).endswith(": 1, against at most 1. 2 points have no size and are left out.")


def test_where_only_points_were_drawn_a_band_has_no_verdict() -> None:
    """Five points against one of a size: nobody measured whether they are of that size."""
    found = held(counting(BAND), a_group(*(a_speck(None) for _ in range(5))))
    assert (found.word, found.sentence.key) == (NOT_JUDGED, "verdict.count-unknown")
    assert found.reason == Say.of("reason.item-points")


@pytest.mark.parametrize(
    ("length", "width", "word"),
    [(300.0, 100.0, FAILS), (190.0, 110.0, CONFORMS), (220.0, 110.0, UNDECIDED)],
    ids=["a line", "a point", "twice as long as wide"],
)
def test_longer_than_twice_its_width_counts_as_a_line(length: float, width: float, word: VerdictWord) -> None:
    """None of 0.21 to 0.4 mm: by its length where it is a line, by the mean of both where it isn't."""
    speck = a_speck((length + width) / 2, length=length, width=width)
    criterion = counting({"from": "0.21 mm", "to": "0.4 mm", "max": "0"}, line_if_longer_than_twice_width="true")
    assert held(criterion, a_group(speck)).word is word


def test_without_that_rule_a_long_one_counts_by_its_mean_diameter() -> None:
    """0.300 × 0.060 mm is 0.180 mm."""
    speck = a_speck(180.0, length=300.0, width=60.0)
    assert held(counting(BAND | {"max": "0"}), a_group(speck)).word is FAILS


def test_a_drawn_line_counts_by_its_length() -> None:
    """A hair of 0.150 mm has no width that was drawn."""
    hair = a_speck(None, length=150.0, is_line=True)
    assert held(counting(BAND | {"max": "0"}), a_group(hair)).word is FAILS


@pytest.mark.parametrize(("area", "word"), [(9_000.0, CONFORMS), (10_002.0, UNDECIDED), (20_000.0, FAILS)])
def test_a_band_of_areas_goes_by_the_area(area: float, word: VerdictWord) -> None:
    """None from 0.01 mm² on."""
    criterion = counting({"from_area": "0.01 mm²", "max": "0"})
    speck = a_speck(None, area=area)
    assert held(criterion, a_group(speck)).word is word
    assert "black speck of 0.01 mm² in area and more in zone B" in said(criterion, a_group(speck))


def test_a_total_over_classes_counts_the_others_in() -> None:
    """One speck and one bubble against one of both."""
    bubble = a_speck(150.0, defect="bubble")
    group = a_group(a_speck(150.0), bubble)
    assert held(counting({"max": "1"}), group).word is CONFORMS
    both = counting({"max": "1", "together_with": ["bubble"]})
    assert held(both, group).word is FAILS
    assert said(both, group).startswith("Counted on one picture, black speck and bubble of any size in zone B: 2,")


def test_other_zones_count_only_over_the_whole_part() -> None:
    """One in B, one in C of the same class."""
    group = a_group(a_speck(150.0), a_speck(150.0, zones=("C",)), a_speck(150.0, zones=("B", "C")))
    assert "zone B: 2," in said(counting({"max": "9"}), group)
    assert "on the whole part: 3," in said(counting({"max": "9", "per": "part"}), group)


@pytest.mark.parametrize(
    ("band", "shows", "reason"),
    [
        ({}, {"whole_zone": False}, "reason.zone-not-whole"),
        ({"per": "part"}, {"whole_part": False}, "reason.part-not-whole"),
        ({"per": {"circle": "10 mm"}}, {"whole_zone": False, "shown_um": 7_200.0}, "reason.picture-narrow"),
    ],
)
def test_a_rule_wider_than_the_picture_only_ever_fails(
    band: dict[str, Any], shows: dict[str, Any], reason: str
) -> None:
    """More than allowed does not conform; no more than that, or perhaps more, is not judged."""
    criterion = counting(BAND | band)
    fails = held(criterion, a_group(a_speck(150.0), a_speck(150.0), **shows))
    assert fails.word is FAILS
    one = held(criterion, a_group(a_speck(150.0), **shows))
    doubtful = held(criterion, a_group(a_speck(150.0), a_speck(100.0), **shows))
    for found in (one, doubtful):
        assert found.word is NOT_JUDGED and found.reason is not None and found.reason.key == reason


def test_how_much_the_picture_shows_is_said_beside_what_the_rule_needs() -> None:
    """7.2 mm of 10 mm; a width just below is told with the digits that it needs."""
    criterion = counting({"max": "3", "per": {"circle": "10 mm"}})
    narrow = held(criterion, a_group(whole_zone=False, shown_um=7_200.0))
    assert narrow.reason is not None and SPEAKER.say(narrow.reason) == "the picture shows 7.2 mm, the rule needs 10 mm"
    nearly = held(criterion, a_group(whole_zone=False, shown_um=9_996.0))
    assert nearly.reason is not None and SPEAKER.say(nearly.reason).startswith("the picture shows 9.996 mm,")
    assert held(criterion, a_group(whole_zone=False, shown_um=10_000.0)).word is CONFORMS
    assert held(criterion, a_group(whole_zone=True, shown_um=7_200.0)).word is CONFORMS


def in_a_row(*x: float, **other: Any) -> tuple[Countable, ...]:
    """Specks of 0.150 mm on one line."""
    return tuple(a_speck(150.0, (each, 0.0), **other) for each in x)


def test_the_worst_circle_counts_wherever_it_lies() -> None:
    """Three within 1 mm of each other, a fourth far away."""
    criterion = counting({"max": "2", "per": {"circle": "1 mm"}})
    assert held(criterion, a_group(*in_a_row(100.0, 500.0, 900.0, 5_000.0))).word is FAILS
    assert held(criterion, a_group(*in_a_row(100.0, 700.0, 1_300.0, 5_000.0))).word is CONFORMS


def test_where_they_lie_may_be_too_close_to_call() -> None:
    """Two that are as far apart as the circle is wide: both are named, by their places and not by their sizes."""
    criterion = counting({"max": "1", "per": {"circle": "1 mm"}})
    found = held(criterion, a_group(*in_a_row(0.0, 1_000.0)))
    assert (found.word, found.sentence.key) == (UNDECIDED, "verdict.count-undecided.place")
    assert named(found) == ["7K3F no. 1", "7K3F no. 2"]
    assert held(criterion, a_group(*in_a_row(0.0, 1_004.0))).word is UNDECIDED
    assert held(criterion, a_group(*in_a_row(0.0, 990.0))).word is FAILS
    assert held(criterion, a_group(*in_a_row(0.0, 1_010.0))).word is CONFORMS
    simple = counting({"max": "1", "per": {"circle": "1 mm"}}, decision="simple")
    assert held(simple, a_group(*in_a_row(0.0, 1_000.0))).word is FAILS


def test_only_the_doubtful_ones_within_the_worst_circle_decide() -> None:
    """A doubtful one among two sure ones, another far away."""
    criterion = counting(BAND | {"max": "2", "per": {"circle": "1 mm"}})
    group = a_group(*in_a_row(0.0, 100.0), a_speck(100.0, (200.0, 0.0)), a_speck(100.0, (9_000.0, 0.0)))
    found = held(criterion, group)
    assert (found.word, named(found)) == (UNDECIDED, ["7K3F no. 3"])


def test_a_circle_narrower_than_its_own_doubt_holds_one() -> None:
    """1 µm with an uncertainty of 3 µm: a single one is one, two are undecided."""
    criterion = counting({"max": "0", "per": {"circle": "1 um"}})
    assert held(criterion, a_group(a_speck(150.0))).word is FAILS
    assert held(counting({"max": "1", "per": {"circle": "1 um"}}), a_group(*in_a_row(0.0, 1.0))).word is UNDECIDED


NO_SCALE: dict[str, Any] = {"ruler": Say.of("measure.no-scale.no-scope-named")}


def test_without_a_scale_numbers_count_and_circles_do_not() -> None:
    """How many there are needs no scale; which lie within a circle does, unless there are too few to matter."""
    specks = [a_speck(None, None) for _ in range(2)]
    assert held(counting({"max": "1"}), a_group(*specks, **NO_SCALE)).word is FAILS
    found = held(counting({"max": "1", "per": {"circle": "1 mm"}}), a_group(*specks, **NO_SCALE))
    assert (found.word, found.reason) == (NOT_JUDGED, NO_SCALE["ruler"])
    assert held(counting({"max": "2", "per": {"circle": "1 mm"}}), a_group(*specks, **NO_SCALE)).word is CONFORMS


@pytest.mark.parametrize(
    ("speck", "reason"),
    [
        (a_speck(None, None, is_drawn=False, number=None), "reason.item-undrawn"),
        (a_speck(150.0, unsure=NOT_CHECKED), "reason.not-checked"),
        (
            a_speck(None, sizes=(Unmeasured(Characteristic.DIAMETER, Say.of("measure.no-area")),), is_sizable=True),
            "measure.no-area",
        ),
    ],
    ids=["not drawn", "not checked", "not measured"],
)
def test_what_the_shop_can_find_out_leaves_no_verdict_where_it_matters(speck: Countable, reason: str) -> None:
    """One sure against one allowed, and one that nobody knows of; against two it doesn't matter."""
    found = held(counting(BAND), a_group(a_speck(150.0), speck))
    assert found.word is NOT_JUDGED and found.reason is not None and found.reason.key == reason
    assert held(counting(BAND | {"max": "2"}), a_group(a_speck(150.0), speck)).word is CONFORMS
    assert held(counting(BAND), a_group(a_speck(150.0), a_speck(150.0), speck)).word is FAILS


def test_a_finding_that_was_drawn_nowhere_is_one_wherever_no_size_is_asked() -> None:
    """One that is written down is there; where it lies within a circle nobody knows."""
    undrawn = a_speck(None, None, is_drawn=False)
    assert held(counting({"max": "0"}), a_group(undrawn)).word is FAILS
    found = held(counting({"max": "1", "per": {"circle": "1 mm"}}), a_group(*in_a_row(0.0), undrawn))
    assert (found.word, found.reason) == (NOT_JUDGED, Say.of("reason.item-undrawn"))


def test_along_a_soft_edge_sizes_say_nothing_and_numbers_do() -> None:
    """Unless the criterion says how the edge is drawn."""
    group = a_group(a_speck(150.0), a_speck(150.0))
    found = held(counting(BAND), group, soft=True)
    assert (found.word, found.reason) == (NOT_JUDGED, Say.of("reason.item-soft"))
    assert held(counting({"max": "1"}), group, soft=True).word is FAILS
    assert held(counting(BAND, edge_drawn="at half of the step"), group, soft=True).word is FAILS


def test_in_a_view_that_does_not_see_the_zone_face_on_nothing_is_counted() -> None:
    """The reason is the view's."""
    found = held(counting({"max": "0"}), a_group(a_speck(150.0), refused=Say.of("reason.picture-untagged")))
    assert (found.word, found.reason) == (NOT_JUDGED, Say.of("reason.picture-untagged"))
    assert SPEAKER.say(found.sentence) == (
        "Nothing could be counted, black speck of any size in zone B: the picture has no tag."
    )
