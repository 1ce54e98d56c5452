"""Everything that can be looked up, each with its page: what the search page lists and its script searches."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.part import Part
from portal.model.result import TrialResult
from portal.model.sample import LimitSample
from portal.model.say import DefectTerm, Say
from portal.model.shop import Shared
from portal.model.slug import natural
from portal.model.standard import DefectClass, VisualStandard
from portal.site.agreed import line_of, revisions, speaker_for, standard_name
from portal.site.bidi import isolated_say
from portal.site.card import anchor_of
from portal.site.clauses import condition_anchor
from portal.site.contents import owner_name
from portal.site.criteria import condition_text
from portal.site.defect import language_name
from portal.site.desk import Desk
from portal.site.fold import folded, initial
from portal.site.redrawn import day_of
from portal.site.sentlines import sent_address


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the index; `words` are found too, but not shown."""

    kind: str
    """The key below `index.kind.` that says what it is."""
    name: str
    address: str
    context: Say
    words: tuple[str, ...] = ()
    language: str | None = None
    """The language of its name, where it isn't the page's."""


@dataclass(frozen=True, slots=True)
class Letter:
    """The entries under one heading."""

    heading: str
    anchor: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Index:
    """All that the search page says."""

    title: Say
    letters: tuple[Letter, ...]
    count: int
    kinds: tuple[str, ...]


KINDS = (
    *("class", "term", "standard", "criterion", "condition", "sample"),
    *("part", "trial", "review", "scope", "finding", "picture"),
)
"""In this order where two are found equally well."""


def index_of(desk: Desk) -> Index:
    """The index of everything."""
    by_heading: dict[str, list[Entry]] = {}
    for each in _entries(desk):
        by_heading.setdefault(initial(each.name), []).append(each)
    letters = tuple(
        Letter(heading, f"l-{number}", tuple(sorted(many, key=_place)))
        for number, (heading, many) in enumerate(sorted(by_heading.items()))
    )
    return Index(Say.of("search.title"), letters, sum(map(len, by_heading.values())), KINDS)


def _place(entry: Entry) -> tuple[str, int]:
    return natural(folded(entry.name)), KINDS.index(entry.kind)


def _entries(desk: Desk) -> Iterator[Entry]:
    catalogue = desk.site.catalogue
    for defect in catalogue.defects.values():
        yield from _of_class(desk, defect)
    for name in catalogue.standards:
        for standard in revisions(desk, name):
            yield from _of_standard(desk, standard)
    for sample in catalogue.limit_samples.values():
        yield from _of_sample(desk, sample)
    for part in catalogue.parts.values():
        yield from _of_part(desk, part)
    for result in desk.site.results:
        yield from _of_trial(desk, result)
    yield from _of_reviews(desk)
    yield from _of_scopes(desk)
    yield from _of_pictures(desk)


def _of_class(desk: Desk, defect: DefectClass) -> Iterator[Entry]:
    address = desk.addresses.record("defect", defect.id)
    reader = desk.speaker().language
    term = defect.term(reader)
    if address is None:
        return
    look = Say.of("index.class_look", look=defect.look) if defect.look else Say.of("index.class")
    causes = defect.causes if desk.shows(Shared.CAUSES) else None
    named = tuple(each for words in defect.terms.values() for each in words)
    told = (defect.id, defect.prose, defect.hazards, causes, *named)
    yield Entry("class", term, address, look, tuple(each for each in told if each))
    for code, words in defect.terms.items():
        for each in words:
            if each == term:
                continue
            if code == reader:
                yield Entry("term", each, address, Say.of("index.synonym", term=DefectTerm(defect.id)))
                continue
            context = Say.of("index.term", language=language_name(code, reader), term=DefectTerm(defect.id))
            yield Entry("term", each, address, context, language=code)


def _of_standard(desk: Desk, standard: VisualStandard) -> Iterator[Entry]:
    speaker, where = speaker_for(desk, standard), f"{standard.id}/{standard.revision}"
    address = desk.addresses.record("standard", where)
    if address is None:
        return
    about = Say.of("index.standard", owner=owner_name(desk, standard.owner), day=standard.effective)
    yield Entry("standard", speaker.say(isolated_say(standard_name(standard))), address, about, (standard.id,))
    for own in standard.criteria:
        line = line_of(desk, own, standard, speaker)
        context = Say.of(
            "index.criterion", defect=line.term, zone=line.zone, demand=line.demand, standard=standard_name(standard)
        )
        told = (own.source.document, own.agreed.by if own.agreed else "")
        yield Entry("criterion", own.id, f"{address}#{line.anchor}", context, told)
    for name, condition in standard.conditions.items():
        context = Say.of("index.condition", what=condition_text(condition, name), standard=standard_name(standard))
        words = tuple(each for each in (condition.instrument, condition.background, condition.state) if each)
        yield Entry("condition", name, f"{address}#{condition_anchor(name)}", context, words)


