"""What an event of each kind says, besides who, when and about what."""

from enum import StrEnum
from typing import Any, ClassVar

from pydantic import ConfigDict

from portal.model.answer import AskKind, Bound, Disposition, Given, OwnQuestion, Unclear
from portal.model.base import Record
from portal.model.duty import Duty
from portal.model.sample import Side
from portal.model.scalars import Count, Sha256, Text
from portal.model.terms import Answer


class Kind(StrEnum):
    """The kinds of events; a kind that isn't among them is kept and shown as such."""

    REVIEW_SENT = "review-sent"
    REVIEW_WITHDRAWN = "review-withdrawn"
    ANSWERS_RECEIVED = "answers-received"
    QUESTION_ASKED = "question-asked"
    QUESTION_ANSWERED = "question-answered"
    DISPOSITION_GIVEN = "disposition-given"
    COMMENT_MADE = "comment-made"
    FINDING_CHANGED = "finding-changed"
    FINDING_WITHDRAWN = "finding-withdrawn"
    TRIAL_RELEASED = "trial-released"
    MATTER_CLOSED = "matter-closed"
    LIMIT_SAMPLE_APPROVED = "limit-sample-approved"
    LIMIT_SAMPLE_ENDED = "limit-sample-ended"
    DECISION_RECORDED = "decision-recorded"
    EVENT_CORRECTED = "event-corrected"


class Party(Record):
    """Who did something or is said to have done it. A typed name is no electronic signature in law."""

    name: Text
    role: Text | None = None
    organisation: Text | None = None
    id: Text | None = None
    """The key among the shop's `people`, for one of the shop."""


class KeptFile(Record):
    """A file that came with a decision, kept in the catalogue's folder."""

    file: Text
    """Path within the catalogue folder, with `/`."""
    sha256: Sha256
    name: Text | None = None
    """What it was called when it came."""


class Says(Record):
    """What all of them have in common: a kind, and the events they name."""

    kind: ClassVar[Kind | None] = None

    def named(self) -> tuple[str, ...]:
        """Hashes of other events of the log that it names."""
        return ()

    def findings_named(self) -> tuple[str, ...]:
        """Findings that it is about, beside the one in `about`."""
        return ()

    def files(self) -> tuple[KeptFile, ...]:
        """Files of the catalogue's folder that it rests on."""
        return ()


class Unknown(Says):
    """Something that this version doesn't know, kept as it stands."""

    model_config = ConfigDict(frozen=True, extra="allow")

    def plain(self) -> dict[str, Any]:
        """What it holds."""
        return dict(self.model_extra or {})


class Recipient(Record):
    """To whom a review went."""

    name: Text
    mail: Text | None = None


class AskSent(Record):
    """An ask within a review: its number there, the event that asked, and what was shown of each finding."""

    number: Count
    ask: Sha256
    findings: tuple[Bound, ...] = ()


class ReviewSent(Says):
    """A review went out; `digest` is the SHA-256 of its `shown.json`."""

    kind = Kind.REVIEW_SENT
    number: Count
    digest: Sha256
    to: tuple[Recipient, ...]
    asks: tuple[AskSent, ...] = ()
    shown: tuple[Bound, ...] = ()
    """Every finding that it showed, asked about or not."""

    def named(self) -> tuple[str, ...]:
        return tuple(each.ask for each in self.asks)

    def findings_named(self) -> tuple[str, ...]:
        bound = (*self.shown, *(each for ask in self.asks for each in ask.findings))
        return tuple(dict.fromkeys(each.finding for each in bound))


class ReviewWithdrawn(Says):
    """A review no longer counts; `about.review` is its digest."""

    kind = Kind.REVIEW_WITHDRAWN
    why: Text


