"""Records as bytes: a digest of all that they hold, and a form in which they are kept from one build to the next.

What is kept is read by a reader that makes records of the model and plain values, nothing else, whatever the bytes say.
"""

import hashlib
import io
import pickle
from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, lru_cache, partial
from operator import attrgetter
from sys import intern
from typing import Any

from portal.model.base import Record, share
from portal.model.result import Worked
from portal.model.say import DefectTerm, Say, Value
from portal.model.terms import Characteristic

_HOME = "portal.model."
_PLAIN = {("datetime", "date")}


class NotKept(ValueError):
    """Bytes that aren't what was kept."""


def digest(*values: object) -> str:
    """A digest of everything that records and plain values hold; of sets in their order."""
    buffer = io.BytesIO()
    pickler = _Digester(buffer, protocol=5)
    pickler.fast = True  # no references back, so that equal values give equal bytes whoever made them
    pickler.dump(values)
    return hashlib.sha256(buffer.getbuffer()).hexdigest()


class Keeper:
    """Writes records and reads them back; those of the catalogue itself are told by their place in `known`.

    `known` are records that writer and reader both have, in the same order.
    """

    def __init__(self, known: Iterable[Record]) -> None:
        self._known = tuple(known)
        self._place = {id(each): place for place, each in enumerate(self._known)}

    def dump(self, value: object) -> bytes:
        """A value as bytes; what stands behind verdicts lies folded in them."""
        return sealed(_written(value, self._place))

    def load(self, data: bytes) -> Any:
        """The value again; NotKept where the bytes hold anything else."""
        said = data[_SUM:]
        if sealed(said) != data:
            raise NotKept("the bytes were changed")
        return _read(said, self._known)


def sealed(said: bytes) -> bytes:
    """Bytes with their sum: what is unfolded later has to be whole when it is loaded."""
    return hashlib.blake2b(said, digest_size=_SUM).digest() + said


_SUM = 16


class Folded:
    """What stands behind a verdict as bytes, unfolded for whoever asks, and kept for a while since he asks again."""

    __slots__ = ("_known", "_said", "_worked", "characteristics")

    def __init__(self, said: bytes, characteristics: tuple[str, ...], known: tuple[Record, ...]) -> None:
        self._said, self._known = said, known
        self.characteristics = _characteristics(characteristics)
        self._worked: Worked | None = None

    def unfolded(self) -> Worked:
        """It, as records."""
        worked = self._worked
        if worked is None:
            worked = self._worked = Worked(*_read(self._said, self._known))
            _LATELY.append(self)
            if len(_LATELY) > _SO_MANY:
                _LATELY.popleft()._worked = None
        return worked

    def __eq__(self, other: object) -> bool:
        return self.unfolded() == (other.unfolded() if isinstance(other, Folded) else other)

    def __hash__(self) -> int:
        return hash(self.unfolded())


_LATELY: deque[Folded] = deque()
"""Those that were unfolded last: what is asked of a finding is asked several times in a row."""
_SO_MANY = 64


def _say(key: str, values: tuple[tuple[str, Value], ...]) -> Say:
    """A sentence, the names in it held once for all; it too, where its values are so plain that equal is the same."""
    values = tuple((intern(name), value) for name, value in values)
    return (_shared if all(value.__class__ in _SAME for _, value in values) else Say)(intern(key), values)


_shared = lru_cache(maxsize=256)(Say)
_SAME = (str, DefectTerm)
"""Of numbers 1 is 1.0."""


def _written(value: object, place: Mapping[int, int]) -> bytes:
    buffer = io.BytesIO()
    _Writer(buffer, place).dump(value)
    return buffer.getvalue()


def _read(said: bytes, known: tuple[Record, ...]) -> Any:
    try:
        return _Reader(io.BytesIO(said), known).load()
    except Exception as error:  # whatever strange bytes may lead to
        raise NotKept(str(error)) from error


def _revived(cls: type[Record], values: tuple[object, ...], given: tuple[str, ...]) -> Record:
    """A record that was complete when it was written: a quarter of what its own way to do without checks takes."""
    made = cls.__new__(cls)
    made.__setstate__(
        {
            "__dict__": dict(zip(_names(cls), values, strict=True)),
            "__pydantic_fields_set__": share(frozenset(given)),
            "__pydantic_extra__": None,
            "__pydantic_private__": None,
        }
    )
    return made


