"""Refuses to publish for a customer what is another's: words on pages and in data, and pictures.

Words are searched in pages as they would be written; where one comes from is looked up in the files that the pages
are made from.
"""

import os
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path
from posixpath import normpath

from portal.model.catalogue import Catalogue
from portal.model.checks import check_files
from portal.model.finder import Finder, Stranger, chunks
from portal.model.picture import Facts, PictureFacts
from portal.model.result import TrialResult
from portal.model.strangers import strangers
from portal.problem import FieldPath, PortalError, Problem
from portal.site.inputs import Page
from portal.site.said import texts_of
from portal.site.unbroken import spaced
from portal.site.words import vocabulary
from portal.tasks.gather import Gathered, picture_files
from portal.tasks.records import digest

_MOST = 100
"""So many are listed; a name in a caution stands on every page."""
_SENTENCE = 3
"""A text of fewer words may stand on a page by other ways than the customer's own."""
_MARKUP = re.compile(r"[*_`~]+|<[^>]*>")
"""What may cut a word in two and vanishes on a page."""


class Leaks(PortalError):
    """Something of another customer would be published; nothing was written."""

    def __init__(self, customer: str, problems: Iterable[Problem]) -> None:
        found = sorted(set(problems), key=lambda problem: problem.order)
        more = f" (the first {_MOST} of {len(found)})" if len(found) > _MOST else ""
        super().__init__(
            f"not built: the site for `{customer}` would show what is another customer's{more}",
            hint="change what the lines above name, or build the shop's own site",
            problems=found[:_MOST],
        )


def refuse_strange_pictures(gathered: Gathered, theirs: Catalogue, customer: str, wanted: Iterable[str]) -> None:
    """Every picture that pages want, and every picture something was measured on, has to be this customer's."""
    found = [
        *_strange_files(gathered, theirs, wanted),
        *_copies(gathered, theirs),
        *_measured_elsewhere(gathered, theirs),
    ]
    if found:
        raise Leaks(customer, found)


def rules_for(gathered: Gathered, customer: str, told: Collection[str]) -> str:
    """A digest of what pages are searched for; a page that was searched by the same needs no second look."""
    return digest(sorted(map(repr, _strangers(gathered, customer))), sorted(told))


def _strangers(gathered: Gathered, customer: str) -> tuple[Stranger, ...]:
    return tuple(strangers(gathered.catalogue, customer, common=vocabulary("en")))


def refuse_strange_words(
    gathered: Gathered, theirs: Catalogue, customer: str, pages: Iterable[Page], *, told: Collection[str] = ()
) -> None:
    """No page and no data may hold a word of another customer; `told` are texts that this customer wrote themselves."""
    finder = Finder(_strangers(gathered, customer))
    on: dict[Stranger, list[str]] = {}
    sentences = (each for each in told if len(chunks(each)) >= _SENTENCE and any(finder.find(each)))
    known = sorted(sentences, key=len, reverse=True)
    for page in pages:
        for stranger in _found_in(finder, page, known):
            on.setdefault(stranger, []).append(page.path)
    if on:
        raise Leaks(customer, _told(gathered, theirs, on))


def _found_in(finder: Finder, page: Page, told: Iterable[str]) -> dict[Stranger, None]:
    everything, apart, together = (_without(each, told) for each in texts_of(page))
    return {
        **dict.fromkeys(finder.find(everything, numbers=False)),
        **dict.fromkeys(finder.find(apart)),
        **dict.fromkeys(finder.find(together, numbers=False)),
    }


def _without(text: str, told: Iterable[str]) -> str:
    """A text without what the customer wrote, each as a whole."""
    for each in told:
        text = text.replace(spaced(each), " ")
    return text


def _told(gathered: Gathered, theirs: Catalogue, on: Mapping[Stranger, list[str]]) -> Iterator[Problem]:
    sources = _Sources(gathered, theirs)
    for stranger, pages in on.items():
        more = f" and {len(pages) - 1} more" if len(pages) > 1 else ""
        said = f"`{stranger.text}`, {stranger.what}, would stand in {pages[0]}{more}"
        origins = list(sources.holding(stranger))
        for file, line in origins:
            yield Problem(file, line, "", said)
        if not origins:
            line = gathered.reading.places.line(stranger.file, stranger.field)
            yield Problem(stranger.file, line, ".".join(stranger.field), said)


