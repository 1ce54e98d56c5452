"""Findings that show what a defect class looks like: a few, as unlike each other as there are."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.part import Part
from portal.model.picture import PictureFacts
from portal.model.result import Assessment, TrialResult
from portal.model.say import DefectTerm, Say
from portal.pictures.derive import Want
from portal.site.budget import value_of
from portal.site.card import anchor_of
from portal.site.desk import Desk
from portal.site.marks import word_key
from portal.site.sights import CardCuts, card_cuts, wants_of
from portal.site.view import View, view_of
from portal.site.words import Speaker

MOST = 6


@dataclass(frozen=True, slots=True)
class Example:
    """One finding as a picture of its class."""

    view: View
    word: str
    finding: str
    address: str
    """Its card."""
    where: Say
    trial: str
    value: Say | None


def chosen(desk: Desk, defect: str, *, most: int = MOST) -> tuple[tuple[TrialResult, Assessment], ...]:
    """Findings of the class with a picture: what was drawn before what wasn't, the worst first, one of each part's
    zone before a second of any; the newest trial first among equals. No more than `MOST`."""
    if defect not in desk.examples:
        desk.examples[defect] = _chosen(desk, defect)
    return desk.examples[defect][:most]


def _chosen(desk: Desk, defect: str) -> tuple[tuple[TrialResult, Assessment], ...]:
    known = desk.site.facts
    shown = [each for each in desk.by_defect.get(defect, ()) if isinstance(known.get(each[1].picture), PictureFacts)]
    ranked = sorted(shown, key=lambda each: (not _is_drawn(desk, each[1]), -each[1].verdict.word.badness))
    firsts: dict[tuple[str, str], tuple[TrialResult, Assessment]] = {}
    for each in ranked:
        firsts.setdefault((each[0].part.id, _zone(desk, each[1])), each)
    taken = {_key(each) for each in firsts.values()}
    return tuple([*firsts.values(), *(each for each in ranked if _key(each) not in taken)][:MOST])


def examples(desk: Desk, defect: str, speaker: Speaker) -> tuple[Example, ...]:
    """What a class looks like, in pictures of this site; nothing is drawn over them."""
    return tuple(_example(desk, result, each, speaker, drawn=False) for result, each in chosen(desk, defect))


def measured_example(desk: Desk, defect: str, speaker: Speaker) -> Example | None:
    """The first of them on which something was measured, with what was drawn for it."""
    for result, each in chosen(desk, defect):
        if any(reading.picture for reading in each.measured()):
            return _example(desk, result, each, speaker, drawn=True)
    return None


def example_wants(desk: Desk, defect: str) -> Iterator[tuple[str, Want]]:
    """The derived pictures that the examples of a class need."""
    for result, each in chosen(desk, defect):
        yield from wants_of(_cuts(desk, each, result.part))


def _key(shown: tuple[TrialResult, Assessment]) -> tuple[str, str]:
    return (shown[1].picture, shown[1].finding)


def _is_drawn(desk: Desk, assessment: Assessment) -> bool:
    return bool(desk.found[assessment.picture, assessment.finding].finding.shapes)


def _zone(desk: Desk, assessment: Assessment) -> str:
    return desk.found[assessment.picture, assessment.finding].finding.zone


def _cuts(desk: Desk, assessment: Assessment, part: Part) -> CardCuts:
    return card_cuts(desk, assessment, part, compact=True)


def _example(desk: Desk, result: TrialResult, assessment: Assessment, speaker: Speaker, *, drawn: bool) -> Example:
    cuts = _cuts(desk, assessment, result.part)
    finding = desk.found[assessment.picture, assessment.finding].finding
    cavity = assessment.cavity or "?"
    view = view_of(
        desk,
        cuts.main,
        alt=Say.of("example.alt", defect=DefectTerm(finding.defect), cavity=cavity, finding=finding.id),
        aspect="a32",
        unit=speaker.unit if cuts.has_scale else None,
        lines=cuts.lines if drawn else (),
        file=cuts.picture,
    )
    page = desk.addresses.review(result.part.id, result.mould, result.trial)
    measured = assessment.measured()
    return Example(
        view=view,
        word=word_key(assessment.verdict.word),
        finding=finding.id,
        address=f"{page}#{anchor_of(finding.id)}",
        where=Say.of("example.where", part=result.part.name, cavity=cavity, zone=finding.zone),
        trial=desk.trial(result).stage,
        value=value_of(measured[0]) if measured else None,
    )
