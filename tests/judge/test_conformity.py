"""Regions and calls, checked by hand."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.judge.conformity import (
    Limits,
    call,
    guard_factor,
    guarded,
    probability,
    simple,
    simple_allowed,
    two_sided_factor,
)
from portal.model.terms import VerdictWord

CONFORMS, FAILS, UNDECIDED = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM, VerdictWord.UNDECIDED


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (145.0, CONFORMS),
        (145.05, CONFORMS),
        (145.06, UNDECIDED),
        (150.0, UNDECIDED),
        (154.94, UNDECIDED),
        (154.95, UNDECIDED),
        (154.96, FAILS),
        (-400.0, CONFORMS),
    ],
)
def test_one_upper_limit_has_a_band_of_1_65_u_on_both_sides(value: float, word: VerdictWord) -> None:
    """150 µm with u = 3 µm: conforms up to 145.05, does not conform beyond 154.95, undecided between."""
    assert call(value, guarded(3.0, limits=Limits(high=150.0))) is word


@pytest.mark.parametrize(("value", "word"), [(14.94, UNDECIDED), (14.95, CONFORMS), (5.05, UNDECIDED), (5.04, FAILS)])
def test_one_lower_limit_is_the_mirror_image(value: float, word: VerdictWord) -> None:
    """10 µm with u = 3 µm: conforms from 14.95 up, does not conform below 5.05."""
    assert call(value, guarded(3.0, limits=Limits(low=10.0))) is word


def test_two_limits_far_apart_keep_the_factor_of_one() -> None:
    """At 6 u apart the exact factor is 1.6449; 1.65 is kept."""
    region = guarded(1.0, limits=Limits(0.0, 6.0))
    assert (region.accept_low, region.accept_high) == pytest.approx((1.65, 4.35))


def test_two_limits_within_5_u_take_the_larger_factor() -> None:
    """At 4 u apart the guard is 1.7962 u, so that the acceptance limit itself holds 95 % between both limits."""
    region = guarded(1.0, limits=Limits(0.0, 4.0))
    assert region.accept_high == pytest.approx(4 - 1.796213, abs=1e-6)
    assert probability(region.accept_high or 0.0, 1.0, limits=Limits(0.0, 4.0)) == pytest.approx(0.95, abs=1e-9)


def test_two_limits_too_near_accept_nothing_and_still_reject() -> None:
    """At 3 u apart no value can be called conforming; far outside is still outside."""
    region = guarded(1.0, limits=Limits(0.0, 3.0))
    assert not region.can_accept
    assert call(1.5, region) is UNDECIDED
    assert call(4.66, region) is FAILS


def test_few_degrees_of_freedom_widen_the_band() -> None:
    """Below 30 degrees of freedom the factor is Student's t: 1.8331 at 9; from 30 up it is 1.65."""
    assert guard_factor(9.0) == pytest.approx(1.8331129, abs=1e-7)
    assert guard_factor(30.0) == guard_factor(math.inf) == 1.65


def test_two_limits_hold_95_percent_with_few_degrees_of_freedom_too() -> None:
    """With 2 degrees of freedom limits 9 u apart are near already: t(0.95; 2) = 2.92 alone would hold 93.8 %."""
    limits = Limits(0.0, 9.0)
    region = guarded(1.0, limits=limits, dof=2.0)
    assert (region.accept_low or 0.0) > 2.93
    assert probability(region.accept_low or 0.0, 1.0, limits=limits, dof=2.0) == pytest.approx(0.95, abs=1e-9)


def test_a_value_without_uncertainty_is_held_as_it_is() -> None:
    """With u = 0 a value is inside or outside, nothing between."""
    assert probability(5.0, 0.0, limits=Limits(high=5.0)) == 1.0
    assert probability(5.1, 0.0, limits=Limits(high=5.0)) == 0.0
    assert call(5.0, guarded(0.0, limits=Limits(4.0, 5.0))) is CONFORMS


