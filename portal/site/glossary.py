"""The defect classes that a page names: what each looks like and what to beware of, once at the end of the page."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from portal.model.say import DefectTerm, Say
from portal.model.shop import Shared
from portal.site.desk import Desk


@dataclass(frozen=True, slots=True)
class ClassEntry:
    """One defect class; prose is a person's Markdown."""

    anchor: str
    address: str | None
    """Its own page."""
    term: Say
    prose: str
    lines: tuple[tuple[Say, str], ...]
    checked: Say | None


def class_anchor(defect: str) -> str:
    """The anchor of a class at the end of its page."""
    return f"c-{defect}"


def glossary(desk: Desk, defects: Iterable[str]) -> tuple[ClassEntry, ...]:
    """The classes by their ids, each once."""
    return tuple(_entry(desk, each) for each in dict.fromkeys(defects) if each in desk.site.catalogue.defects)


def _entry(desk: Desk, defect: str) -> ClassEntry:
    known = desk.site.catalogue.defects[defect]
    checked = Say.of("class.checked", by=known.checked_by) if known.checked_by else Say.of("class.not_checked")
    return ClassEntry(
        anchor=class_anchor(defect),
        address=desk.addresses.record("defect", defect),
        term=Say.of("card.term", term=DefectTerm(defect)),
        prose=known.prose,
        lines=tuple(_lines(desk, known.look, known.hazards, known.causes)),
        checked=checked if desk.for_shop else None,
    )


def _lines(desk: Desk, look: str | None, hazards: str | None, causes: str | None) -> Iterator[tuple[Say, str]]:
    if look:
        yield Say.of("class.look"), look
    if hazards:
        yield Say.of("class.hazards"), hazards
    if causes and desk.shows(Shared.CAUSES):
        yield Say.of("class.causes"), causes
