"""Conformance probabilities, guard bands and factors against published examples."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from portal.judge.conformity import Limits, guard_factor, guarded, probability, two_sided_factor
from portal.model import student


def test_jcgm_106_upper_limit_example() -> None:
    """JCGM 106:2012, 7.3.3 example 1: -5.47 V with u = 0.05 V against at most -5.40 V comes to 0.92."""
    found = probability(-5.47, 0.05, limits=Limits(high=-5.40))
    assert round(found, 2) == 0.92
    assert found == pytest.approx(0.91924334, abs=1e-8)


def test_jcgm_106_lower_limit_example() -> None:
    """JCGM 106:2012, 7.3.3 example 2: 509.7 kPa with u = 8.6 kPa against at least 490 kPa comes to 0.99."""
    found = probability(509.7, 8.6, limits=Limits(low=490.0))
    assert round(found, 2) == 0.99
    assert found == pytest.approx(0.98900955, abs=1e-8)


def test_jcgm_106_two_sided_example() -> None:
    """JCGM 106:2012, 7.4 example: 13.6 with u = 1.8 between 12.5 and 16.3 mm²/s comes to 0.66."""
    found = probability(13.6, 1.8, limits=Limits(12.5, 16.3))
    assert round(found, 2) == 0.66
    assert found == pytest.approx(0.66262979, abs=1e-8)


@pytest.mark.parametrize(
    ("chance", "published"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]
)
def test_jcgm_106_table_1(chance: float, published: float) -> None:
    """JCGM 106:2012, 7.3.3 Table 1: how many u a value lies inside one limit for that probability, to two decimals.

    The published 1.64 gives 94.95 %: that is why the guard factor is 1.65.
    """
    z = student.quantile(chance, math.inf)
    assert z == pytest.approx(published, abs=0.0051)
    assert probability(100.0 - z, 1.0, limits=Limits(high=100.0)) == pytest.approx(chance, abs=1e-12)


def test_the_rounded_factor_of_the_table_would_not_reach_95_percent() -> None:
    """1.64 u comes to 94.95 %, 1.65 u (ISO 14253-1:2017, second-hand) to 95.05 %."""
    assert probability(-1.64, 1.0, limits=Limits(high=0.0)) == pytest.approx(0.949497, abs=1e-6)
    assert probability(-guard_factor(), 1.0, limits=Limits(high=0.0)) > 0.95


def test_jcgm_106_guarded_rejection_with_few_degrees_of_freedom() -> None:
    """JCGM 106:2012, 8.3.3.2 example 2: t(0.95; 9) = 1.83, s = 0.20 µg/L, rejected above 2.00 + 0.37 = 2.37."""
    assert round(guard_factor(9.0), 2) == 1.83
    region = guarded(0.20, limits=Limits(high=2.00), dof=9.0)
    assert region.reject_above == pytest.approx(2.3666226, abs=1e-7)
    assert round(region.reject_above or 0.0, 2) == 2.37


def test_a_simple_acceptance_at_the_limit_is_wrong_half_of_the_time() -> None:
    """JCGM 106:2012, 8.3.1.2: a value on the limit itself conforms with a probability of 50 %."""
    assert probability(5.0, 1.0, limits=Limits(high=5.0)) == 0.5


@pytest.mark.parametrize(("margin", "outside"), [(1.1, 0.0079265355), (0.1, 0.41320886)])
def test_a_hole_position_as_in_a_course_note(margin: float, outside: float) -> None:
    """A public course note that cites JCGM 106: tolerance ±5 mm, u = 0.456 mm, 0.8 % and 41 % outside."""
    found = probability(5.0 - margin, 0.456, limits=Limits(-5.0, 5.0))
    assert 1.0 - found == pytest.approx(outside, abs=1e-8)


@pytest.mark.parametrize(
    ("width", "factor"),
    [
        (3.92, 1.953938),
        (4.0, 1.796213),
        (5.0, 1.648767),
        (6.0, 1.644918),
        (8.0, 1.644854),
        (10.0, 1.644854),
        (20.0, 1.644854),
    ],
)
def test_the_factor_for_two_near_limits(width: float, factor: float) -> None:
    """JCGM 106:2012, equations 7 to 11, solved with SciPy: guard in u for 95 % at the acceptance limit."""
    assert two_sided_factor(width) == pytest.approx(factor, abs=1e-6)


def test_limits_nearer_than_the_whole_95_percent_interval_accept_nothing() -> None:
    """Twice the normal 97.5 % point, 3.91993 u, is the least width that holds 95 %."""
    assert two_sided_factor(2 * float(stats.norm.ppf(0.975)) + 1e-6) is not None
    assert two_sided_factor(2 * float(stats.norm.ppf(0.975)) - 1e-6) is None


@settings(deadline=None)
@given(
    value=st.floats(-20, 20),
    u=st.floats(0.1, 10),
    low=st.floats(-20, 0),
    width=st.floats(0.1, 30),
    dof=st.one_of(st.just(math.inf), st.floats(1, 29.9)),
)
def test_the_probability_agrees_with_scipy(value: float, u: float, low: float, width: float, dof: float) -> None:
    """Outside source: scipy.stats, normal from 30 degrees of freedom up, Student's t below."""
    spread = stats.norm(value, u) if math.isinf(dof) else stats.t(dof, value, u)
    expected = float(spread.cdf(low + width) - spread.cdf(low))
    assert probability(value, u, limits=Limits(low, low + width), dof=dof) == pytest.approx(expected, abs=1e-10)
    assert probability(value, u, limits=Limits(low=low), dof=dof) == pytest.approx(float(spread.sf(low)), abs=1e-10)


def test_a_guard_band_of_2_u_accepts_wrongly_in_at_most_2_3_percent() -> None:
    """JCGM 106:2012, 8.3.2.3: with w = U = 2 u a value at the acceptance limit is beyond the limit with 2.3 %."""
    assert 1.0 - probability(8.0, 1.0, limits=Limits(high=10.0)) == pytest.approx(0.022750132, abs=1e-9)


def test_a_guarded_rejection_of_a_speed() -> None:
    """JCGM 106:2012, 8.3.3.2 example 1: above 107 km/h (u 2 %) the limit of 100 km/h is passed by 99.9 %."""
    speed = 106.58708
    assert round(speed) == 107
    beyond = 1.0 - probability(speed, 0.02 * speed, limits=Limits(high=100.0))
    assert beyond == pytest.approx(0.999, abs=1e-6)


def test_with_a_tolerance_of_4_u_only_its_middle_tenth_is_accepted() -> None:
    """JCGM 106:2012, 7.7.5: at C_m = 1 a value conforms with 95 % from 0.45 to 0.55 of the tolerance."""
    found = guarded(0.25, limits=Limits(0.0, 1.0))
    assert (found.accept_low, found.accept_high) == pytest.approx((0.44905318, 0.55094682), abs=1e-6)
