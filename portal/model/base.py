"""What every record has in common."""

from dataclasses import dataclass
from typing import Any, Self

from pydantic import BaseModel, ConfigDict, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue


@dataclass(frozen=True)
class FromPath:
    """Marks a field that the folder or file name gives, so that it is no key of the file."""


FROM_PATH = FromPath()


_GIVEN: dict[frozenset[str], set[str]] = {}
"""Sets of given keys, each once; nobody changes one, since records are frozen."""


def share(given: frozenset[str]) -> set[str]:
    """The one set of these keys for all records that were given them: each its own would take more room than they."""
    known = _GIVEN.get(given)
    return known if known is not None else _GIVEN.setdefault(given, set(given))


class Record(BaseModel):
    """A frozen record, complete at birth; a key that it doesn't know is refused."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, protected_namespaces=(), defer_build=True
    )

    def model_post_init(self, context: Any, /) -> None:
        """Records that were given the same keys share the set of these."""
        object.__setattr__(self, "__pydantic_fields_set__", share(frozenset(self.__pydantic_fields_set__)))

    @classmethod
    def keys(cls) -> tuple[str, ...]:
        """The keys that a person may write in the file, without those that the path gives."""
        left_out = from_path(cls)
        return tuple(field.alias or name for name, field in cls.model_fields.items() if name not in left_out)

    @classmethod
    def __get_pydantic_json_schema__(cls, core: Any, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """As a person may write it in a file: own keys begin with `x-`, an empty value is an absent key."""
        schema = handler(core)
        own = handler.resolve_ref_schema(schema)
        written = cls.keys()
        needed = [key for key in own.get("required", ()) if key in written]
        own["properties"] = {
            key: _property(each, may_be_empty=key not in needed)
            for key, each in own.get("properties", {}).items()
            if key in written
        }
        own["required"] = needed
        own["patternProperties"] = {"^x-": {}}
        return schema

    def but(self, **changes: Any) -> Self:
        """The same record with other values; what was worked out from the old ones isn't taken along."""
        copied = self.model_copy(update=changes)
        for name in copied.__dict__.keys() - type(self).model_fields.keys():
            del copied.__dict__[name]
        return copied

    def given(self) -> dict[str, Any]:
        """Plain data with only the keys that were given, text as written."""
        return self.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude_none=True)

    def written(self) -> dict[str, Any]:
        """The same without what the path gives: what stands in the file."""
        return {name: value for name, value in self.given().items() if name not in from_path(type(self))}


def complete_checkers(record: type[Record] = Record) -> None:
    """Make what checks each kind of record that is known by now, else made when it is first asked for.

    For who has several threads: not every version of the library makes one safely in two of them at once.
    """
    for each in record.__subclasses__():
        each.model_rebuild()
        complete_checkers(each)


def _property(schema: JsonSchemaValue, *, may_be_empty: bool) -> JsonSchemaValue:
    """One key's schema, without what an editor would only repeat."""
    plain = {name: value for name, value in schema.items() if name not in {"title", "default"}}
    choices = [each for each in plain.pop("anyOf", ()) if each != {"type": "null"}]
    if len(choices) == 1:
        plain |= choices.pop()
    if not may_be_empty:
        return plain | ({"anyOf": choices} if choices else {})
    if choices or not isinstance(plain.get("type"), str) or "enum" in plain:
        return {"anyOf": [*(choices or [plain]), {"type": "null"}]}
    return plain | {"type": [plain["type"], "null"]}


def from_path(record: type[Record]) -> set[str]:
    """The names of the fields that a folder or file name gives."""
    return {
        name
        for name, field in record.model_fields.items()
        if any(isinstance(mark, FromPath) for mark in field.metadata)
    }
