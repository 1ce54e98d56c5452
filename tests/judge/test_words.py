"""The sentences of judging in English, as a customer reads them."""

import re
from pathlib import Path
from typing import Any

import pytest
from babel.messages.pofile import read_po

import portal.assess
import portal.judge
from portal import resources
from portal.judge import rollup
from portal.judge.asks import Asked, propose
from portal.judge.criteria import Choice, choose
from portal.judge.rollup import Gaps
from portal.judge.verdict import judge
from portal.model.result import Assessment, Measurement, Unmeasured
from portal.model.say import Say
from portal.model.standard import Criterion
from portal.model.terms import Characteristic, Compared, Concern, Rule, VerdictWord
from portal.site.words import Speaker
from tests.judge.records import (
    a_case,
    a_criterion,
    a_defect,
    a_finding,
    a_part,
    a_sample,
    a_standard,
    a_trial,
    applied,
    measured,
)

SPEAKER = Speaker("en", "mm", lambda slug: slug.replace("-", " "))
PREFIX = r"(?:verdict|reason|ask|rule|rollup|missing)\."
COMPARED = {"rule": "no-worse-than", "limits": [], "limit_samples": {"last_good": "LS-0007", "first_bad": "LS-0008"}}
ALONE = COMPARED | {"limit_samples": {"first_bad": "LS-0008"}}
BOTH_SAMPLES = {"LS-0007": a_sample(), "LS-0008": a_sample("LS-0008", side="first bad", replaced_by="LS-0021")}


def said(criterion: Criterion | None, *readings: Measurement, **other: Any) -> str:
    """The sentence of a verdict."""
    return SPEAKER.say(judge(a_case(criterion, *readings, **other)).verdict.sentence)


def catalogue_keys() -> set[str]:
    """Every key of judging's message catalogue."""
    with (resources.templates() / "locale" / "en" / "judge.po").open("rb") as file:
        messages = read_po(file, locale="en", abort_invalid=True)
    ids = [message.id for message in messages if message.id]
    return {each[0] if isinstance(each, (tuple, list)) else each for each in ids}


def named_keys() -> set[str]:
    """Every key that the code of judging names, those made of a word of a closed set included."""
    folder = Path(str(portal.judge.__path__[0]))
    above = Path(str(portal.assess.__path__[0]))
    source = "".join(path.read_text(encoding="utf-8") for path in (*folder.glob("*.py"), *above.glob("*.py")))
    stems = {"verdict.accept", "verdict.reject", "verdict.bound.", "verdict.compared-first-bad"}
    whole = set(re.findall(rf'"({PREFIX}[a-z.-]+)"', source)) - stems
    made = {f"verdict.counted.{kind}.{ends}" for kind in ("size", "area") for ends in ("min", "max", "both")}
    made |= {f"verdict.count-undecided.{kind}" for kind in ("size", "place")}
    made |= {f"verdict.spacing-{word.value.replace(' ', '-')}" for word in VerdictWord}
    made |= {f"rule.{rule.value}" for rule in Rule} | {f"verdict.concern.{each.value}" for each in Concern}
    made |= {f"verdict.compared-{each.value.replace(' ', '-')}" for each in Compared}
    made |= {f"verdict.compared-first-bad.{each.value.replace(' ', '-')}" for each in Compared}
    made |= {f"verdict.undecided.{lean}" for lean in ("inside", "outside", "even")}
    made |= {f"verdict.{claim}.{sides}" for claim in ("accept", "reject", "bound") for sides in ("min", "max", "both")}
    made |= {f"reason.{kind}-{what}" for kind in ("part", "defect") for what in ("broken", "unknown")}
    made |= {f"reason.{stem}" for stem in ("not-measured", "soft-edge", "too-uncertain", "area", "no-limits")}
    made |= {f"rollup.{word.value.replace(' ', '-')}" for word in VerdictWord}
    made |= {f"rollup.{gap}" for gap in ("broken-tags", "unreadable", "replaced", "unplaced")}
    made |= {f"ask.{kind}" for kind in ("does-not-conform", "undecided", "not-agreed")}
    return whole | made


def test_every_key_has_its_sentence_and_every_sentence_its_key() -> None:
    """The English catalogue is complete, and holds nothing that nobody says."""
    assert named_keys() == catalogue_keys()