class _Sources:
    """The files that a customer's pages are made from, line by line, without what was left out of them."""

    def __init__(self, gathered: Gathered, theirs: Catalogue) -> None:
        self._places = gathered.reading.places
        self._lines = {
            file: (gathered.folder / file).read_text(encoding="utf-8-sig", errors="replace").splitlines()
            for file in sorted({*_files_of(theirs), *_recorded(gathered.folder, theirs)})
            if (gathered.folder / file).is_file()
        }
        self._names = picture_files(theirs)
        self._leave_out(gathered.catalogue, theirs)

    def holding(self, stranger: Stranger) -> Iterator[tuple[str, int]]:
        """File and line of each place that holds it; line 0 where it is a file's name."""
        finder = Finder([stranger])
        for file, lines in self._lines.items():
            for number, line in enumerate(lines, start=1):
                if any(finder.find(f"{line}\n{_MARKUP.sub('', line)}")):
                    yield file, number
        for name in self._names:
            if any(finder.find(name)):
                yield name, 0

    def _leave_out(self, whole: Catalogue, theirs: Catalogue) -> None:
        """Blank the criteria that the smaller catalogue doesn't have, and the cavities of other customers' parts."""
        for slug, revisions in theirs.standards.items():
            for revision, kept in revisions.items():
                ids = {each.id for each in kept.criteria}
                for index, criterion in enumerate(whole.standards[slug][revision].criteria):
                    if criterion.id not in ids:
                        self._blank(kept.file, ("criteria", str(index)))
        for id_, mould in theirs.moulds.items():
            for mark in whole.moulds[id_].cavities:
                if mark not in mould.cavities:
                    self._blank(mould.file, ("cavities", mark))

    def _blank(self, file: str, path: FieldPath) -> None:
        fields = self._places.lines.get(file, {})
        inside = [line for field, line in fields.items() if field[: len(path)] == path]
        for line in range(min(inside, default=1), max(inside, default=0) + 1):
            self._lines[file][line - 1] = ""


def _files_of(theirs: Catalogue) -> Iterator[str]:
    yield theirs.shop.file
    for many in (theirs.defects, theirs.scopes, theirs.limit_samples, theirs.customers, theirs.parts, theirs.moulds):
        yield from (each.file for each in many.values())
    for revisions in theirs.standards.values():
        yield from (each.file for each in revisions.values())
    for _, trial in theirs.trials():
        yield trial.file
        yield from (looked.file for looked in trial.looked)
        yield from (picture.tag.file for picture in trial.pictures if picture.tag)


def _recorded(folder: Path, theirs: Catalogue) -> Iterator[str]:
    """Events and what sent reviews showed; each is one line."""
    for part in theirs.parts:
        for pattern in ("log/*.json", "reviews/*/shown.json"):
            yield from (each.relative_to(folder).as_posix() for each in (folder / "parts" / part).glob(pattern))


def _strange_files(gathered: Gathered, theirs: Catalogue, wanted: Iterable[str]) -> Iterator[Problem]:
    """Pictures that lie, all links and `..` followed, outside this customer's folders."""
    top = os.path.realpath(gathered.folder)
    trials = {picture.file for _, trial in theirs.trials() for picture in trial.pictures}
    homes = (*(f"parts/{id_}/" for id_ in theirs.parts), *(f"{each.folder}/" for each in theirs.limit_samples.values()))
    for file in sorted(set(wanted)):
        real = Path(os.path.relpath(os.path.realpath(gathered.folder / file), top)).as_posix()
        if real not in trials and not real.startswith(homes):
            named = "" if normpath(file) == real else f" (it is {real})"
            yield Problem(file, 0, "", f"this picture lies in no folder of this customer{named}")


def _copies(gathered: Gathered, theirs: Catalogue) -> Iterator[Problem]:
    """Pictures with the very bytes of one that isn't this customer's; one of the graticule is nobody's."""
    own = set(picture_files(theirs))
    nobodys = own.union(check_files(gathered.catalogue))
    others = {
        facts.sha256: file
        for file, facts in gathered.facts.items()
        if file not in nobodys and isinstance(facts, PictureFacts)
    }
    for file in sorted(own):
        facts: Facts | None = gathered.facts.get(file)
        if isinstance(facts, PictureFacts) and facts.sha256 in others:
            yield Problem(file, 0, "", f"the same picture as {others[facts.sha256]}, which is not this customer's")


def _measured_elsewhere(gathered: Gathered, theirs: Catalogue) -> Iterator[Problem]:
    """Findings of this customer that were drawn on a picture of another, or on one that may be anybody's."""
    own = set(picture_files(theirs))
    places = gathered.reading.places
    tags = {each.file: each.tag for _, trial in gathered.catalogue.trials() for each in trial.pictures if each.tag}
    for result in _of_parts(gathered.results, theirs):
        for assessment in result.assessments:
            for file in sorted({each.picture for each in assessment.readings if each.picture} - own):
                tag = tags.get(file)
                numbers = [n for n, more in enumerate(tag.also) if more.finding == assessment.finding] if tag else []
                path = ("also", str(numbers[0])) if numbers else ()
                where = tag.file if tag else file
                message = f"finding `{assessment.finding}` is drawn on a picture that is not surely this customer's"
                hint = "name the cavity that the picture shows, or take these shapes away"
                yield Problem(where, places.line(where, path), ".".join(path), message, hint)


def _of_parts(results: Iterable[TrialResult], theirs: Catalogue) -> Iterator[TrialResult]:
    return (result for result in results if result.part.id in theirs.parts)