def _of_sample(desk: Desk, sample: LimitSample) -> Iterator[Entry]:
    address = desk.addresses.record("limit sample", sample.id)
    part = desk.site.catalogue.parts.get(sample.part)
    side = Say.of(f"side.{sample.side.value.replace(' ', '-')}")
    context = Say.of(
        "index.sample",
        side=side,
        defect=DefectTerm(sample.defect),
        zone=sample.zone_class,
        part=part.name if part else sample.part,
    )
    serials = tuple(each.serial or "" for each in sample.pieces) if desk.shows(Shared.SERIAL_NUMBERS) else ()
    if address:
        yield Entry("sample", sample.id, address, context, (*serials, *(each.holder for each in sample.pieces)))


def _of_part(desk: Desk, part: Part) -> Iterator[Entry]:
    address = desk.addresses.part(part.id)
    numbers = Say.of("title.numbers", shop=part.numbers.shop, customer=part.numbers.customer)
    words = (part.id, part.drawing.number, part.material, part.reference or "", *part.components)
    yield Entry("part", part.name, address, numbers, words)
    for number, key in ((part.numbers.shop, "index.number"), (part.numbers.customer, "index.your_number")):
        yield Entry("part", number, address, Say.of(key, part=part.name))


def _of_trial(desk: Desk, result: TrialResult) -> Iterator[Entry]:
    trial, mould, part = desk.trial(result), desk.mould(result), result.part
    page = desk.addresses.review(part.id, result.mould, result.trial)
    context = Say.of("index.trial", part=part.name, mould=mould.id, trial=trial.id, day=trial.date)
    lots = (trial.material_lot or "", trial.colour_lot or "", mould.customer_tool_number)
    yield Entry("trial", trial.stage, page, context, lots)
    for each in result.assessments:
        found = desk.found[each.picture, each.finding]
        context = Say.of(
            "index.finding",
            defect=DefectTerm(found.finding.defect),
            part=part.name,
            cavity=each.cavity or "?",
            zone=found.finding.zone,
            trial=trial.stage,
        )
        piece = found.picture.tag.piece if found.picture.tag else None
        told = (piece or "", found.finding.note or "", found.finding.question or "")
        yield Entry("finding", each.finding, f"{page}#{anchor_of(each.finding)}", context, told)


def _of_reviews(desk: Desk) -> Iterator[Entry]:
    """Sent reviews by the check code that their mails, files and prints bear."""
    for part in desk.site.catalogue.parts.values():
        for each in desk.site.stored.get(part.id, ()):
            context = Say.of(
                "index.review",
                number=each.sent.number,
                part=part.name,
                trial=each.state.trial or "",
                day=day_of(each.sent.sent_on),
            )
            yield Entry("review", each.state.code, sent_address(desk, part.id, each.state), context, each.sent.to)


def _of_scopes(desk: Desk) -> Iterator[Entry]:
    for scope in desk.site.catalogue.scopes.values():
        address = desk.addresses.record("scope", scope.id)
        if address:
            kind = Say.of(f"scope_type.{scope.type.value.replace(' ', '-').lower()}")
            made = [each for setting in scope.settings.values() for each in setting.calibrations]
            numbers = [each.certificate.number for each in made if each.certificate]
            words = (*scope.settings, *(each.id for each in made), *(each.artefact for each in made), *numbers)
            yield Entry("scope", scope.id, address, Say.of("index.scope", kind=kind), tuple(dict.fromkeys(words)))


def _of_pictures(desk: Desk) -> Iterator[Entry]:
    for file, (mould, trial, picture) in desk.pictures.items():
        address, tag = desk.addresses.picture(file), picture.tag
        context = Say.of("index.picture", mould=mould.id, trial=trial.stage)
        words = (tag.caption or "", tag.view or "", tag.piece or "") if tag else ()
        if address:
            yield Entry("picture", picture.name, address, context, words)