def test_undecided_reads_as_agreed_with_the_trade() -> None:
    """Value, limit, probability, and up to where it would be called conforming."""
    assert said(a_criterion(), measured(148.0)) == (
        "The height is 0.148 mm ± 0.006 mm, against at most 0.150 mm. On this measurement alone it is more likely "
        "inside than outside (75 %), but too close to call: it is called conforming up to 0.145 mm."
    )


def test_a_limit_in_two_digits_is_shown_as_agreed_and_the_bound_to_the_digits_of_u() -> None:
    """At most 0.15 mm stays 0.15 mm; the bound needs a third digit."""
    criterion = a_criterion(limits=[{"characteristic": "height", "max": "0.15 mm"}])
    assert said(criterion, measured(160.0)) == (
        "The height is 0.160 mm ± 0.006 mm, against at most 0.15 mm. On this measurement alone it is outside with a "
        "probability of > 99 %; it is called not conforming above 0.155 mm."
    )


def test_between_two_limits() -> None:
    """Both bounds are told, minus signs included."""
    criterion = a_criterion(limits=[{"characteristic": "height", "max": "0.150 mm", "min": "-0.050 mm"}])
    assert said(criterion, measured(20.0)) == (
        "The height is 0.020 mm ± 0.006 mm, against −0.050 mm to 0.150 mm. On this measurement alone it is inside "
        "with a probability of > 99 %; it is called conforming from −0.045 mm to 0.145 mm."
    )


def test_no_measured_value_is_said_to_be_certain() -> None:
    """However far outside: more than 99 %, never 100 %."""
    assert "100 %" not in said(a_criterion(), measured(9_000.0)) + said(a_criterion(), measured(-9_000.0))


def test_a_value_just_beyond_its_bound_gets_a_digit() -> None:
    """0.14506 mm is undecided: rounded to 0.145 it would read as conforming up to 0.145 mm."""
    assert said(a_criterion(), measured(145.06)).startswith("The height is 0.1451 mm ± 0.0060 mm, against at most")


def test_nothing_agreed_shows_the_value() -> None:
    """No limit of the program's own."""
    assert said(None, measured(148.0)) == (
        "No limit is agreed for gate vestige in zone B. Measured: height 0.148 mm ± 0.006 mm."
    )


def test_a_refused_reading_says_why() -> None:
    """The reason of the measuring room is part of the sentence."""
    reason = Say.of("reason.picture-untagged")
    sentence = said(a_criterion(), readings=(Unmeasured(Characteristic.HEIGHT, reason),))
    assert sentence == "The height has a limit, but is not measured: the picture has no tag."


def test_comparison_names_both_samples_and_warns_of_a_replaced_one() -> None:
    """Better, with what the reader should know of the sample."""
    assert said(a_criterion(**COMPARED), finding=a_finding(compared="better"), samples=BOTH_SAMPLES) == (
        "Compared with limit samples LS-0007 and LS-0008 under stereo-20-ring: better. "
        "Limit sample LS-0008 was replaced by LS-0021."
    )


def test_two_criteria_of_equal_rank_are_both_named() -> None:
    """With their files, so that somebody can mend it."""
    standard = a_standard(a_criterion(id="ONE"), a_criterion(id="TWO"))
    choice = choose(
        "gate-vestige",
        "B",
        part=a_part(),
        trial=a_trial(),
        standards={"small": {"3": standard}},
        broken={},
    )
    assert said(None, choice=choice) == (
        "There is no verdict: two criteria of equal rank (shop-standard): ONE in standards/small/3.yaml "
        "and TWO in standards/small/3.yaml."
    )


