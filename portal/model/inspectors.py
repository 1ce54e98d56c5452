"""Whether those who looked could see well, and knew the standard: what of it had lapsed on the day of their work."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from portal.model.catalogue import Catalogue
from portal.model.mould import Trial
from portal.model.part import Part
from portal.model.say import Say, Several, Value
from portal.model.shop import Person
from portal.model.slug import natural

_NAMED = 6
"""So many findings are named; the rest are counted."""


class Lapse(StrEnum):
    """What had lapsed."""

    NEAR_VISION = "near-vision"
    COLOUR_VISION = "colour-vision"
    UNTRAINED = "untrained"


@dataclass(frozen=True, slots=True)
class Lapsed:
    """What had lapsed of one person, and what was done afterwards."""

    by: str
    what: Lapse
    until: date | None
    """The last day on which a test was valid."""
    standard: str | None
    """The standard on whose revision in force nobody had trained the person."""
    revision: str | None
    findings: tuple[str, ...]
    looked: int
    """Frames looked at in which nothing was seen."""

    @property
    def field(self) -> str:
        """The person's key in `catalog.yaml`."""
        keys = {Lapse.NEAR_VISION: "near_vision_until", Lapse.COLOUR_VISION: "colour_vision_until"}
        return keys.get(self.what, "trained")

    def said(self, person: str) -> Say:
        """In a sentence, with the person's name."""
        work: list[Value] = [*self.findings[:_NAMED]]
        if more := len(self.findings) - _NAMED:
            work += [Say.of("lapse.more", n=more)] if more > 0 else []
        if self.looked:
            work.append(Say.of("lapse.looked", n=self.looked))
        values: dict[str, Value] = {"person": person, "work": Several(tuple(work))}
        if self.until is not None:
            return Say.of(f"lapse.{self.what}", until=self.until, **values)
        return Say.of(f"lapse.{self.what}", standard=self.standard or "", revision=self.revision or "", **values)


@dataclass(frozen=True, slots=True)
class _Work:
    by: str
    day: date
    finding: str | None


def lapsed(part: Part, trial: Trial, written: Collection[tuple[str, str]], catalogue: Catalogue) -> tuple[Lapsed, ...]:
    """Everybody who looked at a part in a trial on a day on which something of theirs had lapsed.

    `written` is picture and id of each of the part's findings. What isn't on record hasn't lapsed: a shop that keeps
    no tests or no training writes none.
    """
    standards = {id_: trial.standards[id_] for id_ in part.standards if id_ in trial.standards}
    found: dict[tuple[str, Lapse, str | None], list[_Work]] = {}
    for work in _works(part.id, trial, written, catalogue):
        person = catalogue.shop.people.get(work.by)
        for what, standard in _lapses(person, work.day, standards) if person else ():
            found.setdefault((work.by, what, standard), []).append(work)
    return tuple(_told(catalogue, standards, key, works) for key, works in sorted(found.items(), key=_order))


def _order(item: tuple[tuple[str, Lapse, str | None], list[_Work]]) -> tuple[str, str, str]:
    by, what, standard = item[0]
    return by, what, standard or ""


def _works(part: str, trial: Trial, written: Collection[tuple[str, str]], catalogue: Catalogue) -> Iterator[_Work]:
    ids = {id_ for _, id_ in written}
    for picture in trial.pictures:
        for finding in picture.tag.findings if picture.tag else ():
            if (picture.file, finding.id) in written:
                yield _Work(finding.by, finding.at.day, finding.id)
        for more in picture.tag.also if picture.tag else ():
            if more.finding in ids:
                yield _Work(more.by, more.at.day, more.finding)
    mould = catalogue.moulds[trial.mould]
    for looked in trial.looked:
        if looked.cavity in mould.cavities and mould.cavities[looked.cavity].part == part:
            yield _Work(looked.by, looked.at.day, None)


def _lapses(person: Person, day: date, standards: Mapping[str, str]) -> Iterator[tuple[Lapse, str | None]]:
    if person.near_vision_until is not None and person.near_vision_until < day:
        yield Lapse.NEAR_VISION, None
    if person.colour_vision_until is not None and person.colour_vision_until < day:
        yield Lapse.COLOUR_VISION, None
    for standard, revision in standards.items() if person.trained is not None else ():
        known = (each for each in person.trained or () if (each.standard, each.revision) == (standard, revision))
        if not any(each.date <= day for each in known):
            yield Lapse.UNTRAINED, standard


def _told(
    catalogue: Catalogue, standards: Mapping[str, str], key: tuple[str, Lapse, str | None], works: list[_Work]
) -> Lapsed:
    by, what, standard = key
    person = catalogue.shop.people[by]
    until = {Lapse.NEAR_VISION: person.near_vision_until, Lapse.COLOUR_VISION: person.colour_vision_until}.get(what)
    findings = sorted({work.finding for work in works if work.finding is not None}, key=natural)
    return Lapsed(
        by=by,
        what=what,
        until=until,
        standard=standard,
        revision=standards.get(standard or ""),
        findings=tuple(findings),
        looked=sum(1 for work in works if work.finding is None),
    )
