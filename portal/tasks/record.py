"""`portal record`: a decision that came by telephone, in a meeting, by mail or as a signed document is entered."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from portal.model.answer import AgreedLimit, AskKind, Bound, Concession, Evidence, Given, Keep, LookedAt
from portal.model.event import About, Logged, check_code
from portal.model.logstate import AskState, AskStatus
from portal.model.reach import covers_nothing
from portal.model.sample import Side
from portal.model.says import DecisionRecorded, How, ReviewSent
from portal.model.scalars import read_day, read_moment
from portal.model.shop import May
from portal.model.terms import Answer
from portal.problem import PortalError
from portal.tasks import evidence
from portal.tasks.acting import as_party, refuse_without, refuse_without_authority, reviewer
from portal.tasks.kinds import fitting
from portal.tasks.opened import Opened, one_of


@dataclass(frozen=True)
class Came:
    """From whom a decision came, how, when, and with what in writing."""

    decided_by: str | None = None
    how: str | None = None
    when: str | None = None
    files: tuple[Path, ...] = ()


@dataclass(frozen=True)
class Decision:
    """A decision as somebody typed it."""

    ask: str | None = None
    findings: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    letter: str | None = None
    kind: str | None = None
    words: str | None = None
    comment: str | None = None
    question: str | None = None
    wants: tuple[str, ...] = ()
    looked_at: str | None = None
    concession: Concession = field(default_factory=Concession)
    limit: AgreedLimit | None = None
    keep: str | None = None


@dataclass(frozen=True)
class Recorded:
    """What was written, and what one has to know of it."""

    logged: Logged
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Target:
    """What a decision is to: an ask that was shown in a review, or findings by themselves."""

    kind: AskKind
    findings: tuple[Bound, ...]
    trial: str | None
    ask: str | None = None
    number: int | None = None
    review: str | None = None


def record(opened: Opened, decision: Decision, came: Came) -> Recorded:
    """Enter a decision on behalf of the reviewer who took it, as far as the customer lets that reviewer decide."""
    customer = opened.customer()
    who = reviewer(customer, required(came.decided_by, "--decided-by NAME", "who decided"))
    how, when = way(opened, came)
    target = _of_ask(opened, decision) if decision.ask else _of_findings(opened, decision)
    letter = _letter(decision, target)
    refuse_without_authority(who, customer, letter=letter, kind=target.kind)
    if decision.keep:
        refuse_without(who, customer, may=May.LIMIT_SAMPLE, what="say that a piece is kept as a limit sample")
    given = _given(decision, target, letter)
    if nothing := covers_nothing(decision.concession, on=read_day(when[: len("2026-03-04")])):
        raise PortalError(nothing, hint="ask them what was meant, then record that")
    looked = evidence.look_at(came.files)
    kept = evidence.keep(opened.gathered.folder, opened.part.id, looked)
    says = DecisionRecorded(
        decided_by=as_party(who, customer),
        how=how,
        when=when,
        asks=target.kind,
        decision=given,
        **({"evidence": kept} if kept else {}),
    )
    return Recorded(opened.write(says, _about(target)), tuple(_doubts(opened, target, given, says)))


def confirm(opened: Opened, hash_: str, came: Came) -> Recorded:
    """Bring what is in writing for a decision that was recorded earlier; it decides nothing new."""
    earlier = opened.event(hash_)
    says = earlier.event.says
    if not isinstance(says, DecisionRecorded) or says.confirms is not None:
        raise PortalError(f"`{hash_}` is no recorded decision", hint="`portal log` tells which events are")
    if earlier.hash in opened.state.corrected:
        raise PortalError(f"`{hash_}` was taken back", hint="record the decision anew, with its evidence")
    if came.decided_by is not None and came.decided_by.casefold() != says.decided_by.name.casefold():
        message = f"`{hash_}` was decided by {says.decided_by.name}, not by {came.decided_by}"
        raise PortalError(message, hint="leave out `--decided-by`")
    if not came.files:
        raise PortalError("nothing would be confirmed", hint="add what came in writing: `--evidence FILE`", code=2)
    how, when = way(opened, came)
    kept = evidence.keep(opened.gathered.folder, opened.part.id, evidence.look_at(came.files))
    confirming = DecisionRecorded(
        decided_by=says.decided_by, how=how, when=when, asks=says.asks, evidence=kept, confirms=earlier.hash
    )
    return Recorded(opened.write(confirming, earlier.event.about))


def way(opened: Opened, came: Came) -> tuple[How, str]:
    """How and when it came."""
    how = one_of(How, required(came.how, "--how", "how it came"), "--how")
    when = required(came.when, "--when", "when it came")
    try:
        moment = read_day(when) if len(when) <= len("2026-03-04") else read_moment(when).day
    except ValueError as error:
        raise PortalError(f"`--when`: {error}", code=2) from None
    if moment > opened.today:
        raise PortalError(f"`--when {when}` is yet to come", hint=f"today is {opened.today}", code=2)
    return how, when


def required(text: str | None, option: str, what: str) -> str:
    """What somebody had to type; refused with the option that says it."""
    if not text:
        raise PortalError(f"it isn't said {what}", hint=f"add `{option}`", code=2)
    return text


def _of_ask(opened: Opened, decision: Decision) -> _Target:
    if decision.kind:
        raise PortalError("the kind is that of the ask", hint="leave out `--kind`", code=2)
    ask = opened.ask(decision.ask or "")
    if ask.status in {AskStatus.CLOSED, AskStatus.WITHDRAWN}:
        hint = "record it for the finding: `--finding ID` in place of `--ask`"
        raise PortalError(f"ask {check_code(ask.hash)} is {ask.status}", hint=hint)
    for each in (*decision.findings, *decision.left_out):
        if each not in ask.findings:
            hint = f"it asks about {', '.join(ask.findings)}" if ask.findings else "it asks about no finding"
            raise PortalError(f"ask {check_code(ask.hash)} doesn't ask about {each}", hint=hint, code=2)
    wanted = [each for each in decision.findings or ask.findings if each not in decision.left_out]
    if ask.findings and not wanted:
        raise PortalError("every finding was left out", hint="leave out fewer", code=2)
    last = ask.sent[-1] if ask.sent else None
    return _Target(
        kind=ask.kind,
        findings=tuple(each for each in _as_shown(opened, ask) if each.finding in wanted),
        trial=ask.trial,
        ask=ask.hash,
        number=last.number if last else None,
        review=last.review if last else None,
    )


def _as_shown(opened: Opened, ask: AskState) -> tuple[Bound, ...]:
    """The ask's findings as they were in the last review that asked; before it is sent, as they are today."""
    if ask.sent:
        says = opened.event(ask.sent[-1].event).event.says
        asks = says.asks if isinstance(says, ReviewSent) else ()
        shown = next((each.findings for each in asks if each.ask == ask.hash), ())
        if shown:
            return shown
    gone = tuple(Bound(finding=each) for each in ask.findings if each not in opened.bases)
    return (*opened.bound(each for each in ask.findings if each in opened.bases), *gone)


