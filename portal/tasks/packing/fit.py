"""Whether a review is fit to be sent: what stops it, and what its engineer should know."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from portal.assess.lookback import doubts, measured_since
from portal.model.inspectors import lapsed
from portal.model.logstate import AskState
from portal.model.mould import Trial
from portal.model.result import TrialResult
from portal.model.terms import VerdictWord
from portal.site.words import Speaker
from portal.tasks.opened import Opened, trial_name

_SPEAKER = Speaker("en", "mm", lambda defect: defect)


@dataclass(frozen=True)
class Fitness:
    """Sentences: what has to be mended first, and what doesn't stop the sending."""

    stops: tuple[str, ...]
    warns: tuple[str, ...]


def fitness(
    opened: Opened, result: TrialResult, asks: Sequence[AskState], *, to: Sequence[str], today: date
) -> Fitness:
    """What stops a review of that trial with those open asks, and what only warns."""
    trial = opened.gathered.catalogue.moulds[result.mould].trials[result.trial]
    return Fitness(
        stops=(
            *_of_log(opened),
            *_of_trial(trial),
            *_in_doubt(opened, result),
            *_unasked(opened, result),
            *_changed(opened, asks),
        ),
        warns=(
            *_gaps(result),
            *_of_samples(opened, result, today),
            *_of_people(opened, result),
            *_of_asks(asks, to=to, today=today),
        ),
    )


def _of_log(opened: Opened) -> Iterator[str]:
    for problem in opened.problems:
        if not problem.warning:
            yield f"the log isn't whole: {problem}"


def _of_trial(trial: Trial) -> Iterator[str]:
    if trial.checked is None:
        yield (
            f"nobody has marked the trial checked: look through it, then write `checked: {{by: …, at: …}}` "
            f"in {trial.file}"
        )
    for picture in trial.pictures:
        if picture.tag_broken is not None:
            yield f"{picture.tag_broken} can't be read, so it isn't known what was found on {picture.name}: mend it"


def _in_doubt(opened: Opened, result: TrialResult) -> Iterator[str]:
    """Findings measured by a setting that a later check or calibration found wrong, as long as nobody looked back."""
    catalogue, facts = opened.gathered.catalogue, opened.gathered.facts
    for doubt in doubts(catalogue, facts):
        found = measured_since(doubt, result.assessments, catalogue, facts) if doubt.looked_back is None else ()
        if ids := [each.finding for each in found]:
            yield (
                f"{', '.join(ids)}: measured by {doubt.scope.id}, {doubt.setting}, which a check or calibration of "
                f"{doubt.until} found wrong; look back first, then write `looked_back` in {doubt.scope.file}"
            )


def _unasked(opened: Opened, result: TrialResult) -> Iterator[str]:
    """Findings that only the customer can settle, and about which nobody is asked."""
    proposed = {finding for ask in result.asks for finding in ask.findings}
    verdicts = {each.finding: each.verdict.word for each in result.assessments}
    left = [finding for finding in sorted(proposed) if opened.why_not_again(finding) is None]
    if left:
        told = ", ".join(f"{each} ({verdicts[each]})" for each in left)
        yield (
            f"not asked about: {told}; add `portal ask --part {result.part.id} --trial {trial_name(result)} "
            f"--proposed`, or ask with your own words"
        )


def _changed(opened: Opened, asks: Sequence[AskState]) -> Iterator[str]:
    for ask in asks:
        says = ask.asked.event.says
        bound = getattr(says, "findings", ())
        for each in bound:
            now = opened.bases.get(each.finding)
            if now is None:
                where = f"{each.finding}, asked about in {ask.hash[:8]}"
                yield f"{where}, is no longer in the catalogue: withdraw or close it"
            elif each.basis is not None and each.basis != now:
                yield (
                    f"{each.finding} was changed since it was asked about: close {ask.hash[:8]} "
                    f"(`portal close`) and ask again"
                )


def _gaps(result: TrialResult) -> Iterator[str]:
    missing = sum(1 for each in result.sheet if each.missing)
    if missing:
        frames = "1 frame was" if missing == 1 else f"{missing} frames were"
        yield f"{frames} not looked at; the review says so, and the trial doesn't conform as a whole"
    unjudged = [each.finding for each in result.assessments if each.verdict.word is VerdictWord.NOT_JUDGED]
    if unjudged:
        yield f"not judged: {', '.join(unjudged)}"


def _of_samples(opened: Opened, result: TrialResult, today: date) -> Iterator[str]:
    known = opened.gathered.catalogue.limit_samples
    applied = [each.applied.criterion for each in result.assessments if each.applied]
    for name in dict.fromkeys(name for each in applied for name in each.sample_ids):
        sample = known.get(name)
        if sample and sample.expires and sample.expires < today:
            yield f"limit sample {name} expired on {sample.expires}"
        if sample and sample.replaced_by:
            yield f"limit sample {name} was replaced by {sample.replaced_by}"


def _of_people(opened: Opened, result: TrialResult) -> Iterator[str]:
    """The same lapses that the review's page tells."""
    catalogue = opened.gathered.catalogue
    trial = catalogue.moulds[result.mould].trials[result.trial]
    for each in lapsed(result.part, trial, result.written, catalogue):
        yield _SPEAKER.say(each.said(catalogue.shop.people[each.by].name))


def _of_asks(asks: Sequence[AskState], *, to: Sequence[str], today: date) -> Iterator[str]:
    if not asks:
        yield "nothing is asked: the review only shows"
    for ask in asks:
        missing = [each for each in ask.owed_by if each not in to]
        if missing and len(missing) == len(ask.owed_by):
            yield f"{', '.join(missing)} must answer `{_short(ask.question)}` and gets no mail"
        if ask.pending:
            yield f"{_pending(ask)} on `{_short(ask.question)}`: with this review it counts as put to them once more"
        if ask.due and ask.due < today.isoformat():
            yield f"an answer to `{_short(ask.question)}` was due on {ask.due}"


def _pending(ask: AskState) -> str:
    """What nobody replied to yet."""
    wanted = [str(each.evidence or "more evidence") for each in ask.wanted]
    back = [f"`{_short(each.given.question or '?')}`" for each in ask.pending if each.given.question]
    evidence = f"{', '.join(wanted)} is still wanted" if wanted else ""
    asked = f"{', '.join(back)} was asked back and not replied to" if back else ""
    return " and ".join(each for each in (evidence, asked) if each) or "what was asked back is not replied to"


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:59]}…"