class AnswersReceived(Says):
    """An answer came in, whole: one event, so that there is never half of it. `about.review` is the digest it names."""

    kind = Kind.ANSWERS_RECEIVED
    answered_by: Party
    """The name typed, as it was typed: a claim."""
    accepted_as: Text | None = None
    """The customer's reviewer that the claim was taken for, where it wasn't plainly one of them."""
    raw: KeptFile
    """The answer as it came."""
    answers: tuple[Given, ...] = ()
    questions: tuple[OwnQuestion, ...] = ()
    unclear: tuple[Unclear, ...] = ()
    answered_at: Text | None = None
    """When, by the clock of the one who answered; a claim."""

    @property
    def decider(self) -> Party:
        """Who decided, by the name that the customer's record has; two spellings are one person."""
        return self.answered_by.model_copy(update={"name": self.accepted_as}) if self.accepted_as else self.answered_by

    def files(self) -> tuple[KeptFile, ...]:
        return (self.raw,)

    def named(self) -> tuple[str, ...]:
        return tuple(each.ask for each in self.answers if each.ask)

    def findings_named(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(bound.finding for each in self.answers for bound in each.findings))


class QuestionAsked(Says):
    """Something is asked; the event's hash is the ask's identity."""

    kind = Kind.QUESTION_ASKED
    asks: AskKind
    question: Text
    offers: tuple[Answer, ...]
    findings: tuple[Bound, ...] = ()
    cavities: tuple[Text, ...] = ()
    owed_by: tuple[Text, ...] = ()
    """Names of the reviewers (or people of the shop) who must answer."""
    names_needed: Count = 1
    due: Text | None = None
    """Day, as `2026-03-04`; silence after it is no acceptance."""
    follows: Sha256 | None = None
    """The ask that it takes up again."""

    def named(self) -> tuple[str, ...]:
        return (self.follows,) if self.follows else ()

    def findings_named(self) -> tuple[str, ...]:
        return tuple(each.finding for each in self.findings)


class QuestionAnswered(Says):
    """Words in answer to a question, an ask for evidence or a question back; `about.event` is what it answers."""

    kind = Kind.QUESTION_ANSWERED
    words: Text
    number: Count | None = None
    """Which answer of an `answers-received` it is about, by the number of its ask."""
    only: tuple[Duty, ...] = ()
    """Which of the things that were owed for that event it settles; where it names none, all that it is about."""
    evidence: tuple[KeptFile, ...] = ()

    def files(self) -> tuple[KeptFile, ...]:
        return self.evidence


class DispositionGiven(Says):
    """The shop says what becomes of findings, as far as it may."""

    kind = Kind.DISPOSITION_GIVEN
    disposition: Disposition
    findings: tuple[Bound, ...]
    why: Text | None = None

    def findings_named(self) -> tuple[str, ...]:
        return tuple(each.finding for each in self.findings)


class Audience(StrEnum):
    """Who sees a comment."""

    SHOP = "shop"
    SHARED = "shared"


class CommentMade(Says):
    """A comment; it decides nothing."""

    kind = Kind.COMMENT_MADE
    audience: Audience
    comment: Text


class FindingChanged(Says):
    """A finding that a review had shown was changed; `about.finding` says which."""

    kind = Kind.FINDING_CHANGED
    old: Sha256
    new: Sha256
    """Digests of its basis."""
    what: Text
    why: Text


class FindingWithdrawn(Says):
    """A finding is taken back; `about.finding` says which."""

    kind = Kind.FINDING_WITHDRAWN
    why: Text


class ReleasedFor(StrEnum):
    """What a trial is released for."""

    NEXT_TRIAL = "next trial"
    SAMPLES = "samples"
    PRODUCTION = "production"


class How(StrEnum):
    """How a decision came that wasn't an answer to a review's own form."""

    TELEPHONE = "telephone"
    MEETING = "meeting"
    MAIL = "mail"
    DOCUMENT = "signed document"


