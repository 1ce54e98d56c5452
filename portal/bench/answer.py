"""The answer to a drawn finding: value, ruler and verdict, worked out as the build works them out."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.assess.finding import assess
from portal.assess.groups import Groups
from portal.bench.beside import beside
from portal.bench.bodies import Question
from portal.bench.drawing import UNSAVED, drawn_on, finding_of, now, tag_of
from portal.bench.index import Spot, spot_of, with_picture, with_trial
from portal.bench.refused import Refused
from portal.bench.state import Bench
from portal.bench.targets import drawn_shapes, home_of
from portal.model.catalogue import Catalogue, Found
from portal.model.picture import Picture, PictureFacts
from portal.model.result import Applied, Assessment, Measurement, Unmeasured
from portal.model.say import Quantity, Say
from portal.model.tag import Finding, More
from portal.model.terms import Rule
from portal.site.budget import how
from portal.site.card import felt
from portal.site.criteria import agreed_words, condition_words, demand, source_words
from portal.site.marks import word_key
from portal.site.ruler import Rulers, of_held, of_measurement, rulers
from portal.site.typeset import typeset
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class Line:
    """One characteristic: its name, its value or why there is none."""

    name: Say
    value: str | None
    reason: Say | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What the page shows of an assessment."""

    word: str
    sentence: Say
    lines: tuple[Line, ...]
    rulers: tuple[Rulers, ...]
    criterion: str | None
    by_hand: tuple[tuple[Say, Say], ...]
    """What was read by gauge, by which instrument; what was felt, with what and how."""
    rests_on: tuple[Say, ...]
    """What that criterion demands, under which condition, where it stands, who agreed to it."""


def answer(bench: Bench, asked: Question, *, language: str | None = None) -> dict[str, object]:
    """The answer to a question, with its number; the same verdict as a build would give once it is written."""
    spot = bench.index.spot(asked.picture)
    try:
        own = drawn_on(spot, bench.facts, asked.shown)
    except Refused:
        bench.reached()
        raise
    if asked.what == "also":
        return {"number": asked.number, **_more(bench, spot, asked, own, language)}
    id_ = str(asked.finding.get("id") or UNSAVED)
    data = {name: value for name, value in asked.finding.items() if name not in {"id", "by", "at"}}
    finding = finding_of(data, id_=id_, by="-", at=now("UTC"), frame=own.upright)
    tag = tag_of(spot, asked.place, own)
    others = tuple(each for each in tag.findings if each.id != id_)
    tag = tag.model_copy(update={"findings": (*others, finding)})
    picture = spot.picture.model_copy(update={"tag": tag, "tag_broken": None})
    there, catalogue = _with(bench, spot, picture)
    return {"number": asked.number, **judged(there, finding, catalogue, bench, language=language, with_samples=True)}


def _more(bench: Bench, spot: Spot, asked: Question, own: PictureFacts, language: str | None) -> dict[str, object]:
    """What a finding of another picture comes to with what is drawn of it here."""
    home = home_of(spot, str(asked.finding.get("id", "")))
    shapes = drawn_shapes(asked.finding, own).shapes
    tag = tag_of(spot, asked.place, own)
    others = tuple(each for each in tag.also if each.finding != home.id)
    more = More(finding=home.id, shapes=shapes, by=home.by, at=home.at)
    picture = spot.picture.model_copy(
        update={"tag": tag.model_copy(update={"also": (*others, more)}), "tag_broken": None}
    )
    there, catalogue = _with(bench, spot, picture)
    return judged(there, home, catalogue, bench, language=language, with_samples=True)


def _with(bench: Bench, spot: Spot, picture: Picture) -> tuple[Spot, Catalogue]:
    """The picture, and the catalogue, as they would be."""
    trial = with_picture(spot.trial, picture)
    catalogue = with_trial(bench.catalogue, trial)
    return spot_of(catalogue, catalogue.moulds[trial.mould], trial, picture), catalogue


def judged(
    spot: Spot,
    finding: Finding,
    catalogue: Catalogue,
    bench: Bench,
    *,
    language: str | None = None,
    with_samples: bool = False,
) -> dict[str, object]:
    """A finding's verdict for the page of a picture that shows it, with the limit samples to look at beside it where
    these are wanted."""
    found = Found(finding, _home(spot, finding), spot.trial, spot.mould)
    speaker = bench.speaker(language)
    assessed = assess(found, bench.facts, catalogue)
    told = _told(assessed, finding, catalogue, speaker)
    markup = typeset("benchanswer", speaker, here="", told=told)
    return {
        "word": told.word,
        "sentence": speaker.say(told.sentence),
        "html": markup.decode("utf-8"),
        "beside": beside(bench, spot, assessed.applied, speaker, zone=finding.zone) if with_samples else [],
        "compares": assessed.applied is not None and assessed.applied.criterion.rule is Rule.NO_WORSE_THAN,
        "traces": [
            [{"x": x, "y": y} for x, y in each.trace]
            for each in assessed.measured()
            if len(each.trace) == 2 and each.picture == spot.picture.file
        ],
    }


def sentence_of(spot: Spot, finding: Finding, bench: Bench, speaker: Speaker, groups: Groups) -> str:
    """A finding's verdict in one sentence; `groups` keeps what was counted for others of the same picture."""
    found = Found(finding, _home(spot, finding), spot.trial, spot.mould)
    return speaker.say(assess(found, bench.facts, bench.catalogue, groups=groups).verdict.sentence)


def _home(spot: Spot, finding: Finding) -> Picture:
    """The picture under which a finding is written."""
    near = (spot.picture, *(each for each in spot.trial.pictures if spot.mould.may_share_part(each, spot.picture)))
    return next((each for each in near if each.tag and finding in each.tag.findings), spot.picture)


def _told(assessed: Assessment, finding: Finding, catalogue: Catalogue, speaker: Speaker) -> Told:
    held = {id(each.measurement): each for each in assessed.held if each.measurement is not None}
    drawn = [of_held(each) for each in held.values()]
    drawn += [of_measurement(each) for each in assessed.measured() if id(each) not in held]
    return Told(
        word=word_key(assessed.verdict.word),
        sentence=assessed.verdict.sentence,
        lines=tuple(_line(each, speaker) for each in assessed.readings),
        rulers=tuple(rulers(each, speaker) for each in drawn if each is not None),
        criterion=assessed.applied.criterion.id if assessed.applied else None,
        by_hand=tuple(_by_hand(assessed, finding)),
        rests_on=_rests_on(assessed.applied, catalogue, speaker) if assessed.applied else (),
    )


def _by_hand(assessed: Assessment, finding: Finding) -> Iterator[tuple[Say, Say]]:
    for each in assessed.measured():
        if each.how == "gauge":
            yield Say.of(f"characteristic.{each.characteristic.value}"), how(each)
    for check in finding.checks:
        yield Say.of("card.felt"), felt(check)


def _rests_on(applied: Applied, catalogue: Catalogue, speaker: Speaker) -> tuple[Say, ...]:
    own = applied.criterion
    condition = condition_words(catalogue, applied, own.condition)
    known = (demand(own, speaker), condition, source_words(own, applied.rank), agreed_words(catalogue, own))
    return tuple(each for each in known if each is not None)


def _line(reading: Measurement | Unmeasured, speaker: Speaker) -> Line:
    name = Say.of(f"characteristic.{reading.characteristic.value}")
    if isinstance(reading, Unmeasured):
        return Line(name, None, reading.reason)
    return Line(name, speaker.value(Quantity(reading.value, reading.expanded, power=reading.power)))
