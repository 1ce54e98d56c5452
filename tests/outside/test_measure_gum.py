"""The budget against the end gauge of JCGM 100:2008 (GUM) H.1, and coverage factors against its Table G.2."""

import math

import pytest
from scipy import stats

from portal.measure.budget import combine, rectangular
from portal.model.result import Basis, Term


def test_the_difference_of_the_end_gauges() -> None:
    """JCGM 100:2008 H.1.3.2: 5.8, 3.9 and 6.7 nm with 24, 5 and 8 degrees of freedom make 9.7 nm with 25.6."""
    d1, d2 = 0.01e3 / float(stats.t.ppf(0.975, 5)), 0.02e3 / 3
    assert [d1, d2] == pytest.approx([3.9, 6.7], abs=0.05)
    combined = combine([Term("repeats", 13 / math.sqrt(5), dof=24), Term("d1", d1, dof=5), Term("d2", d2, dof=8)])
    assert combined.u == pytest.approx(9.6632223, rel=1e-6)
    assert combined.dof == pytest.approx(25.621306, rel=1e-6)


def test_the_budget_of_the_end_gauge() -> None:
    """JCGM 100:2008 Table H.1: 25, 9.7, 2.9 and 16.6 nm (18, 25.6, 50 and 2) make 32 nm with 16.7, uc² = 1002 nm²."""
    expansion = 0.05e9 * 0.1 * rectangular(1e-6)
    temperature = 0.05e9 * 11.5e-6 * rectangular(0.05)
    assert [expansion, temperature] == pytest.approx([2.9, 16.6], abs=0.05)
    combined = combine(
        [
            Term("standard", 25.0, dof=18),
            Term("difference", 9.6632223, dof=25.621306),
            Term("expansion", expansion, Basis.RECTANGULAR, dof=50),
            Term("temperature", temperature, Basis.RECTANGULAR, dof=2),
        ]
    )
    assert combined.u**2 == pytest.approx(1002.2391, rel=1e-5)
    assert combined.u == pytest.approx(32, abs=0.5)
    assert combined.dof == pytest.approx(16.741149, rel=1e-4)
    assert combined.k == pytest.approx(float(stats.t.ppf(0.975, combined.dof)), rel=1e-9)


G2 = {1: 12.71, 2: 4.30, 3: 3.18, 4: 2.78, 5: 2.57, 6: 2.45, 8: 2.31, 10: 2.23, 12: 2.18, 16: 2.12, 20: 2.09, 25: 2.06}
"""JCGM 100:2008 Table G.2, column 95 %; row 16 read in the document, the others from memory."""


@pytest.mark.parametrize(("dof", "factor"), G2.items())
def test_coverage_factors_are_those_of_table_g2(dof: int, factor: float) -> None:
    """To the two decimals that the table has."""
    assert combine([Term("repeats", 1.0, dof=float(dof))]).k == pytest.approx(factor, abs=0.0051)


@pytest.mark.parametrize("dof", [1.0, 1.5, 2.0, 3.7, 7.0, 16.741149, 29.0, 29.99])
def test_coverage_factors_are_those_of_scipy(dof: float) -> None:
    """To 1e-6, whole numbers or not."""
    assert combine([Term("repeats", 1.0, dof=dof)]).k == pytest.approx(float(stats.t.ppf(0.975, dof)), abs=1e-6)


def test_a_rectangular_half_width_is_that_of_the_guide() -> None:
    """JCGM 100:2008 4.3.7: a / sqrt 3 = 0.5774; F.2.2.1: a step of 1 has 0.29."""
    assert rectangular(1.0) == pytest.approx(0.5774, abs=5e-5)
    assert rectangular(0.5) == pytest.approx(0.29, abs=5e-3)
