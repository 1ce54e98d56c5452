"""Freezes what a review shows: the words, numbers and pictures its customer would see today."""

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from portal.model.digest import canonical, digest
from portal.model.logstate import AskState
from portal.model.result import TrialResult
from portal.model.say import Say
from portal.model.shown import Shown
from portal.pictures.derive import Want, Whole
from portal.site.desk import Desk, desk_for
from portal.site.inputs import Page, SiteInput
from portal.site.movie import movie_wants, sent_movies
from portal.site.paper import Paper
from portal.site.shown import card_wants, shown_of
from portal.tasks.gather import Gathered
from portal.tasks.handed import Handed, handed_over, site_input
from portal.tasks.leaks import refuse_strange_pictures, refuse_strange_words
from portal.tasks.packing.made import make
from portal.tasks.packing.shelf import SHOWN


@dataclass(frozen=True)
class Frozen:
    """A review as it would be sent, with where its pictures and movies lie for the moment."""

    shown: Shown
    content: bytes
    digest: str
    """SHA-256 of `content`."""
    pictures: dict[str, Path]
    """By SHA-256."""


@contextmanager
def frozen(
    gathered: Gathered,
    result: TrialResult,
    asks: Sequence[AskState],
    *,
    as_of: date,
    processes: int = 1,
) -> Iterator["Freezer"]:
    """What may be frozen of a trial; its pictures are gone when the block ends."""
    customer = result.part.customer
    handed = handed_over(gathered, customer)
    own = next(each for each in handed.results if _same(each, result))
    site = replace(site_input(handed, problems=(), audience=customer, as_of=as_of), results=(own,))
    wants = wanted(site, own, asks)
    refuse_strange_pictures(gathered, handed.catalogue, customer, wants)
    with tempfile.TemporaryDirectory() as scratch:
        made = make(site, wants, gathered.folder, Path(scratch), processes=processes)
        derived = {file: {each.want: each for each in many} for file, many in made.by_file.items()}
        desk = desk_for(site, derived, unplayable=made.unplayable)
        yield Freezer(gathered, handed, desk, own, tuple(asks), made.paths)


@dataclass(frozen=True)
class Freezer:
    """Freezes a trial, with or without a word of what changed since an earlier review."""

    gathered: Gathered
    handed: Handed
    desk: Desk
    result: TrialResult
    asks: tuple[AskState, ...]
    files: Mapping[str, Path]
    """Its pictures by SHA-256."""

    def freeze(self, since: Sequence[Say] = ()) -> Frozen:
        """The review as it would be sent today; refused where it would tell of another customer."""
        shown = shown_of(self.desk, self.result, self.asks, since=since)
        content = canonical(shown.plain())
        page = Page(SHOWN, Paper(content))
        refuse_strange_words(self.gathered, self.handed.catalogue, self.result.part.customer, (page,))
        return Frozen(shown, content, digest(shown.plain()), {each: self.files[each] for each in _files(shown)})


def wanted(site: SiteInput, result: TrialResult, asks: Sequence[AskState]) -> dict[str, tuple[Want, ...]]:
    """What a review needs of each picture: the parts that cards show, and whole what a finding or an ask is about."""
    found: dict[str, dict[Want, None]] = {}
    desk = desk_for(site)
    for assessment in result.assessments:
        found.setdefault(assessment.picture, {})[Whole()] = None
        for file, want in card_wants(desk, assessment, result.part):
            found.setdefault(file, {})[want] = None
    for ask in asks:
        file_ = ask.asked.event.about.picture
        if file_ in site.facts:
            found.setdefault(file_ or "", {})[Whole()] = None
    for picture in sent_movies(desk, result, [each.asked.event.about.picture for each in asks]):
        found.setdefault(picture.file, {})[Whole()] = None
        for file, want in movie_wants(desk, picture.file):
            found[file][want] = None
    return {file: tuple(sorted(wants, key=repr)) for file, wants in found.items()}


def _files(shown: Shown) -> Iterator[str]:
    """By SHA-256: everything that is kept beside what was shown."""
    yield from (each.sha256 for each in shown.pictures)
    yield from (each.sha256 for each in shown.movies or () if each.sha256)


def _same(one: TrialResult, other: TrialResult) -> bool:
    return (one.part.id, one.mould, one.trial) == (other.part.id, other.mould, other.trial)