def _of_findings(opened: Opened, decision: Decision) -> _Target:
    if not decision.findings or decision.left_out:
        hint = "add `--ask HASH` or `--finding ID`; `--left-out` goes with an ask"
        raise PortalError("it isn't said what was decided about", hint=hint, code=2)
    findings = tuple(dict.fromkeys(decision.findings))
    trial = opened.trial_of(findings)
    kind = fitting(decision.kind, [opened.finding(each)[1] for each in findings])
    in_hand = decision.looked_at == LookedAt.PIECE
    bound = (opened.bound((each,))[0] if in_hand else _last_shown(opened, each) for each in findings)
    return _Target(kind=kind, findings=tuple(bound), trial=trial)


def _last_shown(opened: Opened, finding: str) -> Bound:
    """A finding as the last review showed it; one that none showed, as it is today."""
    reviews = opened.state.reviews
    shown = [
        basis
        for digest, basis in opened.state.finding(finding).shown
        if basis and (digest not in reviews or reviews[digest].withdrawn is None)
    ]
    return Bound(finding=finding, basis=shown[-1]) if shown else opened.bound((finding,))[0]


def _letter(decision: Decision, target: _Target) -> Answer | None:
    """The letter, if such an ask offers it; None for an answer in words."""
    if decision.letter is None:
        if target.kind is not AskKind.QUESTION or not decision.words:
            offered = ", ".join(_in_order(target.kind.offers))
            words = ", or `--words`" if target.kind is AskKind.QUESTION else ""
            raise PortalError("it isn't said what was decided", hint=f"add `--letter`: {offered}{words}", code=2)
        return None
    letter = one_of(Answer, decision.letter.upper(), "--letter")
    if letter not in target.kind.offers:
        hint = f"it offers {', '.join(_in_order(target.kind.offers))}"
        raise PortalError(f"`{letter}` is no answer to what is `{target.kind}`", hint=hint)
    return letter


