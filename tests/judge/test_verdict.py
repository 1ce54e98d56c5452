"""The verdict on one finding, rule by rule."""

from datetime import date
from typing import Any

import pytest

from portal.judge.case import Judged
from portal.judge.criteria import Choice
from portal.judge.verdict import judge
from portal.model.result import Held, Measurement, Unmeasured
from portal.model.say import Say, Several
from portal.model.standard import Criterion, Limit
from portal.model.terms import Characteristic, ShapeKind, VerdictWord
from tests.judge.records import a_case, a_criterion, a_defect, a_finding, a_part, a_sample, applied, measured

CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED
SAMPLE = {"LS-0007": a_sample()}
SHOPS_OWN = {"party": "shop", "by": "M. Vasquell", "date": "2026-01-12"}


def verdict(criterion: Criterion | None, *readings: Measurement, **other: Any) -> tuple[VerdictWord, str]:
    """Word and key of the verdict."""
    found = judge(a_case(criterion, *readings, **other)).verdict
    return found.word, found.key


def seen(answer: str) -> dict[str, Any]:
    """A finding that was or wasn't seen at the set condition."""
    return {"finding": a_finding(seen=answer)}


def a_comparison(**other: Any) -> Criterion:
    """No worse than limit sample LS-0007."""
    fields: dict[str, Any] = {"rule": "no-worse-than", "limits": [], "limit_samples": {"last_good": "LS-0007"}}
    return a_criterion(**(fields | other))


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (120.0, (CONFORMS, "verdict.inside")),
        (148.0, (UNDECIDED, "verdict.undecided")),
        (160.0, (FAILS, "verdict.outside")),
    ],
)
def test_a_measured_limit_comes_to_three_words(value: float, expected: tuple[VerdictWord, str]) -> None:
    """At most 0.150 mm with u = 3 µm."""
    assert verdict(a_criterion(), measured(value)) == expected


def test_undecided_gives_its_short_reason() -> None:
    """The reason of an undecided verdict names the probability."""
    assert judge(a_case(a_criterion(), measured(148.0))).verdict.reason is not None
    assert judge(a_case(a_criterion(), measured(120.0))).verdict.reason is None


def test_without_a_criterion_nothing_is_judged_and_the_value_is_shown() -> None:
    """The program has no limit of its own."""
    found = judge(a_case(None, measured(120.0))).verdict
    assert (found.word, found.key) == (NOT_JUDGED, "verdict.not-agreed")
    assert found.sentence.key == "verdict.not-agreed.value"
    assert found.reason is not None and found.reason.key == "reason.not-agreed"


def test_a_criterion_that_nobody_agreed_is_only_a_proposal() -> None:
    """However far outside the value lies, the verdict is a question."""
    found = judge(a_case(a_criterion(agreed=None), measured(900.0))).verdict
    assert (found.word, found.key) == (NOT_JUDGED, "verdict.not-agreed")
    inner = found.sentence.get("sentence")
    assert isinstance(inner, Say) and inner.key == "verdict.not-agreed.yet"


def test_two_criteria_of_equal_rank_leave_no_verdict() -> None:
    """What can't be chosen can't be judged by."""
    reason = Say.of("reason.equal-rank")
    found = judge(a_case(None, measured(120.0), choice=Choice(refused=reason))).verdict
    assert (found.word, found.key, found.reason) == (NOT_JUDGED, "verdict.not-judged", reason)


@pytest.mark.parametrize("rule", ["none", "no-worse-than", "limits", "allowed"])
def test_not_checked_at_the_set_condition_is_not_judged(rule: str) -> None:
    """Whatever the rule and the value."""
    criterion = a_criterion(rule=rule)
    assert verdict(criterion, measured(900.0), **seen("not checked")) == (NOT_JUDGED, "verdict.not-checked")


@pytest.mark.parametrize("rule", ["none", "no-worse-than", "limits"])
def test_not_seen_at_the_set_condition_is_no_nonconformity(rule: str) -> None:
    """A picture's magnification decides no verdict."""
    assert verdict(a_criterion(rule=rule), measured(900.0), **seen("no")) == (CONFORMS, "verdict.not-seen")