EVERY_WAY_OUT: list[tuple[Criterion | None, dict[str, Any]]] = [
    (a_criterion(), {"readings": (measured(120.0),)}),
    (a_criterion(), {"readings": (measured(152.0),)}),
    (a_criterion(), {"readings": (measured(150.0),)}),
    (a_criterion(), {}),
    (a_criterion(decision="simple"), {"readings": (measured(120.0),)}),
    (a_criterion(decision="simple"), {"readings": (measured(190.0),)}),
    (a_criterion(decision="simple"), {"readings": (measured(120.0, 40.0),)}),
    (a_criterion(limits=[{"characteristic": "height", "min": "0 mm"}]), {"readings": (measured(-20.0),)}),
    (
        a_criterion(limits=[{"characteristic": "height", "min": "0 mm", "max": "0.01 mm"}]),
        {"readings": (measured(5.0),)},
    ),
    (a_criterion(limits=[]), {}),
    (a_criterion(limits=[{"characteristic": "area", "max": "1 mm"}]), {}),
    (a_criterion(agreed=None), {"readings": (measured(120.0),)}),
    (a_criterion(rule="none"), {}),
    (a_criterion(rule="none", concern="injury"), {"finding": a_finding(seen="no")}),
    (a_criterion(rule="allowed"), {"defect": a_defect(concern="function")}),
    (
        a_criterion(rule="allowed", agreed={"party": "shop", "by": "M", "date": "2026-01-12"}),
        {"defect": a_defect(concern="contamination")},
    ),
    (a_criterion(), {"finding": a_finding(seen="no")}),
    (a_criterion(), {"finding": a_finding(seen="not checked")}),
    (a_criterion(), {"finding": a_finding(attached="false")}),
    (a_criterion(**COMPARED), {"samples": BOTH_SAMPLES}),
    (a_criterion(**COMPARED), {}),
    (a_criterion(**(COMPARED | {"limit_samples": None})), {}),
    (a_criterion(**COMPARED), {"broken": {("limit sample", "LS-0007"): "x.yaml:3"}}),
    *(
        (a_criterion(**COMPARED), {"finding": a_finding(compared=each), "samples": {"LS-0007": a_sample()}})
        for each in Compared
    ),
    *((a_criterion(**ALONE), {"finding": a_finding(compared=each), "samples": BOTH_SAMPLES}) for each in Compared),
    (None, {"choice": Choice(refused=Say.of("reason.standard-broken", standard="s", revision="3", where="s.yaml:3"))}),
]


@pytest.mark.parametrize(("criterion", "other"), EVERY_WAY_OUT)
def test_every_way_out_can_be_said(criterion: Criterion | None, other: dict[str, Any]) -> None:
    """Whole sentences with nothing left to fill in; the short reason wherever there is no plain answer."""
    verdict = judge(a_case(criterion, **other)).verdict
    sentence = SPEAKER.say(verdict.sentence)
    assert re.fullmatch(r"[A-Z][^{}]*\.", sentence)
    needs_reason = verdict.word in (VerdictWord.NOT_JUDGED, VerdictWord.UNDECIDED)
    assert (verdict.reason is not None) is needs_reason
    if verdict.reason is not None:
        assert re.fullmatch(r"[^{}]*[^{}.]", SPEAKER.say(verdict.reason))
    words = re.findall(r"\b(?:ship|safe|OK|fit for)\b", sentence)
    assert words == []


def test_asks_name_their_cavities() -> None:
    """As one would ask across a table."""
    verdict = judge(a_case(a_criterion(), measured(148.0))).verdict
    cases = [
        Asked(
            a_finding(id=f"7K3{cavity}"),
            Assessment(
                finding=f"7K3{cavity}",
                part="LC-0440",
                mould="M-118",
                trial="T2",
                cavity=cavity,
                picture="a.jpg",
                verdict=verdict,
                applied=applied(a_criterion()),
            ),
        )
        for cavity in ("3", "2")
    ]
    (ask,) = propose(cases)
    assert SPEAKER.say(ask.question) == (
        "Do you judge the gate vestige of cavities 2 and 3 (zone B) inside or outside the agreed limit?"
    )


@pytest.mark.parametrize(
    ("gaps", "text"),
    [
        (Gaps(), "No findings; every required frame was looked at."),
        (Gaps(frames=2), "No findings; 2 frames missing."),
        (Gaps(frames=1, broken_tags=1), "No findings; 1 frame missing and 1 tag can't be read."),
        (Gaps(nothing_required=True), "No findings; no running cavity or no view to look at."),
    ],
)
def test_a_trial_says_what_is_missing(gaps: Gaps, text: str) -> None:
    """Counts in words, singular and plural."""
    assert SPEAKER.say(rollup.trial([], gaps).sentence) == text
