"""What may stand where in a file, worked out from the records: keys, lists, mappings, single values."""

import types
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import TypeAdapter

from portal.model.base import FromPath, Record


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value; where it is one of fixed words, these."""

    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    item: "Form"


@dataclass(frozen=True, slots=True)
class Mapping:
    """Names of a person's own choice with values of one kind."""

    value: "Form"


@dataclass(frozen=True, slots=True)
class Either:
    """One value, or a mapping."""

    mapping: Mapping


@dataclass(frozen=True, slots=True)
class Keys:
    """A record: a closed set of keys."""

    fields: dict[str, "Form"]
    required: frozenset[str]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several records; the value of one key says which."""

    key: str
    kinds: dict[str, Keys]


Form = Leaf | Items | Mapping | Either | Keys | Choice


@cache
def form_of(record: type[Record]) -> Keys:
    """The form of a record's file, without the fields that the path gives."""
    fields: dict[str, Form] = {}
    required = set()
    for name, field in record.model_fields.items():
        if any(isinstance(mark, FromPath) for mark in field.metadata):
            continue
        key = field.alias or name
        fields[key] = _form(field.annotation, field.discriminator)
        if field.is_required():
            required.add(key)
    return Keys(fields, frozenset(required))


@cache
def adapter(record: type[Record]) -> TypeAdapter[Any]:
    """The checker of a record, made once."""
    return TypeAdapter(record)


def _form(annotation: Any, discriminator: Any = None) -> Form:
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *marks = get_args(annotation)
        named = (getattr(mark, "discriminator", None) for mark in marks)
        return _form(inner, next((name for name in named if name), discriminator))
    if origin is tuple:
        return Items(_form(get_args(annotation)[0]))
    if origin is dict:
        return Mapping(_form(get_args(annotation)[1]))
    if origin in (Union, types.UnionType):
        return _union([each for each in get_args(annotation) if each is not type(None)], discriminator)
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return form_of(annotation)
    return Leaf(_words(annotation))


def _words(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(each) for each in get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        return tuple(each.value for each in annotation)
    return ()


def leaf_at(form: Form, data: Any, path: Iterable[str]) -> Leaf:
    """What may stand at a path of some data; any value where the path leads nowhere."""
    for step in path:
        if isinstance(form, Choice):
            form = form.kinds.get(str(data.get(form.key)) if isinstance(data, dict) else "", Leaf())
        if isinstance(form, Either):
            form = form.mapping
        if isinstance(form, Keys):
            form, data = form.fields.get(step, Leaf()), data.get(step) if isinstance(data, dict) else None
        elif isinstance(form, Mapping):
            form, data = form.value, data.get(step) if isinstance(data, dict) else None
        elif isinstance(form, Items):
            form, data = form.item, data[int(step)] if isinstance(data, list) and step.isdigit() else None
    return form if isinstance(form, Leaf) else Leaf()


def _union(members: list[Any], discriminator: Any) -> Form:
    if len(members) == 1:
        return _form(members[0], discriminator)
    if isinstance(discriminator, str):
        return Choice(discriminator, dict(_kinds(members, discriminator)))
    mappings = [form for form in map(_form, members) if isinstance(form, Mapping)]
    return Either(mappings[0]) if mappings else Leaf()


def _kinds(members: Iterable[Any], discriminator: str) -> Iterable[tuple[str, Keys]]:
    for record in members:
        annotation = record.model_fields[discriminator].annotation
        if get_origin(annotation) is Literal:
            for word in get_args(annotation):
                yield str(word), form_of(record)