@pytest.mark.parametrize("where", ["class", "zone", "criterion"])
def test_what_touches_more_than_the_look_is_not_excused_by_magnification(where: str) -> None:
    """A concern of the class, the zone or the criterion: judged on, though not seen at the set condition."""
    zones = a_part().zones
    found = judge(
        a_case(
            a_criterion(rule="none", concern="function" if where == "criterion" else None),
            finding=a_finding(seen="no"),
            defect=a_defect(concern="function") if where == "class" else a_defect(),
            zone=zones["B"].model_copy(update={"concern": "function"}) if where == "zone" else zones["B"],
        )
    )
    assert (found.verdict.word, found.verdict.key) == (FAILS, "verdict.not-allowed")
    assert found.concern == "function"
    assert found.verdict.sentence.key == "verdict.with-concern"


def test_rule_none_does_not_conform_where_seen() -> None:
    """Not allowed, and seen: nothing has to be measured."""
    assert verdict(a_criterion(rule="none", limits=[])) == (FAILS, "verdict.not-allowed")


def test_allowed_conforms() -> None:
    """What is allowed conforms, whatever its size."""
    assert verdict(a_criterion(rule="allowed", limits=[]), measured(900.0)) == (CONFORMS, "verdict.allowed")


@pytest.mark.parametrize(
    ("compared", "expected"),
    [
        ("better", (CONFORMS, "verdict.compared-better")),
        ("same", (CONFORMS, "verdict.compared-same")),
        ("worse", (FAILS, "verdict.compared-worse")),
        ("cannot tell", (UNDECIDED, "verdict.compared-cannot-tell")),
        (None, (NOT_JUDGED, "verdict.not-compared")),
    ],
)
def test_comparison_with_a_limit_sample(compared: str | None, expected: tuple[VerdictWord, str]) -> None:
    """Better and same conform, worse doesn't, cannot tell is undecided; no probability anywhere."""
    finding = a_finding() if compared is None else a_finding(compared=compared)
    case = a_case(a_comparison(), measured(120.0), finding=finding, samples=SAMPLE)
    found = judge(case)
    assert (found.verdict.word, found.verdict.key) == expected
    assert found.held == ()


@pytest.mark.parametrize(
    ("samples", "broken", "named", "reason"),
    [
        ({}, {}, {"last_good": "LS-0007"}, "reason.sample-unknown"),
        ({}, {("limit sample", "LS-0007"): "x.yaml:3"}, {"last_good": "LS-0007"}, "reason.sample-broken"),
        (SAMPLE, {}, None, "reason.sample-unnamed"),
    ],
)
def test_a_comparison_needs_its_limit_sample(
    samples: dict[str, Any], broken: dict[tuple[str, str], str], named: dict[str, str] | None, reason: str
) -> None:
    """Without the piece that it was compared with, the inspector's word stands for nothing."""
    finding = a_finding(compared="same")
    found = judge(a_case(a_comparison(limit_samples=named), finding=finding, samples=samples, broken=broken)).verdict
    assert (found.word, found.key) == (NOT_JUDGED, "verdict.no-sample")
    assert found.reason is not None and found.reason.key == reason


@pytest.mark.parametrize(
    ("compared", "word"), [("better", UNDECIDED), ("same", FAILS), ("worse", FAILS), ("cannot tell", UNDECIDED)]
)
def test_beside_a_first_bad_sample_alone_nothing_conforms(compared: str, word: VerdictWord) -> None:
    """The same as a bad piece is bad; better than a bad one may be good or not, which the customer says."""
    samples = {"LS-0008": a_sample("LS-0008", side="first bad")}
    criterion = a_comparison(limit_samples={"first_bad": "LS-0008"})
    found = judge(a_case(criterion, finding=a_finding(compared=compared), samples=samples)).verdict
    assert (found.word, found.key) == (word, "verdict.compared-first-bad")
    assert (found.reason is not None) is (word is UNDECIDED)


def test_without_the_last_good_sample_that_is_named_the_first_bad_one_says_nothing() -> None:
    """Which of both the inspector's word is about, nobody knows."""
    samples = {"LS-0008": a_sample("LS-0008", side="first bad")}
    criterion = a_comparison(limit_samples={"last_good": "LS-0007", "first_bad": "LS-0008"})
    found = judge(a_case(criterion, finding=a_finding(compared="same"), samples=samples)).verdict
    assert (found.word, found.key) == (NOT_JUDGED, "verdict.no-sample")
    assert found.reason is not None and found.reason.get("samples") == Several(("LS-0007",))


