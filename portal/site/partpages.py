"""Every page of parts that hang together: their pictures, reviews, what was sent, closed matters, the parts themselves.

Each is drawn on a desk on which nothing lies but what it is made from, so that a digest of this tells whether the page
still holds: pictures and cards on one of the pictures that hang together, the others on one of the parts.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from portal.model.mould import Mould, Trial
from portal.model.narrow import clusters
from portal.model.picture import Picture
from portal.model.result import Assessment, TrialResult
from portal.site.apart import Apart
from portal.site.card import Card, card_of, is_compact, worst_first
from portal.site.closedout import record_pages
from portal.site.desk import Desk
from portal.site.inputs import Page, Piece
from portal.site.leaf import leaf
from portal.site.part import part_page
from portal.site.picture import Beside, picture_page
from portal.site.reuse import DrawnCard, Reuse
from portal.site.review import CardMaker, marking, review_of
from portal.site.sentpage import sent_pages
from portal.site.thread import Thread
from portal.site.typeset import Place


def part_pages(apart: Apart, parts: frozenset[str], reuse: Reuse) -> Iterator[Page]:
    """The pages of those parts, but for those that still hold."""
    desk = apart.of_parts(parts)
    near = _Near(apart)
    for mould, trial in desk.site.catalogue.trials():
        yield from _pictures(desk, mould, trial, near, reuse)
    for result in desk.site.results:
        yield _reusing(desk, result, partial(near.of, desk, result), reuse)
    yield from sent_pages(desk)
    yield from record_pages(desk)
    for part in desk.site.catalogue.parts.values():
        yield leaf(desk, desk.addresses.part(part.id), "part", part_page(desk, part), customer=part.customer)


def stray_pages(apart: Apart) -> Iterator[Page]:
    """The pictures of moulds that make no part of the catalogue, and what was sent of parts that can't be read."""
    desk, near = apart.of_strays(), _Near(apart)
    for mould, trial in desk.site.catalogue.trials():
        yield from _pictures(desk, mould, trial, near, Reuse())
    yield from sent_pages(desk)
    yield from record_pages(desk)


def _pictures(desk: Desk, mould: Mould, trial: Trial, near: "_Near", reuse: Reuse) -> Iterator[Page]:
    """A page for each picture of a trial."""
    for picture, beside in zip(trial.pictures, _neighbours(desk, trial), strict=True):
        path = desk.addresses.picture(picture.file)
        if path is None or reuse.picture(picture.file):
            continue
        own = near.desk(mould, trial, picture)
        catalogue = own.site.catalogue
        part = catalogue.parts.get(catalogue.part_of(mould, picture.tag.cavity if picture.tag else None) or "")
        line = marking(own, part.customer) if part else catalogue.shop.marking or ""
        home = catalogue.moulds[mould.id]
        page = picture_page(own, picture, home, home.trials[trial.id], line, beside=beside)
        yield leaf(own, path, "picture", page, customer=part.customer if part else None)


def _neighbours(desk: Desk, trial: Trial) -> list[Beside]:
    """For each picture of a trial the pages of those before and after it."""
    pages = [None, *(desk.addresses.picture(each.file) for each in trial.pictures), None]
    return list(zip(pages[:-2], pages[2:], strict=True))


class _Near:
    """The desks of the pictures that hang together, made when they are first asked for."""

    def __init__(self, apart: Apart) -> None:
        self._apart = apart
        self._clusters: dict[tuple[str, str], dict[str, tuple[Picture, ...]]] = {}
        self._last: tuple[str, Desk] | None = None

    def desk(self, mould: Mould, trial: Trial, picture: Picture) -> Desk:
        """The desk of the pictures with which that one hangs together."""
        pictures = self._of(trial)[picture.file]
        first = pictures[0].file
        if self._last is None or self._last[0] != first:
            self._last = (first, self._apart.of_pictures(mould, trial, pictures))
        return self._last[1]

    def of(self, desk: Desk, result: TrialResult, file: str) -> Desk:
        """The same for a picture by its file."""
        trial = desk.trial(result)
        pictures = self._of(trial)[file]
        return self.desk(desk.mould(result), trial, next(each for each in pictures if each.file == file))

    def _of(self, trial: Trial) -> dict[str, tuple[Picture, ...]]:
        name = (trial.mould, trial.id)
        if name not in self._clusters:
            self._clusters[name] = {each.file: many for many in clusters(trial.pictures) for each in many}
        return self._clusters[name]


def review_page(desk: Desk, result: TrialResult, reuse: Reuse) -> Page:
    """The page of a part in a trial, drawn as a whole on that desk, but for cards that hold."""
    return _reusing(desk, result, lambda picture: desk, reuse)


def _reusing(desk: Desk, result: TrialResult, desk_of: Callable[[str], Desk], reuse: Reuse) -> Page:
    def make_card(assessment: Assessment, thread: Thread | None) -> Card | DrawnCard:
        drawn = reuse.card(assessment.picture, assessment.finding, thread)
        return DrawnCard(drawn) if drawn else card_of(desk_of(assessment.picture), assessment, result.part)

    return _review(desk, result, make_card)


def _review(desk: Desk, result: TrialResult, make_card: CardMaker) -> Page:
    path = desk.addresses.review(result.part.id, result.mould, result.trial)
    page = review_of(desk, result, make_card=make_card)
    places: list[Place] = []
    made = leaf(desk, path, "review", page, customer=result.part.customer, places=places)
    shown = sorted(sorted(result.assessments, key=worst_first), key=is_compact)
    pieces = (Piece(each.picture, each.finding, *place) for each, place in zip(shown, places, strict=True))
    return replace(made, pieces=tuple(pieces))
