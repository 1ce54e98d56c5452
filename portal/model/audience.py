"""Hands over to a customer what is theirs: a smaller catalogue, and their part of what was worked out."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.result import Applied, Assessment, TrialResult
from portal.model.sample import LimitSample
from portal.model.scope import Scope
from portal.model.shop import Person, Shared, Shop
from portal.model.standard import Criterion, DefectClass, LimitSamples, VisualStandard
from portal.model.terms import SHOP

T = TypeVar("T")


def for_audience(catalogue: Catalogue, customer: str) -> Catalogue:
    """What that customer may see: their own parts and all that belongs to them, the shop's own things left out.

    Nothing of another customer's part is in it: no cavity, piece, picture, criterion, agreement or limit sample. A
    picture of a mould that makes parts of several customers stays only where its tag names a cavity.
    """
    parts = {id_: part for id_, part in catalogue.parts.items() if part.customer == customer}
    samples = {id_: each for id_, each in catalogue.limit_samples.items() if each.part in parts}
    theirs = _Theirs(customer, parts, samples, frozenset(catalogue.shop.share))
    moulds = {
        id_: theirs.mould(mould)
        for id_, mould in catalogue.moulds.items()
        if any(cavity.part in parts for cavity in mould.cavities.values())
    }
    standards = theirs.standards(catalogue.standards)
    named = _only(catalogue.scopes, _scopes_of(moulds.values(), samples.values()))
    scopes = {id_: each.without_looking() for id_, each in named.items()}
    return Catalogue(
        shop=_shop(catalogue.shop, standards, _people_of(moulds.values(), samples.values(), scopes.values())),
        defects={id_: theirs.defect(each) for id_, each in catalogue.defects.items()},
        standards=standards,
        scopes=scopes,
        limit_samples={id_: theirs.sample(each) for id_, each in samples.items()},
        customers=_only(catalogue.customers, {customer}),
        parts={
            id_: part.model_copy(update={"criteria": theirs.criteria(part.criteria)}) for id_, part in parts.items()
        },
        moulds=moulds,
        broken=dict(_broken(catalogue.broken, customer, parts.values(), moulds)),
    )


def hand_over(results: Iterable[TrialResult], catalogue: Catalogue, customer: str) -> tuple[TrialResult, ...]:
    """That customer's part of what was worked out on the whole catalogue; `catalogue` is the smaller one."""
    theirs = _Theirs(customer, catalogue.parts, catalogue.limit_samples, frozenset(catalogue.shop.share))
    return tuple(
        replace(
            result,
            part=catalogue.parts[result.part.id],
            assessments=tuple(theirs.assessment(each) for each in result.assessments),
        )
        for result in results
        if result.part.id in catalogue.parts
    )


