"""What a customer may see of a part's log."""

from collections.abc import Collection, Iterator
from dataclasses import replace

from portal.model.event import Logged
from portal.model.logstate import FindingState, LogState, Owing
from portal.model.says import AnswersReceived, Audience, CommentMade, EventCorrected, QuestionAsked, ReviewSent
from portal.model.shop import Shared

_THEIRS_TO_KNOW = frozenset({Owing.ANSWER, Owing.SECOND_NAME, Owing.CONCESSION, Owing.EVIDENCE, Owing.REPLY})


def log_for_customer(state: LogState, shared: Collection[Shared]) -> LogState:
    """The log without the shop's own comments, without asks that never went out, without the shop's own duties."""
    hidden = _hidden(state, shared)
    return replace(
        state,
        events=tuple(each for each in state.events if each.hash not in hidden),
        asks={hash_: each for hash_, each in state.asks.items() if hash_ not in hidden},
        findings={id_: _finding(each, hidden) for id_, each in state.findings.items()},
        owed=tuple(each for each in state.owed if each.what in _THEIRS_TO_KNOW and each.ask not in hidden),
        comments=tuple(each for each in state.comments if each[1].event not in hidden),
        unknown=(),
    )


def told_by_customer(state: LogState) -> Iterator[str]:
    """Every text of their own that came in with an answer: nothing in it is news to them."""
    for each in state.events:
        says = each.event.says
        if isinstance(says, AnswersReceived):
            yield from (line.text for line in says.unclear)
            yield from (own.question for own in says.questions)
            for given in says.answers:
                concession = given.concession.given().values() if given.concession else ()
                limit = (given.limit.limit, given.limit.condition) if given.limit else ()
                texts = (given.words, given.question, given.comment, *concession, *limit)
                yield from (text for text in texts if text)


def _hidden(state: LogState, shared: Collection[Shared]) -> frozenset[str]:
    """Hashes of the events that they don't see, with the corrections of those."""
    went_out = {
        ask.ask for each in state.events if isinstance(each.event.says, ReviewSent) for ask in each.event.says.asks
    }
    own = {each.hash for each in state.events if _is_own(each, state, went_out, shared)}
    of_own = {
        each.hash
        for each in state.events
        if isinstance(each.event.says, EventCorrected) and each.event.about.event in own
    }
    return frozenset({*own, *of_own, *(each.hash for each in state.unknown)})


def _is_own(logged: Logged, state: LogState, went_out: Collection[str], shared: Collection[Shared]) -> bool:
    says = logged.event.says
    if isinstance(says, QuestionAsked):
        return logged.hash not in went_out
    if isinstance(says, CommentMade):
        is_shared = says.audience is Audience.SHARED or Shared.SHOP_COMMENTS in shared
        return not is_shared or logged.hash in state.corrected
    return False


def _finding(state: FindingState, hidden: Collection[str]) -> FindingState:
    return replace(
        state,
        asks=tuple(each for each in state.asks if each not in hidden),
        comments=tuple(each for each in state.comments if each.event not in hidden),
        thread=tuple(each for each in state.thread if each not in hidden),
    )
