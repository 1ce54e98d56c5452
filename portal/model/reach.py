"""How far a concession reaches: a scope that covers nothing is asked about, not taken."""

import re
from calendar import monthrange
from collections.abc import Iterator
from datetime import date

from portal.model.answer import Concession

_NONE = re.compile(r"(?:0[., ]?)+(?: ?(?:pcs|pieces|stück|stk)\.?)?", re.I)
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_FIGURES = re.compile(r"(\d{1,2})[./](\d{1,2})[./](\d{4}|\d{2})")
_MONTH = re.compile(r"(?:(?:end of|ende) )?(?:(\d{1,2})\.? )?([a-zä]{3,})\.? (\d{4})", re.I)
_MONTHS = ("jan", "feb", "mar mär", "apr", "may mai", "jun", "jul", "aug", "sep", "oct okt", "nov", "dec dez")


def covers_nothing(concession: Concession, *, on: date) -> str | None:
    """Why a concession that was given on some day covers no piece; None where it may cover one."""
    if concession.quantity is not None and _NONE.fullmatch(concession.quantity.strip()):
        return f"a quantity of {concession.quantity.strip()} covers no piece"
    last = last_day(concession.until or "")
    if last is not None and last < on:
        return f"`until {concession.until}` was past on {on.isoformat()}"
    return None


def last_day(text: str) -> date | None:
    """The last day that a date may mean, of those that it can be read as; None where it is no date.

    `3/4/2026` is the third of April or the fourth of March, and is taken for the later. A month without a day is
    its last one.
    """
    return max(_days(" ".join(text.split())), default=None)


def _days(text: str) -> Iterator[date]:
    if match := _ISO.fullmatch(text):
        yield from _day(int(match[1]), int(match[2]), int(match[3]))
    elif match := _FIGURES.fullmatch(text):
        one, other, year = int(match[1]), int(match[2]), int(match[3])
        year += 2000 if year < 100 else 0
        yield from _day(year, other, one)
        yield from _day(year, one, other)
    elif match := _MONTH.fullmatch(text):
        for month, names in enumerate(_MONTHS, start=1):
            if match[2][:3].casefold() in names.split():
                year = int(match[3])
                yield from _day(year, month, int(match[1]) if match[1] else monthrange(year, month)[1])


def _day(year: int, month: int, day: int) -> Iterator[date]:
    try:
        yield date(year, month, day)
    except ValueError:
        return
