"""Each finding as the log knows it."""

from collections import defaultdict
from collections.abc import Sequence

from portal.log.decisions import disagree
from portal.log.walk import Walk
from portal.model.event import Logged
from portal.model.logstate import Comment, Decided, FindingState
from portal.model.says import CommentMade, FindingChanged, FindingWithdrawn, QuestionAsked, ReviewSent


def finding_states(walk: Walk, decided: Sequence[Decided]) -> dict[str, FindingState]:
    """By id, all that was shown, asked, said and decided about each finding."""
    threads: dict[str, list[str]] = defaultdict(list)
    for each in walk.ordered:
        for finding in each.event.findings():
            threads[finding].append(each.hash)
    asks: dict[str, list[str]] = defaultdict(list)
    for each, says in walk.counting(QuestionAsked):
        for bound in says.findings:
            asks[bound.finding].append(each.hash)
    by_finding: dict[str, list[Decided]] = defaultdict(list)
    for one in decided:
        for bound in one.findings:
            by_finding[bound.finding].append(one)
    shown, comments, changed = _shown(walk), _comments(walk), _changed(walk)
    withdrawn = {each.event.about.finding: each for each, _ in walk.counting(FindingWithdrawn)}
    return {
        id_: FindingState(
            id=id_,
            asks=tuple(asks.get(id_, ())),
            decided=tuple(by_finding.get(id_, ())),
            comments=tuple(comments.get(id_, ())),
            changed=tuple(changed.get(id_, ())),
            withdrawn=withdrawn.get(id_),
            shown=tuple(shown.get(id_, ())),
            basis_now=_last_basis(changed.get(id_, ())),
            disagree=disagree(by_finding.get(id_, ()), id_),
            thread=tuple(thread),
        )
        for id_, thread in threads.items()
    }


def _shown(walk: Walk) -> dict[str, list[tuple[str, str | None]]]:
    found: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for _, says in walk.counting(ReviewSent):
        bases = {each.finding: each.basis for ask in says.asks for each in ask.findings}
        bases.update({each.finding: each.basis for each in says.shown})
        for finding, basis in bases.items():
            found[finding].append((says.digest, basis))
    return found


def _comments(walk: Walk) -> dict[str, list[Comment]]:
    found: dict[str, list[Comment]] = defaultdict(list)
    for each, says in walk.counting(CommentMade):
        if each.event.about.finding is not None:
            made = Comment(each.hash, each.event.at, each.event.by, says.audience, says.comment)
            found[each.event.about.finding].append(made)
    return found


def _changed(walk: Walk) -> dict[str, list[Logged]]:
    found: dict[str, list[Logged]] = defaultdict(list)
    for each, _ in walk.counting(FindingChanged):
        if each.event.about.finding is not None:
            found[each.event.about.finding].append(each)
    return found


def _last_basis(changed: Sequence[Logged]) -> str | None:
    says = changed[-1].event.says if changed else None
    return says.new if isinstance(says, FindingChanged) else None