@pytest.mark.parametrize(("expires", "warned"), [("2026-03-03", True), ("2026-03-04", False)])
def test_an_expired_limit_sample_warns_where_it_is_used(expires: str, warned: bool) -> None:
    """On the trial's day, the last day of the sample included; the verdict's word stays."""
    samples = {"LS-0007": a_sample(expires=date.fromisoformat(expires))}
    found = judge(a_case(a_comparison(), finding=a_finding(compared="same"), samples=samples)).verdict
    assert found.word is CONFORMS
    assert (found.sentence.key == "verdict.with-warning") is warned


@pytest.mark.parametrize(
    ("sample", "criterion", "warnings"),
    [
        ({}, {}, []),
        ({"condition": "low-angle-10"}, {}, ["verdict.sample.condition"]),
        ({"zone_class": "A"}, {}, ["verdict.sample.zone-class"]),
        ({"zone_class": "A"}, {"zone_class": None, "zone": "B"}, ["verdict.sample.zone-class"]),
        ({}, {"zone_class": None, "zone": "B"}, []),
    ],
)
def test_a_limit_sample_that_was_agreed_otherwise_warns_beside_the_verdict(
    sample: dict[str, Any], criterion: dict[str, Any], warnings: list[str]
) -> None:
    """Another light or magnification shows another thing; a criterion of one zone means that zone's class."""
    samples = {"LS-0007": a_sample(**sample)}
    found = judge(a_case(a_comparison(**criterion), finding=a_finding(compared="same"), samples=samples)).verdict
    assert found.word is CONFORMS
    told, sentence = [], found.sentence
    while sentence.key == "verdict.with-warning":
        warning, sentence = sentence.get("warning"), sentence.get("sentence")  # type: ignore[assignment]
        assert isinstance(warning, Say) and warning.get("sample") == "LS-0007"
        told.append(warning.key)
    assert told == warnings


@pytest.mark.parametrize("rule", ["limits", "no-worse-than"])
@pytest.mark.parametrize(
    ("prevails", "key"), [(None, "verdict.inside"), ("number", "verdict.inside"), ("sample", "verdict.compared-worse")]
)
def test_where_number_and_sample_both_exist_the_number_rules_unless_told(
    rule: str, prevails: str | None, key: str
) -> None:
    """Measured inside and compared as worse: `prevails` decides which is the verdict."""
    criterion = a_criterion(rule=rule, limit_samples={"last_good": "LS-0007"}, prevails=prevails)
    finding = a_finding(compared="worse")
    assert verdict(criterion, measured(100.0), finding=finding, samples=SAMPLE)[1] == key


def test_what_does_not_prevail_is_told_where_it_says_otherwise() -> None:
    """Measured inside and compared as worse: either way round the other's own sentence stands beside the verdict."""
    finding = a_finding(compared="worse")
    for prevails, other in (("number", "verdict.compared-worse"), ("sample", "verdict.inside")):
        criterion = a_criterion(limit_samples={"last_good": "LS-0007"}, prevails=prevails)
        found = judge(a_case(criterion, measured(100.0), finding=finding, samples=SAMPLE)).verdict
        beside = found.sentence.get("other")
        assert found.sentence.key == f"verdict.prevails.{prevails}"
        assert isinstance(beside, Say) and beside.key == other


@pytest.mark.parametrize(("value", "compared"), [(100.0, "better"), (170.0, "worse"), (100.0, None)])
def test_where_number_and_sample_agree_or_one_says_nothing_the_verdict_stands_alone(
    value: float, compared: str | None
) -> None:
    """Both inside, both outside, nobody compared."""
    finding = a_finding() if compared is None else a_finding(compared=compared)
    criterion = a_criterion(limit_samples={"last_good": "LS-0007"})
    found = judge(a_case(criterion, measured(value), finding=finding, samples=SAMPLE)).verdict
    assert found.sentence.key in ("verdict.inside", "verdict.outside")


