"""The specimen card: one finding with its pictures, its ruler, its verdict, and how it was measured."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.catalogue import Found
from portal.model.mould import Piece
from portal.model.part import Part
from portal.model.result import Assessment, FromFile, Held, NoScale, Scale
from portal.model.say import DefectTerm, Say
from portal.model.scalars import Length
from portal.model.shop import Shared
from portal.model.tag import Check
from portal.model.terms import VerdictWord
from portal.site import ruler
from portal.site.budget import Reckoning, reckoning, value_of
from portal.site.criteria import CriterionLine, condition_of, condition_text, criterion_line
from portal.site.dates import Dated, dated
from portal.site.desk import Desk
from portal.site.marks import word_key
from portal.site.pairs import sample_warnings
from portal.site.sights import BESIDE_MAP, TRIPLE, CardCuts, card_cuts
from portal.site.view import View, view_of
from portal.site.words import Speaker
from portal.site.zonemap import ZoneMap, zone_map


@dataclass(frozen=True, slots=True)
class SampleFigure:
    """A limit sample beside the finding."""

    id: str
    address: str | None
    view: View
    side: Say
    agreed: Say
    scale: Say
    same_scale: bool
    warnings: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """All that a card says."""

    anchor: str
    finding: str
    defect: Say
    defect_id: str
    class_address: str | None
    """The page of the class, if it is in the catalogue."""
    cavity: str | None
    shot: int | None
    zone: str
    seen_as: Say | None
    piece: str | None
    place: str | None
    word: str
    sentence: Say
    reason: Say | None
    main: View
    picture: str | None
    field: Say | None
    no_scale: Say | None
    samples: tuple[SampleFigure, ...]
    map: ZoneMap | None
    rulers: tuple[ruler.Rulers, ...]
    more_held: tuple[Say, ...]
    criterion: CriterionLine | None
    set_aside: tuple[CriterionLine, ...]
    seen: Say
    concern: Say | None
    note: str | None
    shop_note: str | None
    checks: tuple[Say, ...]
    values: tuple[Say, ...]
    reckoning: Reckoning
    found_by: Say
    dated: Dated
    others: tuple[tuple[str, str], ...]
    """Other pictures of the finding: name and address."""


def anchor_of(finding: str) -> str:
    """The anchor of a finding's card on its page."""
    return f"f-{finding}"


def card_of(desk: Desk, assessment: Assessment, part: Part) -> Card:
    """The card of one finding."""
    found = desk.found[assessment.picture, assessment.finding]
    speaker = desk.speaker(part.customer)
    compact = is_compact(assessment)
    cuts = card_cuts(desk, assessment, part, compact=compact)
    tag, finding = found.picture.tag, found.finding
    piece = _piece(found)
    scale = desk.scale(cuts.picture)
    return Card(
        anchor=anchor_of(finding.id),
        finding=finding.id,
        defect=Say.of("card.term", term=DefectTerm(finding.defect)),
        defect_id=finding.defect,
        class_address=desk.addresses.record("defect", finding.defect),
        cavity=assessment.cavity,
        shot=tag.shot if tag else None,
        zone=finding.zone,
        seen_as=_seen_as(part, tag.view if tag else None, finding.zone),
        piece=tag.piece if tag else None,
        place=piece.place if piece else None,
        word=word_key(assessment.verdict.word),
        sentence=assessment.verdict.sentence,
        reason=assessment.verdict.reason,
        main=_main_view(desk, cuts, assessment, speaker),
        picture=desk.addresses.picture(cuts.picture),
        field=_field(desk, cuts, speaker),
        no_scale=scale.reason if isinstance(scale, NoScale) else None,
        samples=tuple(_sample_figures(desk, cuts, speaker)),
        map=zone_map(desk, part, tag.view if tag else None, zone=finding.zone, mark=finding.id),
        rulers=tuple(ruler.rulers(each, speaker) for each in readings_of(assessment)),
        more_held=_more_held(assessment),
        criterion=criterion_line(desk, assessment.applied, speaker) if assessment.applied else None,
        set_aside=tuple(criterion_line(desk, each, speaker) for each in assessment.set_aside),
        seen=_seen(desk, assessment, found),
        concern=Say.of(f"concern.{assessment.concern}") if assessment.concern else None,
        note=finding.note,
        shop_note=finding.shop_note if desk.shows(Shared.SHOP_NOTES) else None,
        checks=tuple(felt(each) for each in finding.checks),
        values=tuple(value_of(each) for each in assessment.measured()),
        reckoning=reckoning(desk, assessment, speaker),
        found_by=Say.of("card.found_by", by=desk.person(finding.by), day=finding.at.day, time=finding.at.text[11:16]),
        dated=dated(desk, found.picture, found.trial),
        others=_others(desk, found, cuts.picture),
    )


def is_compact(assessment: Assessment) -> bool:
    """Whether a finding conforms and is told in short."""
    return assessment.verdict.word is VerdictWord.CONFORMS and assessment.concern is None


