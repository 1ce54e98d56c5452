"""What a part's log comes to: what was asked, answered and decided, what is open and who owes what since when."""

from dataclasses import dataclass, field
from enum import StrEnum

from portal.model.answer import (
    AgreedLimit,
    AskKind,
    Bound,
    Concession,
    Disposition,
    Evidence,
    Given,
    OwnQuestion,
    Unclear,
)
from portal.model.duty import Duty
from portal.model.event import Logged, check_code
from portal.model.sample import Side
from portal.model.says import Audience, How, KeptFile, Party, Recipient, ReleasedFor
from portal.model.terms import Answer


class OwnerSide(StrEnum):
    """Which side owes something."""

    SHOP = "shop"
    CUSTOMER = "customer"


class Owing(StrEnum):
    """What is owed."""

    SENDING = "the ask isn't sent yet"
    ANSWER = "an answer"
    SECOND_NAME = "a second name"
    EVIDENCE = "more evidence"
    REPLY = "a reply to a question back"
    CONCESSION = "what the concession lacks"
    CLOSING = "answers disagree: one has to be closed"
    DISPOSITION = "what becomes of it, after a no"
    CONFIRMATION = "a confirmation in writing"
    CRITERION = "the agreed limit as a criterion"
    KEEPING = "the piece as a limit sample"
    READING = "an unclear line has to be read by a person"
    ASKING = "changed since it was decided: has to be asked again"

    @property
    def side(self) -> OwnerSide:
        """Who owes such a thing."""
        return OwnerSide.CUSTOMER if self in {Owing.ANSWER, Owing.SECOND_NAME, Owing.CONCESSION} else OwnerSide.SHOP


@dataclass(frozen=True, slots=True)
class Owed:
    """Something that somebody owes since a moment; silence after `due` is no acceptance."""

    what: Owing
    who: tuple[str, ...]
    """Names, where the log names some; else the side as a whole owes it."""
    since: str
    event: str
    """Hash of the event it arose from."""
    trial: str | None = None
    findings: tuple[str, ...] = ()
    ask: str | None = None
    text: str = ""
    due: str | None = None
    duty: Duty | None = None
    """Which of the things owed for that event it is, where it can be settled by itself."""

    @property
    def side(self) -> OwnerSide:
        """Which side owes it."""
        return self.what.side


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision about findings as somebody gave it."""

    event: str
    at: str
    disposition: Disposition
    findings: tuple[Bound, ...]
    by: Party
    """Who decided; a claim where it came from outside."""
    side: OwnerSide
    asked_as: AskKind
    letter: Answer | None = None
    ask: str | None = None
    number: int | None = None
    """Of the ask in that review, where it came in answer to one."""
    review: str | None = None
    how: How | None = None
    """How it came, where it was recorded on somebody's behalf."""
    recorded_by: Party | None = None
    evidence: tuple[KeptFile, ...] = ()
    concession: Concession | None = None
    limit: AgreedLimit | None = None
    comment: str | None = None
    counts: bool = True
    """False once it was corrected, closed in favour of another, or given to a review that was withdrawn."""

    @property
    def confirmed(self) -> bool:
        """Whether there is something in writing for it."""
        return self.how is None or bool(self.evidence)

    @property
    def complete(self) -> bool:
        """Whether it says all that such a decision needs."""
        return self.disposition is not Disposition.CONCESSION or not (self.concession or Concession()).missing()

    def covers(self, finding: str) -> bool:
        """Whether it is about that finding."""
        return any(each.finding == finding for each in self.findings)

    def basis(self, finding: str) -> str | None:
        """What was shown of the finding when this was decided; None where that isn't known."""
        return next((each.basis for each in self.findings if each.finding == finding), None)


@dataclass(frozen=True, slots=True)
class Replied:
    """One answer to an ask, as given, with where it came in."""

    event: str
    at: str
    by: Party
    given: Given
    review: str | None = None


@dataclass(frozen=True, slots=True)
class SentIn:
    """That an ask went out in a review, as which number."""

    review: str
    number: int
    at: str
    event: str


