"""All events of a log by what they say, with those that no longer count."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from portal.log.order import Reach
from portal.model.duty import Duty
from portal.model.event import Logged
from portal.model.says import (
    AnswersReceived,
    DecisionRecorded,
    EventCorrected,
    MatterClosed,
    QuestionAnswered,
    ReviewWithdrawn,
    Says,
)

S = TypeVar("S", bound=Says)


@dataclass(frozen=True)
class Walk:
    """One pass over a log; each question about it is then a look-up."""

    ordered: tuple[Logged, ...]
    corrected: dict[str, str]
    """Events that a correction took back, with that correction."""
    _by_type: Mapping[type[Says], Sequence[Logged]] = field(repr=False)

    @staticmethod
    def over(ordered: tuple[Logged, ...]) -> "Walk":
        """A walk over events in order."""
        by_type: dict[type[Says], list[Logged]] = defaultdict(list)
        for each in ordered:
            by_type[type(each.event.says)].append(each)
        return Walk(ordered, _corrected(by_type[EventCorrected]), by_type)

    def of(self, kind: type[S]) -> Iterator[tuple[Logged, S]]:
        """Every event of a kind, in order, with what it says."""
        for each in self._by_type.get(kind, ()):
            says = each.event.says
            if isinstance(says, kind):
                yield each, says

    def counting(self, kind: type[S]) -> Iterator[tuple[Logged, S]]:
        """Those of them that no correction took back."""
        return ((each, says) for each, says in self.of(kind) if each.hash not in self.corrected)

    @cached_property
    def reach(self) -> Reach:
        """Who had read what."""
        return Reach(self.ordered)

    @cached_property
    def received(self) -> tuple[tuple[Logged, AnswersReceived], ...]:
        """Answers that came in, each once: the same from the same person twice changes nothing.

        One that was taken back is taken back however often it came in.
        """
        once: dict[tuple[str, str | None, str], tuple[Logged, AnswersReceived]] = {}
        gone = set()
        for each, says in self.of(AnswersReceived):
            same = (says.raw.sha256, each.event.about.review, says.decider.name)
            once.setdefault(same, (each, says))
            if each.hash in self.corrected:
                gone.add(same)
        return tuple(found for same, found in once.items() if same not in gone)

    @cached_property
    def withdrawn_reviews(self) -> dict[str, Logged]:
        """Withdrawn reviews by digest."""
        return {each.event.about.review: each for each, _ in self.counting(ReviewWithdrawn) if each.event.about.review}

    @cached_property
    def closed(self) -> dict[str, tuple[Logged, MatterClosed]]:
        """What was closed, by the hash of what is closed; where two did, the later in the list."""
        return {hash_: (each, says) for each, says in self.counting(MatterClosed) for hash_ in says.closes}

    def is_settled(self, duty: Duty) -> bool:
        """Whether a closing says that it is done; one that only chose between answers doesn't say so."""
        return duty.event in self._done_whole or duty in self._done_singly

    @cached_property
    def _done_whole(self) -> frozenset[str]:
        """Events of which a closing says that nothing at all is owed for them any more."""
        return frozenset(
            hash_
            for _, says in self.counting(MatterClosed)
            if says.holds is None
            for hash_ in says.closes
            if not any(duty.event == hash_ for duty in says.only)
        )

    @cached_property
    def _done_singly(self) -> frozenset[Duty]:
        return frozenset(duty for _, says in self.counting(MatterClosed) for duty in says.only)

    @cached_property
    def closings_of(self) -> dict[str, list[MatterClosed]]:
        """Every closing by each event that it closes."""
        found: dict[str, list[MatterClosed]] = defaultdict(list)
        for _, says in self.counting(MatterClosed):
            for hash_ in says.closes:
                found[hash_].append(says)
        return found

    @cached_property
    def confirmed(self) -> dict[str, list[DecisionRecorded]]:
        """What brought evidence for an earlier decision, by that decision."""
        found: dict[str, list[DecisionRecorded]] = defaultdict(list)
        for _, says in self.counting(DecisionRecorded):
            if says.confirms is not None and says.evidence:
                found[says.confirms].append(says)
        return found

    @cached_property
    def replies(self) -> dict[str, list[tuple[Logged, QuestionAnswered]]]:
        """The shop's words by the event that they answer."""
        found: dict[str, list[tuple[Logged, QuestionAnswered]]] = defaultdict(list)
        for each, says in self.counting(QuestionAnswered):
            if each.event.about.event is not None:
                found[each.event.about.event].append((each, says))
        return found


def _corrected(corrections: Sequence[Logged]) -> dict[str, str]:
    """What is taken back; a correction that was itself corrected takes back nothing."""
    found: dict[str, str] = {}
    for each in reversed(corrections):
        if each.hash not in found and each.event.about.event is not None:
            found[each.event.about.event] = each.hash
    return found
