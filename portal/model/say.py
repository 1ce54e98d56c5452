"""A sentence before it is put into words: a key of the message catalogue and its values."""

from dataclasses import dataclass, field
from datetime import date
from typing import Union

from portal.model.scalars import Area, Length


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measured or derived length (power 1) or area (power 2) with what its text needs.

    `um` is in micrometres to the power; `expanded_um` is U, or None where there is none to tell;
    `against_um` lists limits that rounding must not contradict.
    """

    um: float
    expanded_um: float | None = None
    power: int = 1
    against_um: tuple[float, ...] = ()
    like: Length | None = None
    """A length whose unit and digits it should follow, such as the limit it is held against."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in its digits, with a decimal point, and perhaps its unit; the reader's decimal mark is put in later."""

    text: str


@dataclass(frozen=True, slots=True)
class Chance:
    """A probability, shown as a percentage."""

    value: float


@dataclass(frozen=True, slots=True)
class DefectTerm:
    """A defect class by id, shown by its term in the reader's language."""

    id: str


Value = Union[str, int, date, Length, Area, Quantity, Figure, Chance, DefectTerm, "Say", "Several"]


@dataclass(frozen=True, slots=True)
class Several:
    """Some values to be listed, as `cavities 1, 2 and 4`."""

    items: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Say:
    """A key of the message catalogue with its values; `n` chooses singular or plural."""

    key: str
    values: tuple[tuple[str, Value], ...] = field(default=())

    @staticmethod
    def of(key: str, **values: Value) -> "Say":
        """Make one with its values by name, in the order of their names."""
        return Say(key, tuple(sorted(values.items())))

    def get(self, name: str) -> Value:
        """The value of that name; KeyError where there is none."""
        return dict(self.values)[name]
