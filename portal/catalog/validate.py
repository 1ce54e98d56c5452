"""Plain data to a record, or problems in our own words, each at its line."""

from collections.abc import Mapping as Map
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import ValidationError

from portal.catalog.form import Choice, Either, Form, Items, Keys, Leaf, Mapping, adapter, form_of, leaf_at
from portal.catalog.text import Fault
from portal.catalog.wording import listed, near, sentence
from portal.model.base import Record
from portal.problem import FieldPath, did_you_mean

R = TypeVar("R", bound=Record)

_SEEN_BEFORE = {"string_type", "union_tag_invalid", "union_tag_not_found"}
"""What is noted in our own words before the record's checker comes to it."""


def validate(
    record: type[R], data: dict[str, Any], lines: Map[FieldPath, int], *, given: Map[str, Any]
) -> R | tuple[Fault, ...]:
    """Make a record from a file's data and from what its path gives, or say all that is wrong with the data."""
    shaper = _Shaper(lines)
    shaped = shaper.keys(form_of(record), data, ())
    try:
        made: R = adapter(record).validate_python({**shaped, **given})
    except ValidationError as error:
        for details in error.errors(include_url=False):
            shaper.add(details, shaped, form_of(record))
    else:
        if not shaper.faults:
            return made
    return tuple(shaper.faults)


def line_of(lines: Map[FieldPath, int], path: FieldPath) -> int:
    """The line of a field, else of the nearest above it."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


@dataclass
class _Shaper:
    """Checks keys, lists and mappings; drops empty values and a person's own keys."""

    lines: Map[FieldPath, int]
    faults: list[Fault] = field(default_factory=list)
    noted: set[FieldPath] = field(default_factory=set)
    """Fields with a fault, and fields that are missing only because they are misspelt."""

    def fault(self, path: FieldPath, message: str, hint: str | None = None) -> None:
        """Note one thing at the line of its field."""
        self.noted.add(path)
        self.faults.append(Fault(line_of(self.lines, path), message, hint, path))

    def shape(self, form: Form, data: Any, path: FieldPath) -> Any:
        """The data as the record wants it."""
        kind = data.__class__
        if isinstance(form, Keys):
            return self.keys(form, data, path) if kind is dict else self._wrong(path, "keys with values", data)
        if isinstance(form, Items):
            return self._items(form, data, path) if kind is list else self._wrong(path, "a list, as `[a, b]`", data)
        if isinstance(form, Choice):
            return self._choice(form, data, path) if kind is dict else self._wrong(path, "keys with values", data)
        if isinstance(form, Mapping):
            return self._mapping(form, data, path) if kind is dict else self._wrong(path, "names with values", data)
        if isinstance(form, Either) and kind is dict:
            return self._mapping(form.mapping, data, path)
        return data if kind is str else self._wrong(path, "one value", data)

    def keys(self, form: Keys, data: dict[str, Any], path: FieldPath, of: str = "here") -> dict[str, Any]:
        """A record's data with its own keys only."""
        shaped = {}
        for key, value in data.items():
            inner = form.fields.get(key)
            if inner is None:
                if not key.startswith("x-"):
                    self._unknown(key, form, data, path, of)
            elif value != "":
                plain = inner.__class__ is Leaf and value.__class__ is str
                shaped[key] = value if plain else self.shape(inner, value, (*path, key))
        return shaped

    def _unknown(self, key: str, form: Keys, data: dict[str, Any], path: FieldPath, of: str) -> None:
        free = [each for each in form.fields if data.get(each, "") == ""]
        if hint := near(key, free):
            self.noted.add((*path, hint.split("`")[1]))
        self.fault((*path, key), f"`{key}` is no key {of}", hint or did_you_mean(key, free))

    def _items(self, form: Items, data: list[Any], path: FieldPath) -> list[Any]:
        shaped = []
        for index, value in enumerate(data):
            at = (*path, str(index))
            if value == "":
                self.fault(at, "an empty item; write it, or take it away")
            shaped.append("" if value == "" else self.shape(form.item, value, at))
        return shaped

    def _mapping(self, form: Mapping, data: dict[str, Any], path: FieldPath) -> dict[str, Any]:
        if "" in data:
            self.fault((*path, ""), "a name is missing before the colon")
        return {key: self.shape(form.value, value, (*path, key)) for key, value in data.items() if key and value != ""}

    def _choice(self, form: Choice, data: dict[str, Any], path: FieldPath) -> Any:
        word, at = data.get(form.key, ""), (*path, form.key)
        if not isinstance(word, str):
            self._wrong(at, "one value", word)
            return data
        if word in form.kinds:
            return self.keys(form.kinds[word], data, path, f"of a `{word}`")
        if word:
            self.fault(at, f"`{word}` is not one of {listed(form.kinds)}", near(word, form.kinds))
        else:
            misspelt = [key for key in data if near(key, [form.key])]
            hint = f"was it meant by `{misspelt[0]}`?" if misspelt else f"one of {listed(form.kinds)}"
            self.fault(at, "this key is missing", hint)
        return data

    def _wrong(self, path: FieldPath, wanted: str, found: Any) -> Any:
        what = {str: f"`{found}`", list: "a list"}.get(found.__class__, "keys with values")
        self.fault(path, f"expected {wanted}, found {what}")
        return found

    def add(self, details: Any, shaped: Any, form: Keys) -> None:
        """Note what the record's own checker found, unless it follows from what is noted already."""
        path = _path(details["loc"], shaped)
        follows = any(path[:length] in self.noted for length in range(len(path) + 1))
        if not follows and details["type"] not in _SEEN_BEFORE:
            self.fault(path, *sentence(details, leaf_at(form, shaped, path).words))


def _child(data: Any, step: int | str) -> Any:
    if isinstance(data, list):
        return data[step] if isinstance(step, int) else None
    return data.get(step) if isinstance(data, dict) else None


def _path(where: tuple[int | str, ...], data: Any) -> FieldPath:
    """The checker's location as a path of the file: names of alternatives in it are no fields."""
    path: list[str] = []
    for number, step in enumerate(where, start=1):
        inner = _child(data, step)
        if inner is not None:
            data = inner
        elif number < len(where) or not isinstance(data, dict):
            continue
        path.append(str(step))
    return tuple(path)
