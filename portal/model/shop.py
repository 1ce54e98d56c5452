"""The shop, its people and its customers."""

from enum import StrEnum
from typing import Annotated

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import Day, Text, Whole


class Role(StrEnum):
    """What a person of the shop does."""

    INSPECTOR = "inspector"
    ENGINEER = "engineer"


class Shared(StrEnum):
    """What customers see only where the shop says so."""

    CAUSES = "causes"
    PRESS = "press"
    CHANGED = "changed"
    SHOP_NOTES = "shop_notes"
    SHOP_COMMENTS = "shop_comments"
    HINTS = "hints"
    SERIAL_NUMBERS = "serial_numbers"


class Training(Record):
    """A person trained on one revision of a standard."""

    standard: Text
    revision: Text
    date: Day


class Person(Record):
    """Someone of the shop who inspects or asks."""

    name: Text
    roles: tuple[Role, ...]
    near_vision_until: Day | None = None
    colour_vision_until: Day | None = None
    trained: tuple[Training, ...] | None = None
    """None where the shop keeps no training for that person."""


class ShopName(Record):
    """What the shop is called."""

    name: Text


class Shop(Record):
    """`catalog.yaml`: the shop, its clock and languages, its people, what it shares."""

    format: Whole
    shop: ShopName
    time_zone: Text
    languages: tuple[Text, ...]
    people: dict[str, Person]
    share: tuple[Shared, ...] = ()
    marking: Text | None = None
    cautions: tuple[Text, ...] = ()
    file_names: Text | None = None
    file: Annotated[str, FROM_PATH] = "catalog.yaml"


class May(StrEnum):
    """What a customer's reviewer is entitled to do."""

    ACCEPT = "accept"
    CONCESSION = "concession"
    LIMIT_SAMPLE = "limit-sample"
    AGREE_LIMIT = "agree-limit"
    RELEASE = "release"


class Unit(StrEnum):
    """The unit of length that a customer reads."""

    MM = "mm"
    INCH = "inch"


class Language(StrEnum):
    """A language in which a site can be built."""

    EN = "en"
    DE = "de"


class Reviewer(Record):
    """Someone of the customer who answers."""

    name: Text
    mail: Text | None = None
    role: Text
    may: tuple[May, ...]


class Customer(Record):
    """`customers/<slug>.yaml`."""

    format: Whole
    name: Text
    other_names: tuple[Text, ...] = ()
    unit: Unit
    language: Language
    names_needed: Whole = 1
    reviewers: tuple[Reviewer, ...]
    id: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
