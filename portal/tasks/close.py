"""`portal close`: what needs nothing more is closed; where answers disagree, which of them holds."""

from portal.log.decisions import disagree
from portal.model.duty import Duty
from portal.model.event import About, Logged, check_code
from portal.model.logstate import AskStatus, Decided, Owing, OwnerSide
from portal.model.says import MatterClosed, Party
from portal.problem import PortalError
from portal.tasks import duties
from portal.tasks.acting import as_party, refuse_without_authority, reviewer
from portal.tasks.opened import Opened
from portal.tasks.telling import listed


def close(
    opened: Opened,
    places: tuple[str, ...],
    *,
    why: str,
    whole: bool = False,
    holds: str | None = None,
    settled_by: str | None = None,
) -> Logged:
    """Close asks and what else is owed; between answers that disagree one of the customer's people has to settle.

    Of what an event leaves owed, each is closed by its own name; with `whole`, all that is owed for it now.
    """
    if not places or not why.strip():
        raise PortalError("it isn't said what is closed and why", hint='add `--closes HASH` and `--why "…"`', code=2)
    closes = tuple(dict.fromkeys(opened.event(each).hash for each in places if not duties.names_one(each)))
    against = _disagreeing(opened, closes)
    if not against:
        if holds or settled_by:
            message = "no answers disagree in what is closed"
            raise PortalError(message, hint="leave out `--holds` and `--settled-by`", code=2)
        named = [_named(opened, each) for each in places if duties.names_one(each)]
        only = tuple(dict.fromkeys((*named, *(duty for each in closes for duty in _owed(opened, each, whole=whole)))))
        closes = tuple(dict.fromkeys((*closes, *(duty.event for duty in only))))
        says = MatterClosed(closes=closes, why=why, **({"only": only} if only else {}))
        return opened.write(says, _about(opened, closes))
    if len(closes) < len(set(places)):
        hint = "close what is owed for other events by itself"
        raise PortalError("which answer holds is settled first", hint=hint, code=2)
    holding = _holding(opened, against, holds)
    party = _settled(opened, holding, settled_by)
    losing = tuple(each for each in against if _differ(each, holding))
    _refuse_if_something_is_lost(opened, losing)
    events = (*closes, *(each.event for each in losing), *(each.ask for each in (*losing, holding) if each.ask))
    says = MatterClosed(closes=tuple(dict.fromkeys(events)), why=why, holds=holding.event, settled_by=party)
    return opened.write(says, _about(opened, closes))


def _disagreeing(opened: Opened, closes: tuple[str, ...]) -> tuple[Decided, ...]:
    """The customer's decisions that disagree about a finding which one of those events concerns."""
    state = opened.state
    findings = {finding for each in closes if each in state.asks for finding in state.asks[each].findings}
    findings |= {bound.finding for one in state.decided if one.event in closes for bound in one.findings}
    disputed = {each for each in findings if state.finding(each).disagree}
    return tuple(
        one
        for one in state.decided
        if one.counts and one.side is OwnerSide.CUSTOMER and any(bound.finding in disputed for bound in one.findings)
    )


def _holding(opened: Opened, against: tuple[Decided, ...], holds: str | None) -> Decided:
    told = ", ".join(f"{check_code(each.event)} {each.by.name}: {each.disposition}" for each in against)
    if holds is None:
        hint = "say which holds and who of the customer settled it: `--holds HASH --settled-by NAME`"
        raise PortalError(f"answers disagree: {told}", hint=hint)
    wanted = opened.event(holds).hash
    found = [each for each in against if each.event == wanted]
    if not found:
        raise PortalError(f"`{holds}` is none of the answers that disagree", hint=f"one of these: {told}", code=2)
    return found[0]


def _settled(opened: Opened, holding: Decided, name: str | None) -> Party:
    if not name:
        hint = "add `--settled-by NAME`, one of theirs who may give that answer"
        raise PortalError("the shop can't choose between two answers of the customer", hint=hint)
    customer = opened.customer()
    who = reviewer(customer, name)
    refuse_without_authority(who, customer, letter=holding.letter, kind=holding.asked_as)
    return as_party(who, customer)


def _differ(one: Decided, other: Decided) -> bool:
    return any(disagree((one, other), bound.finding) for bound in one.findings if other.covers(bound.finding))


def _refuse_if_something_is_lost(opened: Opened, losing: tuple[Decided, ...]) -> None:
    """An answer that doesn't hold goes whole; what else it decided must not go with it unseen."""
    left = [each for each in opened.state.decided if each.counts and each not in losing]
    lost = {
        bound.finding: each.by.name
        for each in losing
        for bound in each.findings
        if not any(other.covers(bound.finding) for other in left)
    }
    if lost:
        told = listed(f"{finding} (decided by {name})" for finding, name in lost.items())
        message = f"the answer that holds doesn't cover {told}, and the other would no longer count"
        hint = "record that part anew for the finding with `portal record --finding`, then close"
        raise PortalError(message, hint=hint)


def _named(opened: Opened, place: str) -> Duty:
    _, duty = duties.named(opened, place)
    if duty.what.is_replied_to():
        hint = f'`portal note --answers {duty.place} --comment "…"`'
        raise PortalError("what was asked back or wanted is replied to, not closed", hint=hint)
    return duty


def _owed(opened: Opened, hash_: str, *, whole: bool) -> tuple[Duty, ...]:
    """What is owed for an event that was named as a whole: nothing apart for an ask, which goes as one."""
    ask = opened.state.asks.get(hash_)
    if ask is not None:
        if not ask.status.is_open():
            raise PortalError(f"ask {check_code(hash_)} is {ask.status}", hint="nothing is left to close")
        if ask.status is AskStatus.DISAGREEMENT:
            raise PortalError("answers disagree", hint="`--holds HASH --settled-by NAME`")
        return ()
    found = tuple(each for each in duties.owed_for(opened, hash_) if not each[0].what.is_replied_to())
    if found:
        if not whole:
            duties.refuse_several(found, "--closes")
        return tuple(duty for duty, _ in found)
    owed = [each for each in opened.state.owed if each.event == hash_]
    if any(each.what is Owing.DISPOSITION for each in owed):
        hint = "as with `portal record --shop --disposition rework`"
        raise PortalError("what becomes of it has to be said, not closed", hint=hint)
    raise PortalError(f"nothing is owed for {check_code(hash_)}", hint="`portal log` lists what is, each with its name")


def _about(opened: Opened, closes: tuple[str, ...]) -> About:
    trials = {opened.event(each).event.about.trial for each in closes} - {None}
    return About(trial=trials.pop()) if len(trials) == 1 else About()
