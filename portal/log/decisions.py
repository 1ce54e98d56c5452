"""Every decision that anybody gave, with whether it still counts."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from portal.log.walk import Walk
from portal.model.answer import AskKind, Given, disposition_of
from portal.model.event import Logged
from portal.model.logstate import Decided, OwnerSide
from portal.model.says import DecisionRecorded, DispositionGiven, QuestionAsked, ReviewSent


def decisions(walk: Walk) -> tuple[Decided, ...]:
    """Decisions from answers, those recorded on somebody's behalf, and the shop's own, in order."""
    asks = dict(_asks(walk))
    found = [*_answered(walk, asks), *_recorded(walk, asks), *_of_the_shop(walk)]
    place = walk.reach.place
    return tuple(sorted(found, key=lambda each: place(each.event)))


def _asks(walk: Walk) -> Iterator[tuple[str, QuestionAsked]]:
    return ((each.hash, says) for each, says in walk.of(QuestionAsked))


def numbers(walk: Walk) -> Mapping[tuple[str, int], str]:
    """The ask behind each number of each review."""
    return {(says.digest, sent.number): sent.ask for _, says in walk.of(ReviewSent) for sent in says.asks}


def ask_of(given: Given, review: str | None, known: Mapping[tuple[str, int], str]) -> str | None:
    """The ask that an answer is to: named, or by its number in the review."""
    if given.ask is not None:
        return given.ask
    return known.get((review, given.number)) if review is not None and given.number is not None else None


def _kind(asks: Mapping[str, QuestionAsked], ask: str | None, otherwise: AskKind) -> AskKind:
    return asks[ask].asks if ask is not None and ask in asks else otherwise


def _answered(walk: Walk, asks: Mapping[str, QuestionAsked]) -> Iterator[Decided]:
    known = numbers(walk)
    for each, says in walk.received:
        review = each.event.about.review
        for given in says.answers:
            ask = ask_of(given, review, known)
            kind = _kind(asks, ask, AskKind.QUESTION)
            disposition = disposition_of(given.letter, kind)
            if disposition is not None:
                yield Decided(
                    event=each.hash,
                    at=each.event.at,
                    disposition=disposition,
                    findings=given.findings,
                    by=says.decider,
                    side=OwnerSide.CUSTOMER,
                    asked_as=kind,
                    letter=given.letter,
                    ask=ask,
                    number=given.number,
                    review=review,
                    concession=given.concession,
                    limit=given.limit,
                    comment=given.comment,
                    counts=_counts(walk, each, ask, review),
                )


def _recorded(walk: Walk, asks: Mapping[str, QuestionAsked]) -> Iterator[Decided]:
    for each, says in walk.of(DecisionRecorded):
        given = says.decision
        if given is None or says.confirms is not None:
            continue
        kind = _kind(asks, given.ask, says.asks)
        disposition = disposition_of(given.letter, kind)
        if disposition is not None:
            later = walk.confirmed.get(each.hash, ())
            yield Decided(
                event=each.hash,
                at=each.event.at,
                disposition=disposition,
                findings=given.findings,
                by=says.decided_by,
                side=OwnerSide.CUSTOMER,
                asked_as=kind,
                letter=given.letter,
                ask=given.ask,
                number=given.number,
                review=each.event.about.review,
                how=says.how,
                recorded_by=each.event.by,
                evidence=(*says.evidence, *(file for more in later for file in more.evidence)),
                concession=given.concession,
                limit=given.limit,
                comment=given.comment,
                counts=_counts(walk, each, given.ask, each.event.about.review),
            )


def _of_the_shop(walk: Walk) -> Iterator[Decided]:
    for each, says in walk.of(DispositionGiven):
        yield Decided(
            event=each.hash,
            at=each.event.at,
            disposition=says.disposition,
            findings=says.findings,
            by=each.event.by,
            side=OwnerSide.SHOP,
            asked_as=AskKind.QUESTION,
            ask=each.event.about.event,
            comment=says.why,
            counts=_counts(walk, each, each.event.about.event, None),
        )


def _counts(walk: Walk, logged: Logged, ask: str | None, review: str | None) -> bool:
    """Not taken back, not given to a withdrawn review, not set aside by a closing that held to another."""
    if logged.hash in walk.corrected or review in walk.withdrawn_reviews:
        return False
    return not any(
        says.holds is not None and says.holds != logged.hash and (ask is None or ask in says.closes)
        for says in walk.closings_of.get(logged.hash, ())
    )


def disagree(decided: Sequence[Decided], finding: str) -> bool:
    """Whether decisions of the customer about one finding, given on the same showing of it, differ."""
    theirs = [each for each in decided if each.counts and each.side is OwnerSide.CUSTOMER]
    return any(_differ(one, other, finding) for one, other in combinations(theirs, 2))


def _differ(one: Decided, other: Decided, finding: str) -> bool:
    bases = {one.basis(finding), other.basis(finding)} - {None}
    if len(bases) > 1:
        return False
    return one.disposition is not other.disposition or _terms_differ(one, other)


def _terms_differ(one: Decided, other: Decided) -> bool:
    """Whether two concessions (or agreed limits) say different things of the same point; one may say more."""
    for first, second in ((one.concession, other.concession), (one.limit, other.limit)):
        if first is not None and second is not None:
            said, also = first.given(), second.given()
            if any(said[key] != also[key] for key in (said.keys() & also.keys()) - {"justification"}):
                return True
    return False
