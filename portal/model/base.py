"""What every record has in common."""

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict


@dataclass(frozen=True)
class FromPath:
    """Marks a field that the folder or file name gives, so that it is no key of the file."""


FROM_PATH = FromPath()


class Record(BaseModel):
    """A frozen record, complete at birth; a key that it doesn't know is refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, protected_namespaces=())

    @classmethod
    def keys(cls) -> tuple[str, ...]:
        """The keys that a person may write in the file, without those that the path gives."""
        left_out = from_path(cls)
        return tuple(field.alias or name for name, field in cls.model_fields.items() if name not in left_out)

    def given(self) -> dict[str, Any]:
        """Plain data with only the keys that were given, text as written."""
        return self.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude_none=True)

    def written(self) -> dict[str, Any]:
        """The same without what the path gives: what stands in the file."""
        return {name: value for name, value in self.given().items() if name not in from_path(type(self))}


def from_path(record: type[Record]) -> set[str]:
    """The names of the fields that a folder or file name gives."""
    return {
        name
        for name, field in record.model_fields.items()
        if any(isinstance(mark, FromPath) for mark in field.metadata)
    }
