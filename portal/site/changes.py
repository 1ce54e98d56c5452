"""What changed between two revisions of a standard: added, removed, and field by field what became of the rest."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from portal.model.say import DefectTerm, Say
from portal.model.standard import Criterion, VisualStandard
from portal.site.clauses import Told, condition_facts, criterion_facts
from portal.site.criteria import demand
from portal.site.desk import Desk
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field before and after; None where it wasn't there."""

    key: str
    name: Say
    before: Say | str | None
    after: Say | str | None


@dataclass(frozen=True, slots=True)
class Come:
    """What was added or removed, told in a line."""

    name: str
    what: Say | str


@dataclass(frozen=True, slots=True)
class Changed:
    """What stayed under its name and isn't the same."""

    name: str
    what: Say | str | None
    fields: tuple[FieldChange, ...]
    only_agreed_anew: bool = False
    """Whether nothing but where it stands and who agreed differs."""


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the document: its head, its zone classes, its conditions, its criteria."""

    name: Say
    added: tuple[Come, ...]
    removed: tuple[Come, ...]
    changed: tuple[Changed, ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """All that changed since an earlier revision; parts in which nothing did are left out."""

    since: str
    title: Say
    parts: tuple[Section, ...]


_ANEW = {"revision", "source", "agreed"}


def changes(desk: Desk, old: VisualStandard, new: VisualStandard, speaker: Speaker) -> Changes:
    """What became of an earlier revision in a later one; criteria and conditions are the same by their ids."""
    parts = (
        Section(Say.of("changes.head"), (), (), tuple(_head(old, new))),
        _part(
            "changes.zone_classes",
            {name: ((Told("text", Say.of("told.zone_class"), text),), text) for name, text in old.zone_classes.items()},
            {name: ((Told("text", Say.of("told.zone_class"), text),), text) for name, text in new.zone_classes.items()},
        ),
        _part("changes.conditions", _conditions(old, speaker), _conditions(new, speaker)),
        _part("changes.criteria", _criteria(desk, old, speaker), _criteria(desk, new, speaker)),
    )
    return Changes(
        since=old.revision,
        title=Say.of("changes.since", revision=old.revision),
        parts=tuple(each for each in parts if each.added or each.removed or each.changed),
    )


_Named = Mapping[str, tuple[tuple[Told, ...], Say | str]]
"""By name: the fields, and the whole in a line."""


def _conditions(standard: VisualStandard, speaker: Speaker) -> _Named:
    return {
        name: (facts, Say.of("changes.condition", what=facts[0].value))
        for name, condition in standard.conditions.items()
        for facts in (condition_facts(condition, speaker),)
    }


def _criteria(desk: Desk, standard: VisualStandard, speaker: Speaker) -> _Named:
    return {
        own.id: (criterion_facts(desk, own, standard, speaker), criterion_in_short(own, speaker))
        for own in standard.criteria
    }


def criterion_in_short(own: Criterion, speaker: Speaker) -> Say:
    """A criterion in one line: class, zone, demand."""
    zone = Say.of("criterion.zone", zone=own.zone) if own.zone else Say.of("criterion.class", zone=own.zone_class or "")
    return Say.of("changes.criterion", defect=DefectTerm(own.defect), zone=zone, demand=demand(own, speaker))


def _head(old: VisualStandard, new: VisualStandard) -> Iterator[Changed]:
    fields = tuple(
        FieldChange(key, Say.of(f"changes.{key}"), before, after)
        for key, before, after in (("name", old.name, new.name), ("owner", old.owner, new.owner))
        if before != after
    )
    if fields:
        yield Changed(new.name, None, fields)


def _part(key: str, old: _Named, new: _Named) -> Section:
    return Section(
        name=Say.of(key),
        added=tuple(Come(name, what) for name, (_, what) in new.items() if name not in old),
        removed=tuple(Come(name, what) for name, (_, what) in old.items() if name not in new),
        changed=tuple(
            Changed(name, None if isinstance(what, str) else what, fields, {each.key for each in fields} <= _ANEW)
            for name, (facts, what) in new.items()
            if name in old
            for fields in (field_changes(old[name][0], facts),)
            if fields
        ),
    )


def field_changes(old: tuple[Told, ...], new: tuple[Told, ...]) -> tuple[FieldChange, ...]:
    """The fields that differ, in the order of the later revision, then those that are gone."""
    before, after = {each.key: each for each in old}, {each.key: each for each in new}
    kept = (
        FieldChange(key, each.name, before[key].value if key in before else None, each.value)
        for key, each in after.items()
        if key not in before or before[key].value != each.value
    )
    gone = (FieldChange(key, each.name, each.value, None) for key, each in before.items() if key not in after)
    return (*kept, *gone)