def test_what_prevails_leaves_no_verdict_where_it_is_missing() -> None:
    """The number prevails and nobody measured: the comparison is told and is no verdict; and the other way round."""
    finding = a_finding(compared="same")
    number = a_criterion(limit_samples={"last_good": "LS-0007"})
    assert verdict(number, finding=finding, samples=SAMPLE) == (NOT_JUDGED, "verdict.not-measured")
    sample = a_criterion(limit_samples={"last_good": "LS-0007"}, prevails="sample")
    assert verdict(sample, measured(100.0), samples=SAMPLE) == (NOT_JUDGED, "verdict.not-compared")


def test_a_count_is_a_number_too() -> None:
    """Counted inside and compared as worse: the number prevails unless told."""
    counted = (Held(Limit(characteristic=Characteristic.COUNT), CONFORMS, Say.of("verdict.count-inside")),)
    for prevails, word in ((None, CONFORMS), ("sample", FAILS)):
        criterion = a_criterion(
            limits=[], count=[{"max": "3", "per": "zone"}], limit_samples={"last_good": "LS-0007"}, prevails=prevails
        )
        case = a_case(criterion, finding=a_finding(compared="worse"), samples=SAMPLE, counted=counted)
        assert judge(case).verdict.word is word


TWO = [{"characteristic": "height", "max": "0.150 mm"}, {"characteristic": "string-length", "max": "0.5 mm"}]


def test_of_several_limits_the_worst_stands_and_each_is_held() -> None:
    """A height inside and a string too long: does not conform, both shown."""
    case = a_case(a_criterion(limits=TWO), measured(100.0), measured(600.0, characteristic="string-length"))
    found = judge(case)
    assert found.verdict.word is FAILS
    assert [each.word for each in found.held] == [CONFORMS, FAILS]


def test_every_limit_needs_its_characteristic() -> None:
    """The height conforms or is undecided, the string isn't measured: not judged."""
    for value in (100.0, 148.0):
        assert verdict(a_criterion(limits=TWO), measured(value)) == (NOT_JUDGED, "verdict.not-measured")


def test_unless_another_fails_already() -> None:
    """The height is outside: nothing about the string can mend it."""
    assert verdict(a_criterion(limits=TWO), measured(170.0)) == (FAILS, "verdict.outside")


def test_why_a_drawn_height_could_not_be_read_is_in_the_reason() -> None:
    """Drawn face-on: the sentence says what the view sees."""
    refused = Unmeasured(Characteristic.HEIGHT, Say.of("measure.not-in-this-view"))
    found = judge(a_case(a_criterion(), readings=(refused,))).verdict
    assert (found.word, found.key) == (NOT_JUDGED, "verdict.not-measured")
    assert found.sentence.get("why") == refused.reason


def test_rule_limits_without_limits_is_not_judged() -> None:
    """Nothing to hold against is no pass."""
    assert verdict(a_criterion(limits=[]), measured(1.0)) == (NOT_JUDGED, "verdict.no-limits")


@pytest.mark.parametrize(
    "counted", [{"count": [{"max": "3", "per": "zone"}]}, {"spacing": "1 mm"}], ids=["count", "spacing"]
)
@pytest.mark.parametrize(
    "limits", [[], [{"characteristic": "height", "max": "0.150 mm"}]], ids=["alone", "and a limit"]
)
def test_a_criterion_that_counts_is_not_judged_without_its_counts(
    counted: dict[str, Any], limits: list[dict[str, str]]
) -> None:
    """What was measured of the finding alone is no count: whoever judges has to bring them."""
    criterion = a_criterion(limits=limits, **counted)
    with pytest.raises(ValueError, match="the case brings no counts"):
        judge(a_case(criterion, measured(1.0)))


def test_counts_do_not_hide_a_limit_that_fails() -> None:
    """What is outside one limit does not conform, whatever the count comes to."""
    criterion = a_criterion(count=[{"max": "3", "per": "zone"}])
    counted = (Held(Limit(characteristic=Characteristic.COUNT), NOT_JUDGED, Say.of("verdict.count-unknown")),)
    assert verdict(criterion, measured(170.0), counted=counted) == (FAILS, "verdict.outside")