@dataclass(frozen=True, slots=True)
class _Theirs:
    """One customer's parts and limit samples, and what the shop shares."""

    customer: str
    parts: Mapping[str, Part]
    samples: Mapping[str, LimitSample]
    shared: frozenset[Shared]

    def kept(self, what: Shared, value: T) -> T | None:
        """A thing of the shop where it is shared."""
        return value if what in self.shared else None

    def mould(self, mould: Mould) -> Mould:
        """A mould with the cavities of this customer's parts only."""
        own = {mark: cavity for mark, cavity in mould.cavities.items() if cavity.part in self.parts}
        alone = len(own) == len(mould.cavities)
        trials = {id_: self.trial(trial, own, alone=alone) for id_, trial in mould.trials.items()}
        return mould.model_copy(update={"cavities": own, "trials": trials})

    def trial(self, trial: Trial, own: Collection[str], *, alone: bool) -> Trial:
        """A trial with what was seen of those cavities; `alone` where the mould has no others."""
        followed = {slug for part in self.parts.values() for slug in part.standards}
        return trial.but(
            standards=_only(trial.standards, followed),
            changed=self.kept(Shared.CHANGED, trial.changed),
            press=self.kept(Shared.PRESS, trial.press),
            settings_sheet=self.kept(Shared.PRESS, trial.settings_sheet),
            pieces=tuple(each for each in trial.pieces if each.cavity in own),
            looked=tuple(each for each in trial.looked if each.cavity in own),
            pictures=tuple(self.picture(each) for each in trial.pictures if _shows(each, own, alone=alone)),
        )

    def picture(self, picture: Picture) -> Picture:
        """A picture without the shop's notes, unless they are shared."""
        tag = picture.tag
        if tag is None:
            return picture
        findings = tuple(
            each.model_copy(update={"shop_note": self.kept(Shared.SHOP_NOTES, each.shop_note)}) for each in tag.findings
        )
        update = {"shop_note": self.kept(Shared.SHOP_NOTES, tag.shop_note), "findings": findings}
        return picture.model_copy(update={"tag": tag.model_copy(update=update)})

    def standards(self, every: Mapping[str, Mapping[str, VisualStandard]]) -> dict[str, dict[str, VisualStandard]]:
        """The standards by which this customer's parts go, without what other customers agreed."""
        named = {slug for part in self.parts.values() for slug in part.standards}
        return {
            slug: {
                name: each.model_copy(update={"criteria": self.criteria(each.criteria)})
                for name, each in revisions.items()
                if each.owner in (SHOP, self.customer)
            }
            for slug, revisions in every.items()
            if slug in named and any(each.owner in (SHOP, self.customer) for each in revisions.values())
        }

    def criteria(self, criteria: Iterable[Criterion]) -> tuple[Criterion, ...]:
        """The criteria that nobody, the shop or this customer agreed."""
        return tuple(self.criterion(each) for each in criteria if each.concerns(self.customer))

    def criterion(self, criterion: Criterion) -> Criterion:
        """A criterion that names no other customer's limit sample."""
        pair = criterion.limit_samples
        if pair is None:
            return criterion
        good, bad = (id_ if id_ in self.samples else None for id_ in (pair.last_good, pair.first_bad))
        own = LimitSamples(last_good=good, first_bad=bad) if good or bad else None
        return criterion if own == pair else criterion.model_copy(update={"limit_samples": own})

    def defect(self, defect: DefectClass) -> DefectClass:
        """A defect class without its causes, unless they are shared."""
        return defect.model_copy(update={"causes": self.kept(Shared.CAUSES, defect.causes)})

    def sample(self, sample: LimitSample) -> LimitSample:
        """A limit sample whose pieces carry no serial number, unless those are shared."""
        if Shared.SERIAL_NUMBERS in self.shared:
            return sample
        return sample.model_copy(
            update={"pieces": tuple(each.model_copy(update={"serial": None}) for each in sample.pieces)}
        )

    def assessment(self, assessment: Assessment) -> Assessment:
        """An assessment whose criteria name no other customer's limit sample; those of others were never chosen."""
        applied = assessment.applied
        return replace(
            assessment,
            applied=self.applied(applied) if applied else None,
            set_aside=tuple(self.applied(each) for each in assessment.set_aside),
        )

    def applied(self, applied: Applied) -> Applied:
        """A criterion where it stands, without other customers' limit samples."""
        return replace(applied, criterion=self.criterion(applied.criterion))


def _shows(picture: Picture, own: Collection[str], *, alone: bool) -> bool:
    """Whether a picture surely shows nothing of another customer."""
    cavity = picture.tag.cavity if picture.tag else None
    return cavity in own if cavity is not None else alone


def _only(records: Mapping[str, T], wanted: Collection[str]) -> dict[str, T]:
    return {id_: record for id_, record in records.items() if id_ in wanted}


def _scopes_of(moulds: Iterable[Mould], samples: Iterable[LimitSample]) -> set[str]:
    tags = (picture.tag for mould in moulds for trial in mould.trials.values() for picture in trial.pictures)
    of_tags = {tag.scope for tag in tags if tag and tag.scope}
    return of_tags | {picture.scope for sample in samples for picture in sample.pictures if picture.scope}


def _people_of(moulds: Iterable[Mould], samples: Iterable[LimitSample], scopes: Iterable[Scope]) -> set[str]:
    """Everybody whose key stands in what is handed over."""
    found = {sample.agreed.shop.by for sample in samples}
    for scope in scopes:
        for setting in scope.settings.values():
            found.update(each.by for each in setting.calibrations)
            found.update(each.by for each in setting.checks)
    for trial in (trial for mould in moulds for trial in mould.trials.values()):
        found.update(each.by for each in trial.looked)
        found.update({trial.checked.by} if trial.checked else ())
        for tag in (picture.tag for picture in trial.pictures if picture.tag):
            found.update(each.by for each in tag.findings)
            found.update(each.by for each in tag.also)
    return found


def _shop(shop: Shop, standards: Collection[str], people: Collection[str]) -> Shop:
    needed = {id_: _trained(each, standards) for id_, each in shop.people.items() if id_ in people}
    return shop.model_copy(update={"people": needed})


def _trained(person: Person, standards: Collection[str]) -> Person:
    if person.trained is None:
        return person
    return person.model_copy(update={"trained": tuple(each for each in person.trained if each.standard in standards)})


def _broken(
    broken: Mapping[tuple[str, str], str], customer: str, parts: Iterable[Part], moulds: Collection[str]
) -> Iterable[tuple[tuple[str, str], str]]:
    """What can't be read and is surely theirs or the shop's: whose an unread part or mould is, nobody knows."""
    followed = {slug for part in parts for slug in part.standards}
    for (kind, name), where in broken.items():
        first = name.partition("/")[0]
        theirs = {
            "defect": True,
            "scope": True,
            "standard": first in followed,
            "trial": first in moulds,
            "customer": name == customer,
        }
        if theirs.get(kind, False):
            yield (kind, name), where
