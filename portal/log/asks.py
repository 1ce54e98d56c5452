"""Each ask with all that came of it, and how it stands."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from portal.log.decisions import ask_of, disagree, numbers
from portal.log.walk import Walk
from portal.model.answer import AskKind
from portal.model.duty import Duty, evidence_duties
from portal.model.event import Logged
from portal.model.logstate import AskState, AskStatus, Decided, OwnerSide, Replied, SentIn
from portal.model.says import DecisionRecorded, FindingWithdrawn, QuestionAnswered, QuestionAsked, ReviewSent
from portal.model.terms import Answer


def ask_states(walk: Walk, decided: Sequence[Decided]) -> dict[str, AskState]:
    """By the hash of the event that asked, in order."""
    sent, replies = _sent(walk), _replies(walk)
    by_ask: dict[str, list[Decided]] = defaultdict(list)
    for one in decided:
        if one.ask is not None:
            by_ask[one.ask].append(one)
    gone = frozenset(each.event.about.finding or "" for each, _ in walk.counting(FindingWithdrawn))
    follow: dict[str, list[str]] = defaultdict(list)
    for each, says in walk.counting(QuestionAsked):
        if says.follows:
            follow[says.follows].append(each.hash)
    found = {}
    for each, says in walk.of(QuestionAsked):
        case = _Case(
            walk=walk,
            asked=each,
            says=says,
            sent=tuple(sent.get(each.hash, ())),
            replies=tuple(replies.get(each.hash, ())),
            decided=tuple(by_ask.get(each.hash, ())),
            gone=gone,
            followed_by=tuple(follow.get(each.hash, ())),
        )
        found[each.hash] = case.state()
    return found


def _sent(walk: Walk) -> dict[str, list[SentIn]]:
    found: dict[str, list[SentIn]] = defaultdict(list)
    for each, says in walk.counting(ReviewSent):
        if says.digest not in walk.withdrawn_reviews:
            for ask in says.asks:
                found[ask.ask].append(SentIn(says.digest, ask.number, each.event.at, each.hash))
    return found


def _replies(walk: Walk) -> dict[str, list[Replied]]:
    found: dict[str, list[Replied]] = defaultdict(list)
    known = numbers(walk)
    for each, says in walk.received:
        review = each.event.about.review
        for given in says.answers if review not in walk.withdrawn_reviews else ():
            ask = ask_of(given, review, known)
            if ask is not None:
                found[ask].append(Replied(each.hash, each.event.at, says.decider, given, review))
    for each, recorded in walk.counting(DecisionRecorded):
        if recorded.decision is not None and recorded.decision.ask is not None:
            reply = Replied(each.hash, each.event.at, recorded.decided_by, recorded.decision)
            found[recorded.decision.ask].append(reply)
    return found


@dataclass(frozen=True)
class _Case:
    """What has to be known of one ask to say how it stands."""

    walk: Walk
    asked: Logged
    says: QuestionAsked
    sent: tuple[SentIn, ...]
    replies: tuple[Replied, ...]
    decided: tuple[Decided, ...]
    gone: frozenset[str]
    followed_by: tuple[str, ...]

    def state(self) -> AskState:
        pending = self.pending()
        wanted = tuple(each for reply in pending for each in self.wanted(reply))
        return AskState(
            hash=self.asked.hash,
            asked=self.asked,
            kind=self.says.asks,
            question=self.says.question,
            offers=self.says.offers,
            findings=tuple(each.finding for each in self.says.findings),
            owed_by=self.says.owed_by,
            names_needed=self.says.names_needed,
            due=self.says.due,
            trial=self.asked.event.about.trial,
            status=self.status(),
            sent=self.sent,
            replies=self.replies,
            decided=self.decided,
            answered=self.answered(),
            evidence=tuple(dict.fromkeys(each.evidence for each in wanted if each.evidence)),
            wanted=wanted,
            pending=pending,
            unanswered=self.unanswered(),
        )

    def status(self) -> AskStatus:
        if self.asked.hash in self.walk.corrected:
            return AskStatus.WITHDRAWN
        if self.disagreement():
            return AskStatus.DISAGREEMENT
        waiting = {reply.given.letter for reply in self.pending()}
        if Answer.QUESTION_BACK in waiting:
            return AskStatus.QUESTION_BACK
        if waiting:
            return AskStatus.EVIDENCE_WANTED
        if self.is_closed():
            return AskStatus.CLOSED
        if self.is_answered():
            return AskStatus.ANSWERED
        if any(each.counts for each in self.decided):
            return AskStatus.PARTLY
        return AskStatus.WAITING if self.sent else AskStatus.NOT_SENT

    def findings(self) -> tuple[str, ...]:
        """Those that are still there."""
        return tuple(each.finding for each in self.says.findings if each.finding not in self.gone)

    def disagreement(self) -> bool:
        return any(disagree(self.about(finding), finding) for finding in self.findings())

    def about(self, finding: str) -> tuple[Decided, ...]:
        return tuple(one for one in self.decided if any(each.finding == finding for each in one.findings))

    def is_closed(self) -> bool:
        all_gone = bool(self.says.findings) and not self.findings()
        return bool(self.followed_by) or all_gone or self.asked.hash in self.walk.closed

    def is_answered(self) -> bool:
        if self.says.asks is AskKind.QUESTION:
            return any(reply.given.words or reply.given.comment for reply in self.replies if _in_words(reply))
        return bool(self.findings()) and not self.unanswered() and not self.names_missing()

    def unanswered(self) -> tuple[str, ...]:
        if self.says.asks is AskKind.QUESTION:
            return ()
        return tuple(finding for finding in self.findings() if not self.deciders(finding))

    def names_missing(self) -> bool:
        return any(len(self.deciders(finding)) < self.says.names_needed for finding in self.findings())

    def deciders(self, finding: str) -> set[str]:
        """Names of the customer's people who decided about it so that it counts."""
        return {
            one.by.name for one in self.about(finding) if one.counts and one.side is OwnerSide.CUSTOMER and one.complete
        }

    def answered(self) -> tuple[Logged, ...]:
        """The shop's words to this ask or to what was replied to it."""
        to_what = (self.asked.hash, *(reply.event for reply in self.replies))
        found = {
            each.hash: each
            for hash_ in to_what
            for each, says in self.walk.replies.get(hash_, ())
            if hash_ == self.asked.hash or self.is_about(hash_, says)
        }
        return tuple(sorted(found.values(), key=lambda each: self.walk.reach.place(each.hash)))

    def is_about(self, event: str, says: QuestionAnswered) -> bool:
        """Whether words to an answer are about this ask: where they name nothing, they are about all that it asked."""
        here = {reply.given.number for reply in self.replies if reply.event == event}
        if says.only:
            return any(each.what.is_replied_to() and each.number in here for each in says.only)
        return says.number is None or says.number in here

    def pending(self) -> tuple[Replied, ...]:
        """Questions back and wishes for evidence that nothing has come after."""
        asking = {Answer.QUESTION_BACK, Answer.MORE_EVIDENCE}
        return tuple(each for each in self.replies if each.given.letter in asking and self.is_pending(each))

    def is_pending(self, reply: Replied) -> bool:
        """Whether no event that came after it settles it, nor several together that each settle a part."""
        return not self.is_over(reply) and (reply.given.letter is Answer.QUESTION_BACK or bool(self.wanted(reply)))

    def wanted(self, reply: Replied) -> tuple[Duty, ...]:
        """The evidence that an answer wants and that no words of the shop went with."""
        if reply.given.letter is not Answer.MORE_EVIDENCE:
            return ()
        given = {each for _, says in self.walk.replies.get(reply.event, ()) for each in says.only}
        duties = evidence_duties(reply.event, reply.given.number, reply.given.evidence)
        return tuple(each for each in duties if each not in given)

    def is_over(self, reply: Replied) -> bool:
        """Whether an event that came after it settles all of it.

        Settled by the shop's words to it, by sending the ask once more, by closing it, by asking anew, or by a decision
        of the same person; each by a writer who had read the reply.
        """
        reaches = self.walk.reach.reaches
        after = [
            *(each.hash for each in self.answered() if not _is_to_a_part(each)),
            *(each.event for each in self.sent),
            *(each.event for each in self.decided if each.counts and each.by.name == reply.by.name),
            *self.followed_by,
        ]
        if self.asked.hash in self.walk.closed:
            after.append(self.walk.closed[self.asked.hash][0].hash)
        return any(reaches(hash_, reply.event) for hash_ in after)


def _is_to_a_part(words: Logged) -> bool:
    says = words.event.says
    return isinstance(says, QuestionAnswered) and bool(says.only)


def _in_words(reply: Replied) -> bool:
    return reply.given.letter is None