def test_a_soft_class_has_no_verdict_by_its_outline() -> None:
    """The outline of a sink is information; its depth in profile is judged."""
    extent = a_criterion(limits=[{"characteristic": "length", "max": "1 mm"}])
    soft = {"defect": a_defect("sink-mark", edge="soft")}
    outlined = measured(300.0, characteristic="length", shape=ShapeKind.OUTLINE)
    assert verdict(extent, outlined, **soft) == (NOT_JUDGED, "verdict.soft-edge")
    assert verdict(extent, outlined)[0] is CONFORMS, "a sharp class is judged by its outline"
    depth = a_criterion(limits=[{"characteristic": "depth", "max": "0.02 mm"}])
    assert verdict(depth, measured(5.0, characteristic="depth"), **soft)[0] is CONFORMS


LOOSE = {"finding": a_finding(attached="false"), "defect": a_defect("flash")}


@pytest.mark.parametrize("rule", ["limits", "allowed", "no-worse-than"])
def test_loose_flash_is_never_judged_by_a_cosmetic_limit(rule: str) -> None:
    """However small: it is contamination, to be decided by a named role."""
    found = judge(a_case(a_criterion(rule=rule), measured(1.0), **LOOSE))
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.loose")
    assert found.concern == "contamination"


def test_loose_flash_asks_for_no_limit_to_be_agreed() -> None:
    """Without a criterion it is contamination all the same."""
    assert verdict(None, **LOOSE) == (NOT_JUDGED, "verdict.loose")


def test_loose_flash_where_flash_is_forbidden_does_not_conform() -> None:
    """`none` is no cosmetic limit."""
    found = judge(a_case(a_criterion(rule="none"), **LOOSE))
    assert (found.verdict.word, found.concern) == (FAILS, "contamination")


def test_a_short_shot_never_conforms_by_the_shops_own_word() -> None:
    """Its class touches function: what only the shop agreed with itself becomes a question."""
    short = {"defect": a_defect("short-shot", concern="function")}
    limits = [{"characteristic": "missing-length", "max": "0.2 mm"}]
    reading = measured(10.0, characteristic="missing-length")
    assert verdict(a_criterion(limits=limits, agreed=SHOPS_OWN), reading, **short) == (NOT_JUDGED, "verdict.not-agreed")
    assert verdict(a_criterion(limits=limits), reading, **short) == (CONFORMS, "verdict.inside")


def test_a_sharp_tip_may_injure() -> None:
    """Felt by a named method: the gravest concern is told, whatever the class says."""
    tip = a_finding(checks=[{"what": "sharp tip", "result": "yes", "method": "probe"}])
    found: Judged = judge(a_case(a_criterion(), measured(100.0), finding=tip, defect=a_defect(concern="function")))
    assert found.concern == "injury"
    assert found.verdict.word is CONFORMS


@pytest.mark.parametrize(
    ("named", "role"), [("quality engineer", "quality engineer"), (None, Say.of("verdict.concern.role"))]
)
def test_who_decides_what_pictures_cannot_show_is_named(named: str | None, role: str | Say) -> None:
    """The role that the criterion names; where it names none, one that is still to be named."""
    criterion = a_criterion(concern="function", decided_by=named)
    beside = judge(a_case(criterion, measured(100.0))).verdict.sentence.get("concern")
    assert isinstance(beside, Say) and beside.get("role") == role


def test_not_checked_is_not_judged_even_where_it_touches_more_than_the_look() -> None:
    """Shown all the same, with who decides; seen or not, it would be judged on."""
    found = judge(a_case(a_criterion(rule="none", concern="injury"), finding=a_finding(seen="not checked")))
    assert (found.verdict.word, found.verdict.key, found.concern) == (NOT_JUDGED, "verdict.not-checked", "injury")


def test_no_concern_adds_no_sentence() -> None:
    """A plain look stays plain."""
    found = judge(a_case(a_criterion(), measured(100.0)))
    assert found.concern is None and found.verdict.sentence.key == "verdict.inside"


def test_the_criterion_decides_even_where_others_were_set_aside() -> None:
    """What was set aside has no say."""
    choice = Choice(applied(a_criterion()), (applied(a_criterion(rule="none")),))
    assert verdict(None, measured(100.0), choice=choice)[0] is CONFORMS
