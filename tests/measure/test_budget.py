"""Combining terms into an uncertainty."""

import math

import pytest

from portal.measure.budget import combine, rectangular
from portal.model.result import Term


def test_terms_add_as_root_sum_of_squares() -> None:
    """3 and 4 make 5, and where all terms are fully known k is 2."""
    combined = combine([Term("scale", 3.0), Term("pointing", 4.0)])
    assert (combined.u, combined.k, combined.dof) == (5.0, 2.0, math.inf)


def test_a_rectangular_half_width_counts_over_root_three() -> None:
    """± 3 is 1.732."""
    assert rectangular(3.0) == pytest.approx(1.7320508)


def test_one_term_keeps_its_own_degrees_of_freedom() -> None:
    """With a single term the effective degrees of freedom are its own."""
    combined = combine([Term("repeats", 2.0, dof=4.0)])
    assert combined.dof == pytest.approx(4.0)
    assert combined.k == pytest.approx(2.776445, abs=1e-6)


def test_from_thirty_degrees_of_freedom_on_the_factor_is_two() -> None:
    """Just below 30 it is Student's, 2.045; at 30 it is 2."""
    assert combine([Term("repeats", 1.0, dof=29.9)]).k > 2.04
    assert combine([Term("repeats", 1.0, dof=30.0)]).k == 2.0


def test_a_well_known_term_dilutes_a_poorly_known_one() -> None:
    """Equal terms, one with 2 degrees of freedom: (sqrt 2)^4 / (1/2) = 8."""
    assert combine([Term("scale", 1.0), Term("repeats", 1.0, dof=2.0)]).dof == pytest.approx(8.0)


def test_a_budget_of_nothing_is_zero() -> None:
    """No term and terms of zero give no uncertainty and no division by it."""
    assert combine([]).u == 0.0
    assert combine([Term("repeats", 0.0, dof=1.0)]).k == 2.0
