"""One limit against what was measured, and that its words never contradict its verdict."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.judge.limits import hold
from portal.model import show
from portal.model.result import Held, Unmeasured
from portal.model.say import Quantity, Say
from portal.model.scalars import UM_PER_INCH, Length
from portal.model.standard import Limit
from portal.model.terms import Characteristic, ShapeKind, VerdictWord
from tests.judge.records import a_criterion, measured

MAX = {"characteristic": "height", "max": "0.150 mm"}
BOTH = {"characteristic": "height", "max": "0.150 mm", "min": "-0.050 mm"}


def a_limit(**fields: str) -> Limit:
    """A limit as it would stand in a file."""
    return Limit.model_validate(fields)


def held(value: float, u: float = 3.0, *, limit: Limit | None = None, decision: str = "guarded") -> Held:
    """One measured height against a limit."""
    return hold(limit or a_limit(**MAX), [measured(value, u)], criterion=a_criterion(decision=decision))


def inner(held: Held, name: str) -> Say:
    """A sentence within the sentence."""
    value = held.sentence.get(name)
    assert isinstance(value, Say)
    return value


def length(say: Say, name: str) -> Length:
    """A length that a sentence shows."""
    value = say.get(name)
    assert isinstance(value, Length)
    return value


def spoken(held: Held) -> str:
    """The value with its ± as the sentence shows it."""
    value = held.sentence.get("value")
    assert isinstance(value, Quantity)
    return show.measured(value.um, value.expanded_um, "mm", against_um=value.against_um)


def test_the_value_of_the_example_is_undecided_inside() -> None:
    """0.148 mm ± 0.006 mm against at most 0.150 mm: 75 % inside, called conforming up to 0.145 mm."""
    found = held(148.0)
    assert found.word is VerdictWord.UNDECIDED
    assert found.sentence.key == "verdict.undecided.inside"
    assert show.percent(found.probability or 0.0) == "75 %"
    assert show.as_agreed(length(inner(found, "accept"), "max")) == "0.145 mm"
    assert found.accept_max_um == pytest.approx(145.05)
    assert found.reject_above_um == pytest.approx(154.95)
    assert found.accept_min_um is None and found.reject_below_um is None


def test_leaning_outside_tells_the_other_bound() -> None:
    """0.152 mm is 25 % inside; called not conforming above 0.155 mm."""
    found = held(152.0)
    assert found.sentence.key == "verdict.undecided.outside"
    assert show.as_agreed(length(inner(found, "reject"), "max")) == "0.155 mm"


def test_on_the_limit_is_even() -> None:
    """A value on the limit is as likely inside as outside."""
    assert held(150.0).sentence.key == "verdict.undecided.even"


def test_as_likely_inside_as_outside_needs_no_further_digits() -> None:
    """149.98 µm ± 6 µm is said as 0.150 mm: no side of the limit is claimed; 149.7 µm leans, and so shows its side."""
    assert spoken(held(149.98)) == "0.150 mm ± 0.006 mm"
    assert held(149.7).sentence.key == "verdict.undecided.inside"
    assert spoken(held(149.7)) == "0.1497 mm ± 0.0060 mm"


@pytest.mark.parametrize(("value", "word"), [(120.0, VerdictWord.CONFORMS), (160.0, VerdictWord.DOES_NOT_CONFORM)])
def test_well_inside_and_well_outside(value: float, word: VerdictWord) -> None:
    """Far from the limit either claim is plain."""
    assert held(value).word is word


def test_a_plucked_gate_is_below_the_lower_limit() -> None:
    """Height is signed: -0.070 mm is outside of -0.050 mm to 0.150 mm."""
    found = held(-70.0, limit=a_limit(**BOTH))
    assert found.word is VerdictWord.DOES_NOT_CONFORM
    assert found.accept_min_um == pytest.approx(-45.05)


def test_a_limit_in_inches_is_judged_on_the_exact_conversion() -> None:
    """0.006 in is 152.4 µm exactly: 147.4 with u = 3 µm lies within 152.4 - 4.95, 147.5 doesn't."""
    limit = a_limit(characteristic="height", max="0.006 in")
    assert held(147.4, limit=limit).word is VerdictWord.CONFORMS
    assert held(147.5, limit=limit).word is VerdictWord.UNDECIDED


def test_limits_too_near_for_the_uncertainty_say_so() -> None:
    """Between 0 and 0.010 mm with u = 3 µm nothing can be called conforming."""
    found = held(5.0, limit=a_limit(characteristic="height", max="0.010 mm", min="0 mm"))
    assert found.word is VerdictWord.UNDECIDED
    assert inner(found, "accept").key == "verdict.accept.none"
    assert found.accept_min_um is None and found.accept_max_um is None


def test_simple_compares_the_value() -> None:
    """0.150 mm conforms to at most 0.150 mm, 0.151 mm does not."""
    assert held(150.0, decision="simple").word is VerdictWord.CONFORMS
    assert held(151.0, decision="simple").word is VerdictWord.DOES_NOT_CONFORM


def test_simple_is_refused_where_u_is_too_large() -> None:
    """U = 52 µm is more than a third of 150 µm."""
    found = held(100.0, 26.0, decision="simple")
    assert (found.word, found.sentence.key) == (VerdictWord.NOT_JUDGED, "verdict.too-uncertain")


def test_a_limit_of_zero_alone_is_not_judged_simply() -> None:
    """Nothing is a third of zero."""
    found = held(-5.0, 0.1, limit=a_limit(characteristic="height", max="0 mm"), decision="simple")
    assert (found.word, found.sentence.key) == (VerdictWord.NOT_JUDGED, "verdict.too-uncertain.zero")


