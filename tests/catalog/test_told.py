"""Problems on one line."""

from portal.catalog.told import LONGEST, one_line, told


def test_a_problem_stands_on_one_line() -> None:
    """A value over several lines, a tab, a blank that doesn't break, a mark that turns the line round."""
    problem = told("f", 1, ("a\nb",), "`x\ty\n z\u00a0w\u202e`", "did you\nmean?")
    assert str(problem) == "f:1: a b: `x y z w `\n    did you mean?"


def test_a_long_value_is_shortened_in_its_middle() -> None:
    """What was wrong is said at the end of the sentence."""
    said = one_line("`" + "9" * 10_000 + "` is not a length")
    assert len(said) <= LONGEST + 3
    assert said.startswith("`999") and said.endswith("is not a length")
