"""What lies at hand while pages are made: records by name, scales, derived pictures, words."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, tzinfo
from functools import cached_property
from pathlib import Path

from portal.model.catalogue import Found
from portal.model.clock import day_in, zone_of
from portal.model.concerns import threads
from portal.model.event import Logged
from portal.model.logstate import LogState
from portal.model.mould import Mould, Trial
from portal.model.picture import Movie, Picture, PictureFacts, PictureUnreadable
from portal.model.result import Assessment, NoScale, Scale, TrialResult
from portal.model.say import Say
from portal.model.shop import Shared, Unit
from portal.model.standard import VisualStandard
from portal.model.terms import SHOP
from portal.pictures.derive import Derived, Want
from portal.site.address import Addresses, asset
from portal.site.audience import may_show
from portal.site.inputs import SiteInput
from portal.site.words import Speaker, speaks

FALLBACK = "en"


@dataclass(frozen=True, slots=True)
class Image:
    """A derived picture of the site: its path, its size, and by how much it was divided."""

    path: str
    width: int
    height: int
    divide: int


@dataclass(frozen=True)
class Desk:
    """Everything a page maker looks up; derived pictures by file and what was wanted."""

    site: SiteInput
    addresses: Addresses
    derived: Mapping[str, Mapping[Want, Derived]]
    unreadable: Mapping[str, PictureUnreadable]
    unplayable: Mapping[str, PictureUnreadable]
    speakers: Mapping[str, Speaker]
    aside: Path | None = None
    """A folder for long pages until they are put where they belong."""

    def speaker(self, customer: str | None = None) -> Speaker:
        """Speaks in the unit of that customer; the shop's own pages are in mm."""
        known = self.site.catalogue.customers.get(customer or self.site.audience)
        return self.speakers["in" if known and known.unit is Unit.INCH else "mm"]

    def shows(self, what: Shared) -> bool:
        """Whether this audience sees such a thing."""
        return may_show(what, audience=self.site.audience, shared=self.site.catalogue.shop.share)

    def shop_only(self, what: Shared) -> bool:
        """Whether only the shop sees such a thing, so that its pages say so."""
        return what not in self.site.catalogue.shop.share

    @property
    def for_shop(self) -> bool:
        """Whether the site is the shop's own."""
        return self.site.audience == SHOP

    def person(self, key: str) -> str:
        """The name of one of the shop's people."""
        known = self.site.catalogue.shop.people.get(key)
        return known.name if known else key

    def day(self, at: str) -> date:
        """The shop's day of an event's time."""
        return day_in(at, self.zone)

    @cached_property
    def zone(self) -> tzinfo:
        """The shop's time zone."""
        return zone_of(self.site.catalogue.shop.time_zone)

    def log(self, part: str) -> LogState:
        """What a part's log comes to; an empty one where nothing was ever asked."""
        return self.site.logs.get(part) or LogState(part)

    def threads(self, part: str) -> Mapping[str, tuple[Logged, ...]]:
        """Every event about each finding of a part, in the log's order."""
        return self._threads.get(part, {})

    @cached_property
    def _threads(self) -> Mapping[str, Mapping[str, tuple[Logged, ...]]]:
        return {part: threads(state) for part, state in self.site.logs.items()}

    def facts(self, file: str) -> PictureFacts | None:
        """What a picture's file says of itself, if it can be shown."""
        known = self.site.facts.get(file)
        return known if isinstance(known, PictureFacts) and file not in self.unreadable else None

    def movie(self, file: str) -> Movie | None:
        """What is known of a movie that can be shown; None of a picture."""
        facts = self.facts(file)
        return facts.movie if facts else None

    def why_unreadable(self, file: str) -> Say:
        """Why a picture can't be shown; without a file's name nobody made one."""
        if not file:
            return Say.of("picture.none_made")
        known = self.unreadable.get(file) or self.site.facts.get(file)
        return known.said if isinstance(known, PictureUnreadable) else Say.of("picture.not_there")

    def scale(self, file: str) -> Scale | NoScale:
        """The scale of a picture, or why it has none."""
        return self.site.scales.get(file, NoScale(Say.of("picture.scale_unknown")))

    def image(self, file: str, want: Want) -> Image | None:
        """A derived picture, or None where it couldn't be made."""
        found = self.derived.get(file, {}).get(want)
        return Image(asset(found.name), found.width, found.height, found.divide) if found else None

    def mould(self, result: TrialResult) -> Mould:
        """The mould of a result."""
        return self.site.catalogue.moulds[result.mould]

    def trial(self, result: TrialResult) -> Trial:
        """The trial of a result."""
        return self.mould(result).trials[result.trial]

    @cached_property
    def found(self) -> Mapping[tuple[str, str], Found]:
        """Every finding by its picture's file and its id, which two parts of a family mould may share."""
        return {(each.picture.file, each.finding.id): each for each in self.site.catalogue.findings()}

    @cached_property
    def pictures(self) -> Mapping[str, tuple[Mould, Trial, Picture]]:
        """Every picture of a trial by file."""
        return {
            picture.file: (mould, trial, picture)
            for mould, trial in self.site.catalogue.trials()
            for picture in trial.pictures
        }

    @cached_property
    def verdicts(self) -> Mapping[tuple[str, str], tuple[Assessment, str]]:
        """By the picture under which it is written and its id: a finding's assessment, and the review that tells it."""
        return {
            (each.picture, each.finding): (each, self.addresses.review(result.part.id, result.mould, result.trial))
            for result in self.site.results
            for each in result.assessments
        }

    @cached_property
    def examples(self) -> dict[str, tuple[tuple[TrialResult, Assessment], ...]]:
        """By defect class: the findings that were chosen to show what it looks like (`examples.py`), once they were."""
        return {}

    @cached_property
    def by_defect(self) -> Mapping[str, tuple[tuple[TrialResult, Assessment], ...]]:
        """By defect class: every assessment with its trial, the newest trial first."""
        found: dict[str, list[tuple[TrialResult, Assessment]]] = {}
        for result in reversed(self.site.results):
            for each in result.assessments:
                defect = self.found[each.picture, each.finding].finding.defect
                found.setdefault(defect, []).append((result, each))
        return {defect: tuple(many) for defect, many in found.items()}

    def standard(self, name: str | None) -> VisualStandard | None:
        """A standard by `<slug>/<revision>`."""
        slug, _, revision = (name or "").partition("/")
        return self.site.catalogue.standards.get(slug, {}).get(revision)


def desk_for(
    site: SiteInput,
    derived: Mapping[str, Mapping[Want, Derived]] | None = None,
    unreadable: Mapping[str, PictureUnreadable] | None = None,
    unplayable: Mapping[str, PictureUnreadable] | None = None,
    aside: Path | None = None,
) -> Desk:
    """A desk for that site."""
    return Desk(
        site=site,
        addresses=Addresses(site.catalogue),
        derived=derived or {},
        unreadable=unreadable or {},
        unplayable=unplayable or {},
        speakers={unit: _speaker(site, unit) for unit in ("mm", "in")},
        aside=aside,
    )


def _speaker(site: SiteInput, unit: str) -> Speaker:
    language = _language(site)
    return Speaker(language, unit, lambda defect: site.catalogue.term(defect, language))


def _language(site: SiteInput) -> str:
    customer = site.catalogue.customers.get(site.audience)
    wanted = [customer.language.value] if customer else list(site.catalogue.shop.languages[:1])
    return next((language for language in wanted if speaks(language)), FALLBACK)
