"""What has been read so far; filled by the readers of the files, then checked as a whole."""

from dataclasses import dataclass, field

from portal.catalog.folder import Folder
from portal.catalog.told import told
from portal.model.mould import Looked, Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.sample import LimitSample
from portal.model.scope import Scope
from portal.model.shop import Customer, Shop
from portal.model.standard import DefectClass, VisualStandard
from portal.model.tag import Tag
from portal.problem import FieldPath, Places, Problem

HOMES = {
    "defect": "defects",
    "standard": "standards",
    "scope": "scopes",
    "limit sample": "limit-samples",
    "customer": "customers",
    "part": "parts",
    "mould": "moulds",
}
"""The folder in which each kind of record lies."""


@dataclass
class TrialFolder:
    """A trial's folder: its pictures, tags and looked-at files may be sound where `trial.yaml` isn't."""

    mould: str
    id: str
    trial: Trial | None
    pictures: tuple[Picture, ...]
    looked: tuple[Looked, ...]
    tags: tuple[Tag, ...]
    """Also those without a picture."""
    tags_broken: bool
    """Whether there is a tag that can't be read; it may hold any finding."""


@dataclass
class Shelf:
    """All records by id, what is broken, problems and places."""

    folder: Folder
    places: Places = field(default_factory=Places)
    shop: Shop | None = None
    defects: dict[str, DefectClass] = field(default_factory=dict)
    standards: dict[str, dict[str, VisualStandard]] = field(default_factory=dict)
    scopes: dict[str, Scope] = field(default_factory=dict)
    limit_samples: dict[str, LimitSample] = field(default_factory=dict)
    customers: dict[str, Customer] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    moulds: dict[str, Mould] = field(default_factory=dict)
    trials: list[TrialFolder] = field(default_factory=list)
    broken: dict[tuple[str, str], str] = field(default_factory=dict)

    @property
    def problems(self) -> list[Problem]:
        """All problems so far."""
        return self.folder.problems

    def is_broken(self, kind: str, id_: str) -> bool:
        """Whether something of that id is there and can't be read; its problem is noted already."""
        return (kind, id_) in self.broken or HOMES[kind] in self.folder.refused

    def say(self, file: str, path: FieldPath, message: str, hint: str | None = None, *, warning: bool = False) -> None:
        """Note a problem with a field of a file that was read."""
        line = self.places.line(file, path)
        self.problems.append(told(file, line, path, message, hint, warning=warning))