class TrialReleased(Says):
    """A trial is released by somebody who may; `about.trial` says which."""

    kind = Kind.TRIAL_RELEASED
    released_for: ReleasedFor
    granted_by: Party
    how: How | None = None
    """None where the one who grants it writes it down."""
    when: Text
    evidence: tuple[KeptFile, ...] = ()
    conditions: Text | None = None

    def files(self) -> tuple[KeptFile, ...]:
        return self.evidence


class MatterClosed(Says):
    """Asks and decisions that need nothing more; where answers disagree, `holds` says which of them counts.

    Of an event that `only` names, nothing else is settled; of one that it doesn't name, all that was owed for it.
    """

    kind = Kind.MATTER_CLOSED
    closes: tuple[Sha256, ...]
    why: Text
    holds: Sha256 | None = None
    settled_by: Party | None = None
    """Who of the customer settled it, where answers of the customer disagree."""
    only: tuple[Duty, ...] = ()

    def named(self) -> tuple[str, ...]:
        of_each = (each.event for each in self.only if each.event not in self.closes)
        return (*self.closes, *of_each, *((self.holds,) if self.holds else ()))


class LimitSampleApproved(Says):
    """An agreed piece became a limit sample."""

    kind = Kind.LIMIT_SAMPLE_APPROVED
    sample: Text
    side: Side
    findings: tuple[Bound, ...] = ()
    piece: Text | None = None
    agreed_shop: Party
    agreed_customer: Party
    value: Text | None = None
    u: Text | None = None
    condition: Text | None = None
    expires: Text | None = None
    rests_on: Sha256 | None = None
    """The event in which the customer agreed."""

    def named(self) -> tuple[str, ...]:
        return (self.rests_on,) if self.rests_on else ()

    def findings_named(self) -> tuple[str, ...]:
        return tuple(each.finding for each in self.findings)


class LimitSampleEnded(Says):
    """A limit sample no longer counts."""

    kind = Kind.LIMIT_SAMPLE_ENDED
    sample: Text
    why: Text
    replaced_by: Text | None = None


class DecisionRecorded(Says):
    """Somebody of the shop enters a decision that came by another way; without evidence it isn't confirmed in writing.

    With `confirms` it brings the evidence for an earlier one and decides nothing new.
    """

    kind = Kind.DECISION_RECORDED
    decided_by: Party
    how: How
    when: Text
    asks: AskKind = AskKind.QUESTION
    """What the decision is about, where it answers no ask."""
    decision: Given | None = None
    evidence: tuple[KeptFile, ...] = ()
    confirms: Sha256 | None = None

    def files(self) -> tuple[KeptFile, ...]:
        return self.evidence

    def named(self) -> tuple[str, ...]:
        ask = (self.decision.ask,) if self.decision and self.decision.ask else ()
        return (*ask, *((self.confirms,) if self.confirms else ()))

    def findings_named(self) -> tuple[str, ...]:
        return tuple(each.finding for each in self.decision.findings) if self.decision else ()


class EventCorrected(Says):
    """An event was wrong and no longer counts; `about.event` says which, `instead` what says it rightly.

    That an answer wasn't theirs only the customer can say: then it is named who of them said so, how and when.
    """

    kind = Kind.EVENT_CORRECTED
    why: Text
    instead: Sha256 | None = None
    said_by: Party | None = None
    how: How | None = None
    when: Text | None = None
    evidence: tuple[KeptFile, ...] = ()

    def named(self) -> tuple[str, ...]:
        return (self.instead,) if self.instead else ()

    def files(self) -> tuple[KeptFile, ...]:
        return self.evidence


BY_KIND: dict[str, type[Says]] = {
    str(each.kind): each
    for each in (
        ReviewSent,
        ReviewWithdrawn,
        AnswersReceived,
        QuestionAsked,
        QuestionAnswered,
        DispositionGiven,
        CommentMade,
        FindingChanged,
        FindingWithdrawn,
        TrialReleased,
        MatterClosed,
        LimitSampleApproved,
        LimitSampleEnded,
        DecisionRecorded,
        EventCorrected,
    )
}
