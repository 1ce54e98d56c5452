"""How far a concession reaches; what covers nothing is found, whatever may be read as something isn't."""

from datetime import date

import pytest

from portal.model.answer import Concession
from portal.model.reach import covers_nothing, last_day

DAY = date(2026, 3, 4)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-05-01", date(2026, 5, 1)),
        ("1.5.2026", date(2026, 5, 1)),
        ("31/3/2026", date(2026, 3, 31)),
        ("3/4/2026", date(2026, 4, 3)),
        ("01.05.26", date(2026, 5, 1)),
        ("end of May 2026", date(2026, 5, 31)),
        ("Ende März 2026", date(2026, 3, 31)),
        ("2. Februar 2026", date(2026, 2, 2)),
        ("Dez. 2026", date(2026, 12, 31)),
        ("the next review", None),
        ("31.2.2026", None),
        ("", None),
    ],
)
def test_a_date_is_taken_for_the_last_day_that_it_may_mean(text: str, day: date | None) -> None:
    """In both languages, and in figures of either order."""
    assert last_day(text) == day


@pytest.mark.parametrize("given", [{"quantity": "0"}, {"quantity": "000 pcs"}, {"until": "2025-12-31"},
                                   {"until": "3.3.26"}, {"until": "Februar 2026"}])  # fmt: skip
def test_no_piece_or_no_day_is_a_doubt(given: dict[str, str]) -> None:
    """It can't be what was meant."""
    assert covers_nothing(Concession(**given), on=DAY) is not None


@pytest.mark.parametrize("given", [{"quantity": "500"}, {"quantity": "10"}, {"quantity": "1000 pcs"},
                                   {"until": "2026-03-04"}, {"until": "4/3/2026"}, {"until": "3/4/26"},
                                   {"until": "March 2026"}, {"until": "the next lot"}, {"lots": "0"}, {}])  # fmt: skip
def test_what_may_cover_something_is_none(given: dict[str, str]) -> None:
    """A date that may be read as one to come is left to the one who gave it."""
    assert covers_nothing(Concession(**given), on=DAY) is None