class AskStatus(StrEnum):
    """How it stands with an ask."""

    NOT_SENT = "not sent"
    WAITING = "waiting for an answer"
    PARTLY = "partly answered"
    QUESTION_BACK = "asked back"
    EVIDENCE_WANTED = "more evidence wanted"
    DISAGREEMENT = "answers disagree"
    ANSWERED = "answered"
    CLOSED = "closed"
    WITHDRAWN = "withdrawn"

    def is_open(self) -> bool:
        """Whether somebody still owes something for it."""
        return self not in {AskStatus.ANSWERED, AskStatus.CLOSED, AskStatus.WITHDRAWN}


@dataclass(frozen=True, slots=True)
class AskState:
    """An ask with all that came of it."""

    hash: str
    asked: Logged
    kind: AskKind
    question: str
    offers: tuple[Answer, ...]
    findings: tuple[str, ...]
    owed_by: tuple[str, ...]
    names_needed: int
    due: str | None
    trial: str | None
    status: AskStatus
    sent: tuple[SentIn, ...] = ()
    replies: tuple[Replied, ...] = ()
    decided: tuple[Decided, ...] = ()
    answered: tuple[Logged, ...] = ()
    """Words of the shop to it: replies to questions back, evidence."""
    evidence: tuple[Evidence, ...] = ()
    """Which evidence is wanted and hasn't come."""
    wanted: tuple[Duty, ...] = ()
    """The same, each piece of it with the answer that asks for it."""
    pending: tuple[Replied, ...] = ()
    """Questions back and wishes for evidence that nothing has come after yet."""
    unanswered: tuple[str, ...] = ()
    """Its findings that no decision covers."""


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment with who sees it."""

    event: str
    at: str
    by: Party
    audience: Audience
    text: str


@dataclass(frozen=True, slots=True)
class FindingState:
    """What the log knows of one finding; the verdict isn't here, and neither changes the other."""

    id: str
    asks: tuple[str, ...] = ()
    decided: tuple[Decided, ...] = ()
    """All that was ever decided about it; those that count have `counts`."""
    comments: tuple[Comment, ...] = ()
    changed: tuple[Logged, ...] = ()
    withdrawn: Logged | None = None
    shown: tuple[tuple[str, str | None], ...] = ()
    """Digest of each sent review that showed it, with the basis there."""
    basis_now: str | None = None
    """The digest of its basis after the last change that the log knows of; None where it knows of none."""
    disagree: bool = False
    """Whether decisions that count differ."""
    thread: tuple[str, ...] = ()
    """Hashes of all events about it, in order."""

    @property
    def counting(self) -> tuple[Decided, ...]:
        """The decisions that count."""
        return tuple(each for each in self.decided if each.counts)

    def dispositions(self, basis: str | None = None) -> tuple[Decided, ...]:
        """The complete, final decisions that count and were given on this basis, or on the last that the log knows."""
        now = basis or self.basis_now
        return tuple(
            each
            for each in self.counting
            if each.complete and each.disposition.is_final() and _still(each.basis(self.id), now)
        )

    def is_settled(self, basis: str | None = None) -> bool:
        """Whether it has a disposition that nobody contradicts, or was withdrawn."""
        return self.withdrawn is not None or (bool(self.dispositions(basis)) and not self.disagree)


def _still(then: str | None, now: str | None) -> bool:
    return then is None or now is None or then == now


@dataclass(frozen=True, slots=True)
class Received:
    """An answer that came in, whole."""

    event: str
    at: str
    review: str | None
    answered_by: Party
    accepted_as: str | None
    raw: KeptFile
    answers: tuple[Given, ...]
    questions: tuple[OwnQuestion, ...]
    unclear: tuple[Unclear, ...]
    counts: bool = True


@dataclass(frozen=True, slots=True)
class ReviewState:
    """A sent review with what came back."""

    digest: str
    number: int
    trial: str | None
    event: str
    sent_at: str
    sent_by: Party
    to: tuple[Recipient, ...]
    asks: tuple[str, ...] = ()
    """Hashes of its asks, in the order of their numbers."""
    numbers: tuple[int, ...] = ()
    received: tuple[Received, ...] = ()
    withdrawn: Logged | None = None
    first_answer_at: str | None = None
    complete_at: str | None = None
    """When the last of its asks was answered; None while one is open."""

    @property
    def code(self) -> str:
        """Its check code."""
        return check_code(self.digest)

    def ask_of(self, number: int) -> str | None:
        """The ask of that number in this review."""
        return dict(zip(self.numbers, self.asks, strict=True)).get(number)