def test_of_several_measurements_the_worst_counts() -> None:
    """Two heights in one finding: the one outside is held, whichever comes first."""
    limit = a_limit(**MAX)
    for values in ((100.0, 170.0), (170.0, 100.0)):
        found = hold(limit, [measured(value) for value in values], criterion=a_criterion())
        assert found.measurement is not None and found.measurement.value == 170.0
        assert found.word is VerdictWord.DOES_NOT_CONFORM


def test_what_was_not_measured_is_not_judged() -> None:
    """A length says nothing about a height."""
    found = hold(a_limit(**MAX), [measured(10.0, characteristic="length")], criterion=a_criterion())
    assert (found.word, found.sentence.key) == (VerdictWord.NOT_JUDGED, "verdict.not-measured")


def test_why_it_could_not_be_measured_is_told() -> None:
    """The reason of the refused reading is in the sentence."""
    reason = Say.of("measure.not-in-this-view")
    found = hold(a_limit(**MAX), [Unmeasured(Characteristic.HEIGHT, reason)], criterion=a_criterion())
    assert found.sentence.key == "verdict.not-measured.refused"
    assert found.sentence.get("why") == reason


def test_the_outline_of_a_soft_edge_is_information() -> None:
    """An outlined length of a soft class has no verdict, unless the criterion says how the edge is drawn."""
    limit = a_limit(characteristic="length", max="1 mm")
    outlined = measured(300.0, characteristic="length", shape=ShapeKind.OUTLINE)
    found = hold(limit, [outlined], criterion=a_criterion(), soft=True)
    assert (found.word, found.sentence.key) == (VerdictWord.NOT_JUDGED, "verdict.soft-edge")
    drawn = a_criterion(edge_drawn="at half of the step in brightness")
    assert hold(limit, [outlined], criterion=drawn, soft=True).word is VerdictWord.CONFORMS
    gauge = measured(300.0, characteristic="length", shape=None)
    assert hold(limit, [gauge], criterion=a_criterion(), soft=True).word is VerdictWord.CONFORMS


def test_areas_are_not_judged() -> None:
    """A limit alone holds lengths only."""
    limit = a_limit(characteristic="area", max="1 mm")
    found = hold(limit, [measured(5.0, characteristic="area")], criterion=a_criterion())
    assert (found.word, found.sentence.key) == (VerdictWord.NOT_JUDGED, "verdict.area")


def _number(text: str) -> float:
    match = re.match(r"[−\d.]+", text)
    assert match is not None
    return float(match.group().replace("−", "-"))


def _shown(quantity: Quantity, unit: str) -> float:
    return _number(show.measured(quantity.um, quantity.expanded_um, unit, against_um=quantity.against_um))


LIMITS = st.sampled_from(
    [
        ("0.150 mm", "-0.050 mm"),
        ("0.15 mm", "0 mm"),
        ("0.006 in", "0.001 in"),
        ("150 um", "20 um"),
        ("0.015 cm", "0 cm"),
    ]
)


def test_a_bound_that_rounds_to_nothing_has_no_sign() -> None:
    """Called conforming from -0.00005 mm up, rounded towards the inside, is from 0.000 mm up."""
    found = held(20.0, limit=a_limit(characteristic="height", min="-0.00505 mm"))
    assert show.as_agreed(length(inner(found, "accept"), "min")) == "−0.00010 mm"
    found = held(20.0, limit=a_limit(characteristic="height", min="-0.005 mm"))
    assert show.as_agreed(length(inner(found, "accept"), "min")) == "0.000 mm"


@settings(deadline=None)
@given(
    texts=LIMITS,
    start=st.sampled_from(["anywhere", "low", "high"]),
    offset=st.floats(-1, 1),
    u=st.floats(0.2, 40),
    sides=st.sampled_from(["max", "min", "both"]),
)
def test_the_words_never_contradict_the_verdict(
    texts: tuple[str, str], start: str, offset: float, u: float, sides: str
) -> None:
    """Read back from what is shown, a value lies on the same side of every bound as the verdict says.

    Values are drawn from everywhere, and close to where a claim begins.
    """
    value = {"anywhere": 75 + 175 * offset, "low": 1.65 * u + offset, "high": 150 - 1.65 * u + offset}[start]
    given_limits = {"max": texts[0], "min": texts[1]}
    limit = a_limit(
        characteristic="height", **{key: given_limits[key] for key in given_limits if sides in (key, "both")}
    )
    found = held(value, u, limit=limit)
    quantity = found.sentence.get("value")
    assert isinstance(quantity, Quantity) and quantity.like is not None
    unit = "mm" if quantity.like.unit == "cm" else quantity.like.unit
    accept, reject = dict(inner(found, "accept").values), dict(inner(found, "reject").values)
    value_shown = _shown(quantity, unit)
    inside = bool(accept)
    for bounds, accepting in ((accept, True), (reject, False)):
        for side, bound in bounds.items():
            assert isinstance(bound, Length)
            beyond = value_shown > _number(show.as_agreed(bound))
            if side == "min":
                beyond = value_shown < _number(show.as_agreed(bound))
            if accepting:
                inside = inside and not beyond
            else:
                assert not beyond or found.word is VerdictWord.DOES_NOT_CONFORM
    assert inside is (found.word is VerdictWord.CONFORMS)


@settings(deadline=None)
@given(value=st.floats(60, 240), u=st.floats(0.5, 20))
def test_a_limit_in_another_unit_is_judged_alike(value: float, u: float) -> None:
    """An inch is 25.4 mm exactly: the same limit written otherwise gives the same word."""
    inches = a_limit(characteristic="height", max="0.006 in")
    um = a_limit(characteristic="height", max=f"{0.006 * UM_PER_INCH:.1f} um")
    assert held(value, u, limit=inches).word is held(value, u, limit=um).word
