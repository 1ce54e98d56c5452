"""JSON Schemas of every kind of file, so that an editor offers keys and underlines what doesn't fit."""

from typing import Any

from portal.model.base import Record
from portal.model.mould import Looked, Mould, Trial
from portal.model.part import Part
from portal.model.sample import LimitSample
from portal.model.scope import Scope
from portal.model.shop import Customer, Shop
from portal.model.standard import DefectClass, VisualStandard
from portal.model.tag import Tag

FOLDER = "schemas"

KINDS: dict[str, type[Record]] = {
    "catalog": Shop,
    "customer": Customer,
    "defect": DefectClass,
    "limit-sample": LimitSample,
    "looked": Looked,
    "mould": Mould,
    "part": Part,
    "scope": Scope,
    "standard": VisualStandard,
    "tag": Tag,
    "trial": Trial,
}
"""By the name of the schema's file."""


def schema(kind: str) -> dict[str, Any]:
    """The JSON Schema (2020-12) of a kind, as YAML 1.2 reads its files.

    It is looser than the program: references, ranges and what rests on several fields are told by `portal check`.
    """
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **KINDS[kind].model_json_schema()}
