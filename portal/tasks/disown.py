"""An answer proves not to be theirs: it is taken back on the customer's word, and nothing is left that rests on it.

The shop alone can't do that, or it could rid itself of an answer that it doesn't like; nor can it bring one back.
"""

from collections.abc import Iterable, Iterator

from portal.model import says as said
from portal.model.event import About, Logged, check_code
from portal.model.shop import Reviewer
from portal.problem import PortalError
from portal.tasks import evidence
from portal.tasks.acting import as_party, refuse_without_authority, reviewer
from portal.tasks.opened import Opened
from portal.tasks.record import Came, way
from portal.tasks.telling import listed


def answer_of(opened: Opened, logged: Logged) -> Logged | None:
    """The answer that would be taken back with an event, or brought back with its correction; None of any other."""
    says, about = logged.event.says, logged.event.about.event
    if isinstance(says, said.EventCorrected) and about is not None:
        found = opened.state.get(about)
        return answer_of(opened, found) if found is not None else None
    return logged if isinstance(says, said.AnswersReceived) else None


def disown(opened: Opened, target: Logged, answer: Logged, *, why: str, came: Came) -> Logged:
    """Take back an answer, or such a correction; `came` is who of the customer said so, how and when."""
    who = _who(opened, answer, came)
    how, when = way(opened, came)
    if target is answer:
        refuse_what_rests_on(opened, (answer,))
    kept = evidence.keep(opened.gathered.folder, opened.part.id, evidence.look_at(came.files))
    says = said.EventCorrected(
        why=why,
        said_by=as_party(who, opened.customer()),
        how=how,
        when=when,
        **({"evidence": kept} if kept else {}),
    )
    trial = {"trial": answer.event.about.trial} if answer.event.about.trial else {}
    return opened.write(says, About(event=target.hash, **trial))


def _who(opened: Opened, answer: Logged, came: Came) -> Reviewer:
    """The one in whose name it stands, or another of theirs who may decide all that it decided."""
    says, customer = answer.event.says, opened.customer()
    name = says.decider.name if isinstance(says, said.AnswersReceived) else ""
    if not came.decided_by:
        hint = "add `--said-by NAME`, `--how` and `--when`: that one, or one of theirs who may decide the same"
        raise PortalError(f"whether an answer is {name}'s the shop can't say, only the customer", hint=hint)
    who = reviewer(customer, came.decided_by)
    for one in opened.state.decided:
        if one.event == answer.hash and who.name.casefold() != name.casefold():
            refuse_without_authority(who, customer, letter=one.letter, kind=one.asked_as)
    return who


def refuse_what_rests_on(opened: Opened, answers: Iterable[Logged]) -> None:
    """First what was built on answers is taken back, each by itself, so that a person sees what falls."""
    found = dict(each for answer in answers for each in _resting(opened, answer))
    if found:
        raise PortalError(
            f"on this answer rests {listed(found)}", hint="first " + "; ".join(dict.fromkeys(found.values()))
        )


def _resting(opened: Opened, answer: Logged) -> Iterator[tuple[str, str]]:
    """What was done on the strength of an answer and stands, each with the command that takes it back."""
    state = opened.state
    decides = any(one.event == answer.hash and one.counts for one in state.decided)
    later = state.events[state.events.index(answer) + 1 :]
    for each in (one for one in later if one.hash not in state.corrected):
        says, code = each.event.says, check_code(each.hash)
        back = f"`portal withdraw --event {code}`"
        if isinstance(says, said.MatterClosed) and _holds(says, answer.hash):
            yield f"closing {code}", back
        elif isinstance(says, said.TrialReleased) and decides and each.event.about.trial == answer.event.about.trial:
            yield f"release {code} of {each.event.about.trial} for {says.released_for}", back
        elif isinstance(says, said.LimitSampleApproved) and says.rests_on == answer.hash:
            sample = state.samples.get(says.sample)
            if sample is not None and sample.ended is None:
                yield f"limit sample {says.sample}", f"`portal keep --ends {says.sample}`"


def _holds(closing: said.MatterClosed, answer: str) -> bool:
    """Whether a closing rests on an answer: it says that this one holds, or that nothing more is owed for it."""
    return answer == closing.holds or (closing.holds is None and answer in closing.closes)