@cache
def _names(cls: type[Record]) -> tuple[str, ...]:
    return tuple(cls.model_fields)


@lru_cache(maxsize=256)
def _in_order(cls: type[Record], given: frozenset[str]) -> tuple[str, ...]:
    """What was given is a set: told in the order of the fields, and all that were given the same alike."""
    return tuple(name for name in _names(cls) if name in given)


@cache
def _characteristics(names: tuple[str, ...]) -> frozenset[Characteristic]:
    """There are few, each held once."""
    return frozenset(map(Characteristic, names))


def _folded(said: bytes, characteristics: tuple[str, ...]) -> Folded:
    """Stands for it where something is written; whoever reads it has what is known."""
    return Folded(said, characteristics, ())


def _reduced(value: object) -> Any:
    if isinstance(value, Folded):
        value = value.unfolded()
    if isinstance(value, Record):
        # only fields: a property that was worked out is none
        cls, own = type(value), value.__dict__
        values = tuple(own[name] for name in _names(cls))
        return _revived, (cls, values, _in_order(cls, frozenset(value.model_fields_set)))
    if isinstance(value, Enum):
        return type(value), (value.value,)
    if is_dataclass(value) and not isinstance(value, type):
        return type(value), _values(type(value))(value)
    return NotImplemented


@cache
def _values(cls: type) -> Any:
    """What gives a record's fields in the order in which it is made from them."""
    names = [each.name for each in fields(cls)]
    if len(names) == 1:
        get = attrgetter(names[0])
        return lambda value: (get(value),)
    return attrgetter(*names) if names else lambda _: ()


class _Digester(pickle.Pickler):
    def reducer_override(self, value: object) -> Any:
        """As for keeping; a mapping that isn't a dict is told as one."""
        if isinstance(value, Mapping) and not isinstance(value, dict):
            return dict, (dict(value),)
        return _reduced(value)


class _Writer(pickle.Pickler):
    def __init__(self, file: io.BytesIO, place: Mapping[int, int]) -> None:
        super().__init__(file, protocol=5)
        self._place = place

    def persistent_id(self, value: object) -> int | None:
        """Where a record of the catalogue stands among the known ones."""
        return self._place.get(id(value)) if isinstance(value, Record) else None

    def reducer_override(self, value: object) -> Any:
        """A record by its class and its fields."""
        if isinstance(value, (Worked, Folded)):
            worked = value.unfolded() if isinstance(value, Folded) else value
            fields = (worked.readings, worked.held, worked.counted_on)
            named = tuple(sorted(each.value for each in worked.characteristics))
            return _folded, (_written(fields, self._place), named)
        return _reduced(value)


class _Reader(pickle.Unpickler):
    def __init__(self, file: io.BytesIO, known: tuple[Record, ...]) -> None:
        super().__init__(file)
        self._known = known

    def persistent_load(self, place: Any) -> Record:
        """The known record of that place."""
        found: Record = self._known[place]
        return found

    def find_class(self, module: str, name: str) -> Any:
        """A record or an enumeration of the model, a date; nothing else."""
        if (module, name) == (__name__, "_folded"):
            return partial(Folded, known=self._known)
        found = _CLASSES.get((module, name))
        if found is None:
            found = _CLASSES[module, name] = self._allowed(module, name)
        return found

    def _allowed(self, module: str, name: str) -> Any:
        if module == __name__ and name == "_revived":
            return _revived
        if (module, name) in _PLAIN or module.startswith(_HOME):
            found = super().find_class(module, name)
            if isinstance(found, type) and ((module, name) in _PLAIN or _is_record(found)):
                return _say if found is Say else found
        raise NotKept(f"{module}.{name} is no record")


_CLASSES: dict[tuple[str, str], Any] = {}
"""What was found allowed: the same few are asked for by each of thousands of values that are read."""


def _is_record(cls: type) -> bool:
    return cls.__module__.startswith(_HOME) and (is_dataclass(cls) or issubclass(cls, (Record, Enum)))