def test_simple_compares_with_the_limit_itself() -> None:
    """On the limit conforms, the last bits of a floating-point number don't count, beyond does not."""
    region = simple(Limits(0.0, 150.0))
    assert call(150.0, region) is CONFORMS
    assert call(150.00000000000003, region) is CONFORMS
    assert call(150.001, region) is FAILS
    assert call(-0.001, region) is FAILS


@pytest.mark.parametrize(
    ("limits", "expanded", "allowed"),
    [
        (Limits(high=150.0), 50.0, True),
        (Limits(high=150.0), 50.1, False),
        (Limits(low=-50.0, high=150.0), 66.6, True),
        (Limits(low=-50.0, high=150.0), 66.7, False),
        (Limits(high=0.0), 0.001, False),
        (Limits(high=0.0), 0.0, False),
        (Limits(low=0.0, high=150.0), 50.0, True),
    ],
)
def test_simple_is_refused_where_u_is_more_than_a_third(limits: Limits, expanded: float, allowed: bool) -> None:
    """U at most a third of max, or of max - min; a limit of 0 alone never."""
    assert simple_allowed(expanded, limits=limits) is allowed


def test_no_limit_at_all_is_refused() -> None:
    """A limit without max and min can't be held."""
    with pytest.raises(ValueError, match="at least one"):
        Limits()


VALUES = st.floats(-100, 100)
UNCERTAINTIES = st.floats(0.01, 50)
DOFS = st.one_of(st.just(math.inf), st.floats(1, 200))


@settings(deadline=None)
@given(value=VALUES, more=st.floats(0, 50), u=UNCERTAINTIES, limit=VALUES, dof=DOFS)
def test_a_larger_value_is_never_more_probably_below(
    value: float, more: float, u: float, limit: float, dof: float
) -> None:
    """The probability falls with the value against an upper limit, and the call never gets better."""
    limits = Limits(high=limit)
    assert probability(value + more, u, limits=limits, dof=dof) <= probability(value, u, limits=limits, dof=dof) + 1e-12
    region = guarded(u, limits=limits, dof=dof)
    assert call(value + more, region).badness >= call(value, region).badness


@settings(deadline=None)
@given(value=VALUES, u=UNCERTAINTIES, low=VALUES, width=st.floats(0, 100), dof=DOFS)
def test_turning_the_sign_turns_the_limits(value: float, u: float, low: float, width: float, dof: float) -> None:
    """A value between limits and its negative between the negative limits are judged alike."""
    limits, turned = Limits(low, low + width), Limits(-(low + width), -low)
    assert probability(value, u, limits=limits, dof=dof) == pytest.approx(
        probability(-value, u, limits=turned, dof=dof), abs=1e-12
    )
    assert call(value, guarded(u, limits=limits, dof=dof)) is call(-value, guarded(u, limits=turned, dof=dof))


@settings(deadline=None)
@given(value=VALUES, u=UNCERTAINTIES, low=VALUES, width=st.floats(0.1, 100), dof=DOFS)
def test_what_is_called_conforming_holds_95_percent(
    value: float, u: float, low: float, width: float, dof: float
) -> None:
    """Either claim has 95 % behind it, with one limit and with two."""
    limits = Limits(low, low + width)
    chance = probability(value, u, limits=limits, dof=dof)
    word = call(value, guarded(u, limits=limits, dof=dof))
    assert chance >= 0.95 - 1e-9 or word is not CONFORMS
    assert chance <= 0.05 + 1e-9 or word is not FAILS


@settings(deadline=None)
@given(width=st.floats(3.93, 30), dof=st.one_of(st.just(math.inf), st.floats(1, 29)))
def test_the_two_sided_factor_falls_as_limits_part(width: float, dof: float) -> None:
    """The farther apart, the smaller the guard, down to that of one limit."""
    near, far = two_sided_factor(width, dof), two_sided_factor(width * 1.5, dof)
    assert near is None or (far is not None and far <= near + 1e-9)


@pytest.mark.parametrize("value", [-1e6, 1e6])
def test_a_measured_value_is_never_certain(value: float) -> None:
    """A million u from its limit a value is still not said to be inside or outside with 100 %."""
    assert 0.0 < probability(value, 1.0, limits=Limits(high=0.0)) < 1.0
