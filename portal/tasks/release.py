"""`portal release`: a trial is released for something; refused while any finding is without disposition."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from portal.model.answer import Concession, Disposition
from portal.model.event import About
from portal.model.logstate import Decided, FindingState, OwnerSide
from portal.model.result import Assessment, TrialResult
from portal.model.says import How, Party, ReleasedFor, TrialReleased
from portal.model.shop import May
from portal.model.terms import VerdictWord
from portal.problem import PortalError
from portal.tasks import evidence
from portal.tasks.acting import as_party, has_authority, refuse_without, reviewer
from portal.tasks.opened import Opened, one_of, trial_name
from portal.tasks.record import Came, Recorded, way
from portal.tasks.telling import counted, listed


@dataclass(frozen=True)
class Lacking:
    """A finding that stands in the way of a release, and what to do about it."""

    finding: str
    why: str


def release(opened: Opened, trial: str, released_for: str, came: Came, *, conditions: str | None = None) -> Recorded:
    """Record that somebody who may do so released a trial."""
    result = opened.trial(trial)
    what = one_of(ReleasedFor, released_for, "--for")
    granted_by, how, when = _granted(opened, what, came)
    _refuse_what_can_not_be_told(opened, result)
    lack = lacking(opened, result)
    if lack:
        told = "".join(f"\n    {each.finding}: {each.why}" for each in lack)
        message = f"{trial_name(result)} can't be released: {counted(len(lack), 'finding')} without disposition"
        raise PortalError(message + told, hint="decide each, then release")
    looked = evidence.look_at(came.files)
    kept = evidence.keep(opened.gathered.folder, opened.part.id, looked)
    says = TrialReleased(
        released_for=what,
        granted_by=granted_by,
        when=when,
        **({"how": how} if how else {}),
        **({"evidence": kept} if kept else {}),
        **({"conditions": conditions} if conditions else {}),
    )
    return Recorded(opened.write(says, About(trial=trial_name(result))), tuple(_doubts(result, says)))


def lacking(opened: Opened, result: TrialResult) -> tuple[Lacking, ...]:
    """Every finding of a trial without disposition; one that conforms needs none."""
    found = (Lacking(each.finding, why) for each in result.assessments if (why := why_lacking(opened, each)))
    return tuple(found)


def why_lacking(opened: Opened, assessed: Assessment) -> str | None:
    """What a finding lacks to be done with; None where it lacks nothing."""
    state = opened.state.finding(assessed.finding)
    if assessed.verdict.word is VerdictWord.CONFORMS or state.withdrawn is not None:
        return None
    if state.disagree:
        return "answers disagree: have it settled, then `portal close --holds`"
    basis = opened.bases[assessed.finding]
    final = state.dispositions(basis)
    if any(_needs_one_name(each) for each in final):
        return None
    theirs = [each for each in final if each.side is OwnerSide.CUSTOMER]
    names = dict.fromkeys(each.by.name for each in theirs if _may(opened, each))
    needed = _names_needed(opened, state)
    if len(names) >= needed:
        return None
    if names:
        return f"decided by {listed(names)} alone, and {needed} names are needed"
    if theirs:
        return f"decided by {theirs[0].by.name}, who may not decide that"
    return _why_undecided(opened, state, basis, assessed)


def _needs_one_name(decided: Decided) -> bool:
    """Rework, by whomever; and what the shop may decide by itself."""
    own = decided.side is OwnerSide.SHOP and decided.disposition.is_for_the_shop()
    return own or (decided.side is OwnerSide.CUSTOMER and decided.disposition is Disposition.REWORK)


def _may(opened: Opened, decided: Decided) -> bool:
    return has_authority(opened.customer(), decided.by.name, letter=decided.letter, kind=decided.asked_as)


def _names_needed(opened: Opened, state: FindingState) -> int:
    asks = [opened.state.asks[each].names_needed for each in state.asks if opened.state.asks[each].status.is_open()]
    return max([opened.customer().names_needed, *asks])


def _why_undecided(opened: Opened, state: FindingState, basis: str, assessed: Assessment) -> str:
    now = [each for each in state.counting if each.basis(state.id) in (None, basis)]
    if state.counting and not now:
        return "changed since it was decided: ask again"
    short = next((each for each in now if not each.complete), None)
    if short is not None:
        return f"the concession lacks {listed((short.concession or Concession()).missing())}"
    if now:
        return f"{now[-1].disposition}: say what becomes of it, as with `portal record --shop --disposition rework`"
    if any(opened.state.asks[each].status.is_open() for each in state.asks):
        return "asked, and not answered yet"
    return f"{assessed.verdict.word}, and nobody decided about it: `portal ask`, or `portal record`"


def _granted(opened: Opened, what: ReleasedFor, came: Came) -> tuple[Party, How | None, str]:
    """Who grants it, how it came, when; for the next trial that can be the engineer who writes it down."""
    if came.decided_by is None or came.decided_by in (opened.by.id, opened.by.name):
        if what is not ReleasedFor.NEXT_TRIAL:
            message = f"only the customer can release for {what}; the shop's engineer for the next trial"
            raise PortalError(message, hint="add `--granted-by NAME`, one of theirs who may `release`")
        came = replace(came, when=came.when or opened.today.isoformat(), how=came.how or How.MEETING)
        return opened.by, None, way(opened, came)[1]
    customer = opened.customer()
    who = reviewer(customer, came.decided_by)
    refuse_without(who, customer, may=May.RELEASE, what=f"release a trial for {what}")
    how, when = way(opened, came)
    return as_party(who, customer), how, when


def _refuse_what_can_not_be_told(opened: Opened, result: TrialResult) -> None:
    """Where a file can't be read, a finding or a decision may be hidden in it."""
    wrong = [problem for problem in opened.problems if not problem.warning]
    if wrong:
        raise PortalError(
            f"the log of {opened.part.id} isn't whole: what was decided can't be told",
            hint="`portal log --verify` names what is wrong",
            problems=wrong,
        )
    hidden = list(_hidden(opened, result))
    if hidden:
        message = f"{trial_name(result)} can't be released: what was found can't be told: {', '.join(hidden)}"
        raise PortalError(message, hint="mend that: `portal check` says how")


def _hidden(opened: Opened, result: TrialResult) -> Iterator[str]:
    catalogue = opened.gathered.catalogue
    mould = catalogue.moulds[result.mould]
    for picture in mould.trials[result.trial].pictures:
        if picture.tag_broken is not None:
            yield f"{picture.tag_broken} can't be read"
        elif picture.tag and picture.tag.findings and catalogue.part_of(mould, picture.tag.cavity) is None:
            yield f"{picture.tag.file} doesn't say of which cavity"


def _doubts(result: TrialResult, says: TrialReleased) -> Iterator[str]:
    gaps = sum(1 for frame in result.sheet if frame.missing)
    if gaps:
        yield f"not all was looked at: {counted(gaps, 'gap')}, which `portal check` lists"
    if says.how is not None and not says.evidence:
        yield "there is nothing in writing for it"
