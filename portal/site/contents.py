"""The catalogue's contents: classes by their look, standards, limit samples, microscopes."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.say import DefectTerm, Say
from portal.model.scope import Scope
from portal.model.slug import natural
from portal.model.standard import DefectClass
from portal.site.agreed import Force, force_of, revisions, standard_name
from portal.site.desk import Desk
from portal.site.examples import examples
from portal.site.pairs import Plate, pairs, plates
from portal.site.view import View


@dataclass(frozen=True, slots=True)
class ClassPlate:
    """One class by its look."""

    term: Say
    address: str | None
    view: View | None
    look: str | None
    also: tuple[tuple[str, str], ...]
    """Language code and term, of the other languages."""
    concern: Say | None
    found: int


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One revision of a standard."""

    name: Say
    address: str | None
    effective: date
    force: Say
    now: bool
    criteria: int
    open: int
    """Criteria that nobody agreed to."""


@dataclass(frozen=True, slots=True)
class StandardEntry:
    """A standard with its revisions, the newest first."""

    name: str
    owner: str
    revisions: tuple[RevisionLine, ...]


@dataclass(frozen=True, slots=True)
class PairEntry:
    """A pair of limit samples."""

    what: Say
    plates: tuple[Plate, ...]


@dataclass(frozen=True, slots=True)
class ScopeEntry:
    """A microscope with its settings."""

    name: str
    address: str | None
    kind: Say
    settings: Say


@dataclass(frozen=True, slots=True)
class Contents:
    """All that the contents page says."""

    title: Say
    classes: tuple[ClassPlate, ...]
    standards: tuple[StandardEntry, ...]
    pairs: tuple[PairEntry, ...]
    scopes: tuple[ScopeEntry, ...]


def contents_of(desk: Desk) -> Contents:
    """The contents of the catalogue; its pictures are those of the classes' and the limit samples' pages."""
    return Contents(
        title=Say.of("contents.title", shop=desk.site.catalogue.shop.shop.name),
        classes=tuple(_class(desk, each) for each in _classes(desk)),
        standards=tuple(_standard(desk, name) for name in sorted(desk.site.catalogue.standards, key=natural)),
        pairs=tuple(_pairs(desk)),
        scopes=tuple(_scope(desk, each) for each in desk.site.catalogue.scopes.values()),
    )


def owner_name(desk: Desk, owner: str) -> str:
    """The name of a standard's owner."""
    customer = desk.site.catalogue.customers.get(owner)
    return customer.name if customer else desk.site.catalogue.shop.shop.name if owner == "shop" else owner


def _classes(desk: Desk) -> list[DefectClass]:
    speaker = desk.speaker()
    return sorted(desk.site.catalogue.defects.values(), key=lambda each: natural(speaker.value(DefectTerm(each.id))))


def _class(desk: Desk, defect: DefectClass) -> ClassPlate:
    speaker = desk.speaker()
    shown = examples(desk, defect.id, speaker)[:1]
    return ClassPlate(
        term=Say.of("card.term", term=DefectTerm(defect.id)),
        address=desk.addresses.record("defect", defect.id),
        view=shown[0].view if shown else None,
        look=defect.look,
        also=tuple((code, words[0]) for code, words in defect.terms.items() if code != speaker.language),
        concern=Say.of(f"concern.{defect.concern.value}") if defect.concern else None,
        found=len(desk.by_defect.get(defect.id, ())),
    )


def _standard(desk: Desk, name: str) -> StandardEntry:
    known = tuple(reversed(revisions(desk, name)))
    lines = tuple(
        RevisionLine(
            name=standard_name(each),
            address=desk.addresses.record("standard", f"{name}/{each.revision}"),
            effective=each.effective,
            force=Say.of(f"force.{force_of(desk, each).value}"),
            now=force_of(desk, each) is Force.NOW,
            criteria=len(each.criteria),
            open=sum(1 for own in each.criteria if own.agreed is None),
        )
        for each in known
    )
    return StandardEntry(known[0].name if known else name, owner_name(desk, known[0].owner) if known else "", lines)


def _pairs(desk: Desk) -> Iterator[PairEntry]:
    speaker = desk.speaker()
    for pair in pairs(desk, desk.site.catalogue.limit_samples.values()):
        part = desk.site.catalogue.parts.get(pair[0].part)
        what = Say.of(
            "contents.pair",
            defect=DefectTerm(pair[0].defect),
            zone=pair[0].zone_class,
            part=part.name if part else pair[0].part,
        )
        yield PairEntry(what, plates(desk, pair, speaker))


def _scope(desk: Desk, scope: Scope) -> ScopeEntry:
    return ScopeEntry(
        name=scope.id,
        address=desk.addresses.record("scope", scope.id),
        kind=Say.of(f"scope_type.{scope.type.value.replace(' ', '-').lower()}"),
        settings=Say.of("contents.settings", n=len(scope.settings)),
    )
