"""What is owed, by whom, since when."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from portal.log.ticks import ticks
from portal.log.walk import Walk
from portal.model.answer import AgreedLimit, Disposition
from portal.model.duty import Duty, DutyKind, duty
from portal.model.logstate import AskState, AskStatus, Decided, FindingState, Owed, Owing, OwnerSide
from portal.model.terms import Answer


def owed(
    walk: Walk, asks: Mapping[str, AskState], findings: Mapping[str, FindingState], decided: Sequence[Decided]
) -> tuple[Owed, ...]:
    """Everything that somebody owes, the longest waiting first."""
    found = [
        *(each for ask in asks.values() for each in _for_ask(ask)),
        *_for_decisions(walk, asks, decided),
        *_for_findings(asks, findings),
        *_for_answers(walk),
        *_for_pieces(walk),
    ]
    return tuple(sorted(found, key=lambda each: (each.since, each.what, each.event)))


def _for_ask(ask: AskState) -> Iterator[Owed]:
    for reply in ask.pending:
        if reply.given.letter is Answer.QUESTION_BACK:
            back = duty(reply.event, DutyKind.ASKED_BACK, reply.given.number)
            yield replace(_of(ask, Owing.REPLY, reply.at, reply.event, text=reply.given.question or ""), duty=back)
        for each in ask.wanted if reply.given.letter is Answer.MORE_EVIDENCE else ():
            if (each.event, each.number) == (reply.event, reply.given.number):
                wanted = _of(ask, Owing.EVIDENCE, reply.at, reply.event, text=str(each.evidence or ""))
                yield replace(wanted, duty=each)
    match ask.status:
        case AskStatus.NOT_SENT:
            yield _of(ask, Owing.SENDING, ask.asked.event.at, ask.hash)
        case AskStatus.WAITING:
            yield _of(ask, Owing.ANSWER, _waiting_since(ask), ask.hash)
        case AskStatus.PARTLY:
            yield from _for_part(ask)
        case AskStatus.DISAGREEMENT:
            last = [each for each in ask.decided if each.counts][-1]
            yield _of(ask, Owing.CLOSING, last.at, last.event)
        case _:
            return


def _for_part(ask: AskState) -> Iterator[Owed]:
    """Some findings were left out, or a name is missing; what an incomplete concession lacks is told with it."""
    counting = [each for each in ask.decided if each.counts]
    complete = [each for each in counting if each.complete]
    covered = {bound.finding for each in counting for bound in each.findings}
    left = tuple(finding for finding in ask.unanswered if finding not in covered)
    if left:
        yield _of(ask, Owing.ANSWER, _waiting_since(ask), ask.hash, findings=left)
    elif complete and not ask.unanswered:
        yield _of(ask, Owing.SECOND_NAME, complete[0].at, complete[0].event)


def _waiting_since(ask: AskState) -> str:
    """The last time that the ask was put to them: sent, or what they asked back was answered."""
    put = [each.at for each in ask.sent] + [each.event.at for each in ask.answered]
    return max(put, default=ask.asked.event.at)


def _of(
    ask: AskState, what: Owing, since: str, event: str, *, text: str = "", findings: tuple[str, ...] | None = None
) -> Owed:
    decided = {each.by.name for each in ask.decided if each.counts}
    theirs = tuple(name for name in ask.owed_by if what is not Owing.SECOND_NAME or name not in decided)
    return Owed(
        what=what,
        who=theirs if what.side is OwnerSide.CUSTOMER else (),
        since=since,
        event=event,
        trial=ask.trial,
        findings=ask.findings if findings is None else findings,
        ask=ask.hash,
        text=text or ask.question,
        due=ask.due if what.side is OwnerSide.CUSTOMER else None,
    )


def _for_decisions(walk: Walk, asks: Mapping[str, AskState], decided: Sequence[Decided]) -> Iterator[Owed]:
    for each in decided:
        for kind, owed in _left_by(each, asks) if each.counts else ():
            one = duty(each.event, kind, None if kind is DutyKind.CONFIRMATION else each.number)
            if not walk.is_settled(one):
                yield replace(owed, duty=one)


def _left_by(each: Decided, asks: Mapping[str, AskState]) -> Iterator[tuple[DutyKind, Owed]]:
    """What a decision leaves owed until somebody says that it is done."""
    if not each.complete:
        lacks = ", ".join(each.concession.missing()) if each.concession else "justification, scope, reference"
        yield DutyKind.CONCESSION, _from(each, asks, Owing.CONCESSION, (each.by.name,), lacks)
    if not each.confirmed:
        told = f"decided by {each.by.name}, {each.how}"
        yield DutyKind.CONFIRMATION, _from(each, asks, Owing.CONFIRMATION, (), told)
    if each.disposition is Disposition.LIMIT_AGREED:
        yield DutyKind.CRITERION, _from(each, asks, Owing.CRITERION, (), _limit(each.limit))


def _limit(limit: AgreedLimit | None) -> str:
    """The limit as it was agreed, and how far it reaches where that was said."""
    return ", ".join(each for each in (limit.limit, limit.holds) if each) if limit else ""


def _from(each: Decided, asks: Mapping[str, AskState], what: Owing, who: tuple[str, ...], text: str) -> Owed:
    ask = asks.get(each.ask or "")
    return Owed(
        what=what,
        who=who,
        since=each.at,
        event=each.event,
        trial=ask.trial if ask else None,
        findings=tuple(bound.finding for bound in each.findings),
        ask=each.ask,
        text=text,
    )


def _for_findings(asks: Mapping[str, AskState], findings: Mapping[str, FindingState]) -> Iterator[Owed]:
    for state in findings.values():
        if state.withdrawn is not None or not state.counting:
            continue
        statuses = {asks[hash_].status for hash_ in state.asks if hash_ in asks}
        if state.disagree:
            if AskStatus.DISAGREEMENT not in statuses:
                yield _from(state.counting[-1], asks, Owing.CLOSING, (), "")
            continue
        if any(status.is_open() for status in statuses):
            continue
        current = [each for each in state.counting if _on(each.basis(state.id), state.basis_now)]
        last = (current or state.counting)[-1]
        if not current:
            yield _from(last, asks, Owing.ASKING, (), "")
        elif not any(each.disposition.is_final() for each in current):
            yield _from(last, asks, Owing.DISPOSITION, (), str(last.disposition))


def _on(then: str | None, now: str | None) -> bool:
    return then is None or now is None or then == now


def _for_answers(walk: Walk) -> Iterator[Owed]:
    """Unclear lines that no person has read yet, and questions of the reviewer's own."""
    for each, says in walk.received:
        lines, own = enumerate(says.unclear, start=1), enumerate(says.questions, start=1)
        texts = [
            *((Owing.READING, DutyKind.LINE, place, line.text) for place, line in lines),
            *((Owing.REPLY, DutyKind.QUESTION, place, question.question) for place, question in own),
        ]
        for what, kind, place, text in texts:
            one = duty(each.hash, kind, place)
            if not walk.is_settled(one) and not _is_replied_to(walk, one):
                yield Owed(what, (), each.event.at, each.hash, each.event.about.trial, text=text, duty=one)


def _is_replied_to(walk: Walk, one: Duty) -> bool:
    """Whether the shop's words were to this, or to the whole mail; words to one ask of it are about that alone."""
    replies = (says for _, says in walk.replies.get(one.event, ()))
    return any(one in says.only or (not says.only and says.number is None) for says in replies)


def _for_pieces(walk: Walk) -> Iterator[Owed]:
    """Pieces that the customer wants kept and that are no limit sample yet."""
    for each in ticks(walk):
        finding = each.finding.finding
        one = Duty(event=each.event, what=DutyKind.PIECE, finding=finding, side=each.side)
        if each.kept_as is None and not walk.is_settled(one):
            told = f"{finding}, {each.side}"
            yield Owed(Owing.KEEPING, (), each.at, each.event, each.trial, findings=(finding,), text=told, duty=one)
