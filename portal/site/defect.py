"""A defect class's page: its terms, how it looks, how it is measured, what is agreed about it, where it was found."""

from collections.abc import Iterator
from dataclasses import dataclass

from babel.core import Locale, UnknownLocaleError

from portal.model.sample import LimitSample
from portal.model.say import DefectTerm, Say
from portal.model.shop import Shared
from portal.model.standard import DefectClass
from portal.pictures.derive import Want
from portal.site.agreed import Agreed, Force, agreed_about
from portal.site.card import anchor_of
from portal.site.desk import Desk
from portal.site.examples import Example, example_wants, examples, measured_example
from portal.site.marks import word_key
from portal.site.pairs import Plate, pair_wants, pairs, plates
from portal.site.readings import ReadingLine, reading_lines


@dataclass(frozen=True, slots=True)
class TermLine:
    """What a class is called in one language."""

    code: str
    language: str
    term: str
    synonyms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """What is told of a class: how it looks, what to beware of, why it comes about."""

    name: Say
    text: str
    shop_only: bool


@dataclass(frozen=True, slots=True)
class Occurrence:
    """The findings of a class in one trial of a part."""

    part: str
    stage: str
    address: str
    marks: tuple[tuple[str, str, str], ...]
    """Finding, address of its card, word."""


@dataclass(frozen=True, slots=True)
class DefectPage:
    """All that a class's page says; prose is a person's Markdown."""

    title: Say
    term: Say
    also: tuple[str, ...]
    edge: Say
    concern: Say
    checked: Say
    source: str | None
    prose: str
    paragraphs: tuple[Paragraph, ...]
    terms: tuple[TermLine, ...]
    examples: tuple[Example, ...]
    measured: Example | None
    """One of them with what was drawn to measure it."""
    found: int
    pairs: tuple[tuple[Plate, ...], ...]
    readings: tuple[ReadingLine, ...]
    in_force: tuple[Agreed, ...]
    others: tuple[Agreed, ...]
    occurrences: tuple[Occurrence, ...]


def defect_page(desk: Desk, defect: DefectClass) -> DefectPage:
    """The page of a defect class."""
    speaker, agreed = desk.speaker(), agreed_about(desk, defect.id)
    terms = _terms(defect, speaker.language)
    here = next((each for each in terms if each.code == speaker.language), terms[0])
    return DefectPage(
        title=Say.of("card.term", term=DefectTerm(defect.id)),
        term=Say.of("card.term", term=DefectTerm(defect.id)),
        also=here.synonyms,
        edge=Say.of(f"edge.{defect.edge.value}"),
        concern=Say.of(f"concern.{defect.concern.value}") if defect.concern else Say.of("part.looks_only"),
        checked=Say.of("class.checked", by=defect.checked_by) if defect.checked_by else Say.of("class.not_checked"),
        source=defect.source,
        prose=defect.prose,
        paragraphs=tuple(paragraphs(desk, defect)),
        terms=terms,
        examples=examples(desk, defect.id, speaker),
        measured=measured_example(desk, defect.id, speaker),
        found=len(desk.by_defect.get(defect.id, ())),
        pairs=tuple(plates(desk, pair, speaker) for pair in _pairs(desk, defect)),
        readings=reading_lines(desk, defect.id),
        in_force=tuple(each for each in agreed if each.force is Force.NOW),
        others=tuple(each for each in agreed if each.force is not Force.NOW),
        occurrences=tuple(_occurrences(desk, defect)),
    )


def defect_wants(desk: Desk, defect: DefectClass) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a class's page needs."""
    yield from example_wants(desk, defect.id)
    for pair in _pairs(desk, defect):
        yield from pair_wants(desk, pair)


def paragraphs(desk: Desk, defect: DefectClass) -> Iterator[Paragraph]:
    """How it looks, what to beware of and, where this audience may know, why it comes about."""
    if defect.look:
        yield Paragraph(Say.of("class.look"), defect.look, shop_only=False)
    if defect.hazards:
        yield Paragraph(Say.of("class.hazards"), defect.hazards, shop_only=False)
    if defect.causes and desk.shows(Shared.CAUSES):
        yield Paragraph(Say.of("class.causes"), defect.causes, desk.shop_only(Shared.CAUSES))


def language_name(code: str, reader: str) -> str:
    """A language's name in the reader's; its code where nobody knows one."""
    try:
        return Locale.parse(code, sep="-" if "-" in code else "_").get_display_name(reader) or code
    except (UnknownLocaleError, ValueError):
        return code


def _terms(defect: DefectClass, reader: str) -> tuple[TermLine, ...]:
    return tuple(
        TermLine(code, language_name(code, reader), words[0], words[1:])
        for code, words in defect.terms.items()
        if words
    )


def _pairs(desk: Desk, defect: DefectClass) -> tuple[tuple[LimitSample, ...], ...]:
    return pairs(desk, (each for each in desk.site.catalogue.limit_samples.values() if each.defect == defect.id))


def _occurrences(desk: Desk, defect: DefectClass) -> Iterator[Occurrence]:
    found: dict[tuple[str, str, str], list[tuple[str, str, str]]] = {}
    for result, each in desk.by_defect.get(defect.id, ()):
        page = desk.addresses.review(result.part.id, result.mould, result.trial)
        line = (each.finding, f"{page}#{anchor_of(each.finding)}", word_key(each.verdict.word))
        found.setdefault((result.part.name, desk.trial(result).stage, page), []).append(line)
    for (part, stage, page), marks in found.items():
        yield Occurrence(part, stage, page, tuple(marks))