def _in_order(letters: Iterable[Answer]) -> list[Answer]:
    """As a person looks for them: A to E, then the question mark."""
    return sorted(letters, key=list(Answer).index)


def _given(decision: Decision, target: _Target, letter: Answer | None) -> Given:
    _refuse_what_does_not_belong(decision, target, letter)
    given: dict[str, Any] = {
        "number": target.number,
        "ask": target.ask,
        "letter": letter,
        "words": decision.words,
        "findings": target.findings or None,
        "left_out": decision.left_out or None,
        "looked_at": one_of(LookedAt, decision.looked_at, "--looked-at") if decision.looked_at else None,
        "comment": decision.comment,
        "question": decision.question,
        "evidence": tuple(one_of(Evidence, each, "--wants") for each in decision.wants) or None,
        "concession": decision.concession if decision.concession.given() else None,
        "limit": decision.limit,
        "keep": _keep(decision, target) or None,
    }
    return Given.model_validate({name: value for name, value in given.items() if value is not None})


def _keep(decision: Decision, target: _Target) -> tuple[Keep, ...]:
    side = one_of(Side, decision.keep, "--keep") if decision.keep else None
    return tuple(Keep(finding=each.finding, side=side) for each in target.findings) if side else ()


def _refuse_what_does_not_belong(decision: Decision, target: _Target, letter: Answer | None) -> None:
    """Each answer says what it needs, and nothing that belongs to another."""
    agrees = letter is Answer.INSIDE and target.kind is AskKind.NOT_AGREED
    rules = (
        (agrees, decision.limit is not None, "`--limit`", "an agreed limit"),
        (letter is Answer.MORE_EVIDENCE, bool(decision.wants), "`--wants`", "more evidence"),
        (letter is Answer.QUESTION_BACK, bool(decision.question), "`--question`", "a question back"),
    )
    for belongs, there, option, what in rules:
        if belongs and not there:
            raise PortalError(f"{what} has to say which", hint=f"add {option}", code=2)
        if there and not belongs:
            raise PortalError(f"{option} belongs to {what}", hint="leave it out, or change `--letter`", code=2)
    if decision.keep and letter not in {Answer.INSIDE, Answer.OUTSIDE}:
        raise PortalError("a piece is kept with A or with B", hint="leave out `--keep`, or change `--letter`", code=2)
    if decision.concession.given() and letter is not Answer.CONCESSION:
        message = "justification, scope and reference belong to a concession"
        raise PortalError(message, hint="leave them out, or take `--letter C`", code=2)


def _about(target: _Target) -> About:
    finding = target.findings[0].finding if len(target.findings) == 1 else None
    given = {"trial": target.trial, "finding": finding, "review": target.review}
    return About(**{name: value for name, value in given.items() if value})


def _doubts(opened: Opened, target: _Target, given: Given, says: DecisionRecorded) -> Iterable[str]:
    """What still lacks, or limits what was decided."""
    if given.letter is Answer.CONCESSION and (lacks := (given.concession or Concession()).missing()):
        yield f"the concession lacks {', '.join(lacks)}: it decides nothing until that came"
    for bound in target.findings:
        if bound.basis and bound.basis != opened.bases.get(bound.finding, bound.basis):
            yield f"{bound.finding} has changed since it was shown: it has to be asked again"
        concern = opened.findings()[bound.finding][1].concern if bound.finding in opened.bases else None
        if concern and given.letter is Answer.INSIDE and given.looked_at is not LookedAt.PIECE:
            yield f"{bound.finding} touches {concern}: this is the visual result only"
    if not says.evidence:
        yield "not yet confirmed in writing: bring that with `--confirms` and `--evidence`"