@dataclass(frozen=True, slots=True)
class Released:
    """That a trial was released, and what for."""

    event: str
    at: str
    trial: str
    released_for: ReleasedFor
    granted_by: Party
    recorded_by: Party
    how: How | None
    """None where the one who granted it wrote it down."""
    conditions: str | None
    evidence: tuple[KeptFile, ...] = ()
    counts: bool = True


@dataclass(frozen=True, slots=True)
class SampleState:
    """A limit sample as the log knows it."""

    id: str
    side: Side | None
    approved: Logged | None = None
    ended: Logged | None = None


@dataclass(frozen=True, slots=True)
class Ticked:
    """Somebody of the customer said that a finding's piece is kept as a limit sample."""

    event: str
    at: str
    finding: Bound
    side: Side
    by: Party
    given: Given
    trial: str | None = None
    kept_as: str | None = None
    """The limit sample that rests on it."""


@dataclass(frozen=True, slots=True)
class LogState:
    """All that a part's log comes to."""

    part: str
    events: tuple[Logged, ...] = ()
    """Every event, in order."""
    asks: dict[str, AskState] = field(default_factory=dict)
    reviews: dict[str, ReviewState] = field(default_factory=dict)
    """By digest, in the order in which they were sent."""
    findings: dict[str, FindingState] = field(default_factory=dict)
    decided: tuple[Decided, ...] = ()
    released: tuple[Released, ...] = ()
    samples: dict[str, SampleState] = field(default_factory=dict)
    ticks: tuple[Ticked, ...] = ()
    """Pieces to be kept, as far as what says so counts."""
    owed: tuple[Owed, ...] = ()
    comments: tuple[tuple[str | None, Comment], ...] = ()
    """Comments with the trial they are about, those of findings too."""
    corrected: dict[str, str] = field(default_factory=dict)
    """Events that no longer count, with the event that says so."""
    unknown: tuple[Logged, ...] = ()

    def get(self, hash_: str) -> Logged | None:
        """An event by its hash, or by the first digits of it where they name only one."""
        found = [each for each in self.events if each.hash.startswith(hash_)] if hash_ else []
        return found[0] if len(found) == 1 else None

    def open_asks(self, trial: str | None = None) -> tuple[AskState, ...]:
        """The asks for which somebody still owes something."""
        return tuple(
            each for each in self.asks.values() if each.status.is_open() and (trial is None or each.trial == trial)
        )

    def closed_asks(self) -> frozenset[str]:
        """The asks for which nobody owes anything any more, neither by themselves nor for what was decided on them."""
        owed = {each.ask for each in self.owed} | {
            ask for each in self.owed for finding in each.findings for ask in self.finding(finding).asks
        }
        done = {AskStatus.ANSWERED, AskStatus.CLOSED}
        return frozenset(hash_ for hash_, ask in self.asks.items() if ask.status in done and hash_ not in owed)

    def finding(self, id_: str) -> FindingState:
        """What the log knows of a finding, be it nothing."""
        return self.findings.get(id_) or FindingState(id_)

    def why_not_again(self, finding: str, basis: str | None = None) -> str | None:
        """Why nothing has to be asked about a finding as it is now; None where it is to be asked about."""
        state = self.finding(finding)
        if state.withdrawn is not None:
            return "withdrawn"
        if any(self.asks[each].status.is_open() for each in state.asks if each in self.asks):
            return "asked and open"
        now = basis or state.basis_now
        return "decided" if any(_still(each.basis(finding), now) for each in state.counting) else None

    def review_by_code(self, code: str) -> tuple[ReviewState, ...]:
        """The sent reviews whose digest begins with that check code."""
        wanted = code.lower()
        return tuple(each for digest, each in self.reviews.items() if len(wanted) >= 8 and digest.startswith(wanted))

    def next_number(self) -> int:
        """The number of the next review: one more than the highest there is."""
        return 1 + max((each.number for each in self.reviews.values()), default=0)