def worst_first(assessment: Assessment) -> tuple[int, str, str]:
    """A key that sorts the worst finding to the front."""
    return (-assessment.verdict.word.badness, assessment.cavity or "", assessment.finding)


def _piece(found: Found) -> Piece | None:
    named = found.picture.tag.piece if found.picture.tag else None
    return next((each for each in found.trial.pieces if each.id == named), None)


def _seen_as(part: Part, view: str | None, zone: str) -> Say | None:
    known = part.views.get(view or "")
    sees = known.sees.get(zone) if known else None
    return Say.of(f"seen_as.{sees.as_.value}") if sees else None


def _main_view(desk: Desk, cuts: CardCuts, assessment: Assessment, speaker: Speaker) -> View:
    alt = Say.of(
        "card.alt",
        defect=DefectTerm(desk.found[assessment.picture, assessment.finding].finding.defect),
        cavity=assessment.cavity or "?",
        finding=assessment.finding,
    )
    return view_of(
        desk,
        cuts.main,
        alt=alt,
        aspect=_aspect(cuts),
        unit=speaker.unit if cuts.has_scale else None,
        lines=cuts.lines,
        file=cuts.picture,
    )


def _aspect(cuts: CardCuts) -> str:
    return {TRIPLE: "a54", BESIDE_MAP: "a43"}.get(cuts.aspect, "a32")


def _field(desk: Desk, cuts: CardCuts, speaker: Speaker) -> Say | None:
    if cuts.main is None or not cuts.has_scale:
        return None
    facts = desk.facts(cuts.picture)
    whole = facts.upright.width * cuts.main.x if facts else 0.0
    field = cuts.main.field
    shown = min(field.right, whole) - max(field.left, 0.0)
    scale = desk.scale(cuts.picture)
    by = scale.given_by if isinstance(scale, Scale) else None
    key = {Length: "card.field_reference", FromFile: "card.field_file"}.get(type(by), "card.field")
    return Say.of(
        key,
        shown=speaker.about(shown, digits=3 if shown > 0.98 * whole else 2),
        whole=speaker.about(whole, digits=3),
    )


def _sample_figures(desk: Desk, cuts: CardCuts, speaker: Speaker) -> Iterator[SampleFigure]:
    for sample, part, same in cuts.samples:
        file = f"{sample.folder}/{sample.pictures[0].file}"
        side = Say.of(f"side.{sample.side.value.replace(' ', '-')}")
        view = view_of(
            desk,
            part,
            alt=Say.of("card.sample_alt", sample=sample.id, side=side),
            aspect=_aspect(cuts),
            unit=speaker.unit if part and not isinstance(desk.scale(part.file), NoScale) else None,
            file=file,
        )
        yield SampleFigure(
            id=sample.id,
            address=desk.addresses.record("limit sample", sample.id),
            view=view,
            side=side,
            agreed=Say.of("card.sample_agreed", day=sample.agreed.customer.date),
            scale=Say.of("card.same_scale" if same else "card.other_scale"),
            same_scale=same,
            warnings=sample_warnings(desk, sample),
        )


def readings_of(assessment: Assessment) -> tuple[ruler.Reading, ...]:
    """What the rulers of a card show: each limit, worst first, or the value for which no limit is agreed."""
    readings = [ruler.of_held(held) for held in sorted(assessment.held, key=_badness, reverse=True)]
    if not any(readings) and assessment.verdict.key == "verdict.not-agreed":
        readings = [ruler.of_measurement(each) for each in assessment.measured()[:1]]
    return tuple(reading for reading in readings if reading is not None)


def _badness(held: Held) -> int:
    return held.word.badness


def _more_held(assessment: Assessment) -> tuple[Say, ...]:
    """Sentences of further limits that the verdict's own sentence doesn't tell."""
    return tuple(held.sentence for held in assessment.held if not _tells(assessment.verdict.sentence, held.sentence))


def _tells(sentence: Say, other: Say) -> bool:
    return sentence == other or any(isinstance(each, Say) and _tells(each, other) for _, each in sentence.values)


def _seen(desk: Desk, assessment: Assessment, found: Found) -> Say:
    answer = Say.of(f"seen.{found.finding.seen.value.replace(' ', '-')}")
    applied = assessment.applied
    condition = condition_of(desk.site.catalogue, applied.criterion.condition, applied.standard) if applied else None
    if applied is None or condition is None:
        return Say.of("card.seen", answer=answer)
    return Say.of("card.seen_at", answer=answer, condition=condition_text(condition, applied.criterion.condition))


def felt(check: Check) -> Say:
    """What was felt, with what, and how."""
    what = Say.of(f"probe.{check.what.value.replace(' ', '-')}")
    return Say.of("card.check", what=what, result=Say.of(f"check.{check.result}"), method=check.method)


def _others(desk: Desk, found: Found, shown: str) -> tuple[tuple[str, str], ...]:
    pairs = ((each.name, desk.addresses.picture(each.file)) for each in found.pictures() if each.file != shown)
    return tuple((name, address) for name, address in pairs if address)
