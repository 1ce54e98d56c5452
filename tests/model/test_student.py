"""Student's t against closed forms and against SciPy."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from portal.model import student

DOFS = (0.7, 1.0, 2.0, 3.5, 9.0, 16.741149, 29.9, 30.0, 200.0, 5_000.0, 99_999.0, 100_001.0, 1e7, math.inf)


def test_one_degree_of_freedom_is_the_arctangent() -> None:
    """For one degree of freedom the probability is 1/2 + atan(t)/π."""
    assert student.cdf(1.0, 1.0) == pytest.approx(0.75, abs=1e-14)
    assert student.quantile(0.75, 1.0) == pytest.approx(1.0, rel=1e-12)


def test_two_degrees_of_freedom_have_a_closed_form() -> None:
    """For two degrees of freedom the probability is 1/2 + t / (2 sqrt(2 + t²))."""
    assert student.cdf(2.0, 2.0) == pytest.approx(0.5 + 1 / math.sqrt(6), abs=1e-14)


def test_infinite_degrees_of_freedom_are_the_normal_distribution() -> None:
    """Without end of degrees of freedom, 97.5 % lie below 1.959964."""
    assert student.quantile(0.975, math.inf) == pytest.approx(1.959963985, abs=1e-9)
    assert student.cdf(0.0, math.inf) == 0.5


@pytest.mark.parametrize("dof", DOFS)
@pytest.mark.parametrize("t", [-40.0, -6.0, -1.8, -0.3, 0.0, 1e-6, 0.5, 1.64, 1.96, 3.0, 12.0])
def test_the_probability_agrees_with_scipy(t: float, dof: float) -> None:
    """Outside source: scipy.stats.t (itself off by 1.4e-11 at t = 1e-6 and one degree of freedom)."""
    assert student.cdf(t, dof) == pytest.approx(float(stats.t.cdf(t, dof)), abs=2e-11 if t == 1e-6 else 1e-13)


@pytest.mark.parametrize("dof", DOFS)
@pytest.mark.parametrize("p", [1e-6, 0.01, 0.05, 0.4999, 0.5, 0.6, 0.95, 0.97725, 0.975, 0.9999])
def test_the_quantile_agrees_with_scipy(p: float, dof: float) -> None:
    """Outside source: scipy.stats.t."""
    assert student.quantile(p, dof) == pytest.approx(float(stats.t.ppf(p, dof)), rel=1e-9, abs=1e-12)


@settings(deadline=None)
@given(t=st.floats(-50, 50), dof=st.floats(0.5, 1e6))
def test_both_sides_of_zero_add_up_to_one(t: float, dof: float) -> None:
    """The distribution is symmetric."""
    assert student.cdf(t, dof) + student.cdf(-t, dof) == pytest.approx(1.0, abs=1e-12)


@settings(deadline=None)
@given(p=st.floats(0.001, 0.999), dof=st.floats(1, 1e6))
def test_the_quantile_undoes_the_probability(p: float, dof: float) -> None:
    """Going there and back changes nothing."""
    assert student.cdf(student.quantile(p, dof), dof) == pytest.approx(p, abs=1e-11)


@pytest.mark.parametrize("dof", [0.0, -1.0, math.nan])
def test_degrees_of_freedom_that_are_none_are_refused(dof: float) -> None:
    """Nothing is worked out from zero, negative or missing degrees of freedom."""
    with pytest.raises(ValueError, match="positive"):
        student.cdf(1.0, dof)


@pytest.mark.parametrize("p", [0.0, 1.0, math.nan])
def test_a_probability_without_a_quantile_is_refused(p: float) -> None:
    """Certainty has no finite quantile."""
    with pytest.raises(ValueError, match="probability"):
        student.quantile(p, 5.0)
