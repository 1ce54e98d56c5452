"""A trial's numbers beside each other: each stands beside what all the others come to."""

from statistics import median

from hypothesis import given
from hypothesis import strategies as st

from portal.site.hints import middle_without

NUMBERS = st.lists(st.floats(min_value=0, max_value=1e6), min_size=2, max_size=30)


@given(NUMBERS, st.data())
def test_the_middle_of_the_others_is_that_of_the_list_without_the_own(
    numbers: list[float], data: st.DataObject
) -> None:
    """As the standard library gives it, bit by bit, wherever the own one stands and however often."""
    own = data.draw(st.integers(0, len(numbers) - 1))
    others = numbers[:own] + numbers[own + 1 :]
    assert middle_without(sorted(numbers), numbers[own]) == median(others)
