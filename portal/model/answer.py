"""What somebody answers to an ask, and what follows from it for a finding."""

import re
from enum import StrEnum

from portal.model.base import Record
from portal.model.sample import Side
from portal.model.scalars import Count, FindingId, Sha256, Text
from portal.model.terms import Answer


class AskKind(StrEnum):
    """What an ask is about; it decides which letters it offers and what they mean for its findings."""

    DOES_NOT_CONFORM = "does-not-conform"
    UNDECIDED = "undecided"
    NOT_AGREED = "not-agreed"
    QUESTION = "question"
    """Words, more evidence, or a question back; a picture, a spot or a trial is always asked about so."""

    @property
    def offers(self) -> tuple[Answer, ...]:
        """The letters that such an ask can be answered with; a question back is always among them."""
        return _OFFERS[self]


_OFFERS = {
    AskKind.DOES_NOT_CONFORM: (
        Answer.CONCESSION,
        Answer.REWORK,
        Answer.OUTSIDE,
        Answer.MORE_EVIDENCE,
        Answer.QUESTION_BACK,
    ),
    AskKind.UNDECIDED: (
        Answer.INSIDE,
        Answer.OUTSIDE,
        Answer.CONCESSION,
        Answer.MORE_EVIDENCE,
        Answer.QUESTION_BACK,
    ),
    AskKind.NOT_AGREED: (Answer.INSIDE, Answer.OUTSIDE, Answer.MORE_EVIDENCE, Answer.QUESTION_BACK),
    AskKind.QUESTION: (Answer.MORE_EVIDENCE, Answer.QUESTION_BACK),
}


class Disposition(StrEnum):
    """What people decide about a finding.

    Concession, rework, repair, regrade, scrap as in ISO 9000:2015 3.12 (from memory); the rest: common practice, no
    source.
    """

    JUDGED_INSIDE = "judged inside"
    JUDGED_OUTSIDE = "judged outside"
    LIMIT_AGREED = "limit agreed"
    LIMIT_NOT_AGREED = "limit not agreed"
    NOT_ACCEPTED = "not accepted"
    CONCESSION = "concession"
    REWORK = "rework"
    REPAIR = "repair"
    REGRADE = "regrade"
    SCRAP = "scrap"
    SORT = "sort"
    MOULD_CORRECTION = "mould correction"

    def is_final(self) -> bool:
        """Whether it says what becomes of the finding; after a bare no, the shop still has to say that."""
        return self not in _BARE_NO

    def is_for_the_shop(self) -> bool:
        """Whether a project engineer may give it without the customer."""
        return self in _SHOPS_OWN


_BARE_NO = frozenset({Disposition.JUDGED_OUTSIDE, Disposition.LIMIT_NOT_AGREED, Disposition.NOT_ACCEPTED})
_SHOPS_OWN = frozenset({Disposition.REWORK, Disposition.SCRAP, Disposition.SORT, Disposition.MOULD_CORRECTION})
_INSIDE = {AskKind.UNDECIDED: Disposition.JUDGED_INSIDE, AskKind.NOT_AGREED: Disposition.LIMIT_AGREED}
_OUTSIDE = {
    AskKind.UNDECIDED: Disposition.JUDGED_OUTSIDE,
    AskKind.NOT_AGREED: Disposition.LIMIT_NOT_AGREED,
    AskKind.DOES_NOT_CONFORM: Disposition.NOT_ACCEPTED,
}


def disposition_of(letter: Answer | None, kind: AskKind) -> Disposition | None:
    """What a letter decides about the findings of such an ask; None where it decides nothing or isn't offered."""
    if letter not in kind.offers:
        return None
    match letter:
        case Answer.INSIDE:
            return _INSIDE.get(kind)
        case Answer.OUTSIDE:
            return _OUTSIDE.get(kind)
        case Answer.CONCESSION:
            return Disposition.CONCESSION
        case Answer.REWORK:
            return Disposition.REWORK
        case _:
            return None


class LookedAt(StrEnum):
    """What the one who answers had before the eyes."""

    PICTURES = "pictures"
    PIECE = "piece in hand"


class Evidence(StrEnum):
    """What more is wanted."""

    SIDE_VIEW = "side view"
    OTHER_LIGHT = "other light"
    GAUGE = "gauge reading"
    SECTION = "section"
    PIECE = "the piece itself"


class HoldsFrom(StrEnum):
    """How far an agreed limit reaches."""

    NOW = "from now"
    THIS_TRIAL = "this trial only"


class Bound(Record):
    """A finding with the digest of what was shown of it, so that an answer is bound to that."""

    finding: FindingId
    basis: Sha256 | None = None


_SAYS_NOTHING = re.compile(
    r"[\s.?–—-]*|none|no|nil|n\.?/?a\.?|tb[acd]|to follow|pending|open|later|keine?|folgt|offen|später|noch offen", re.I
)
"""What people write where they have nothing to write yet."""


class Concession(Record):
    """What a concession rests on and how far it reaches; texts as they were written."""

    justification: Text | None = None
    number: Text | None = None
    lots: Text | None = None
    cavities: Text | None = None
    quantity: Text | None = None
    until: Text | None = None
    reference: Text | None = None
    """The customer's own."""

    def missing(self) -> tuple[str, ...]:
        """What a concession needs and this one doesn't say."""
        scope = (self.number, self.lots, self.cavities, self.quantity, self.until)
        said = {
            "justification": _says_something(self.justification),
            "scope": any(map(_says_something, scope)),
            "reference": _says_something(self.reference),
        }
        return tuple(name for name, is_said in said.items() if not is_said)


def _says_something(text: str | None) -> bool:
    return text is not None and _SAYS_NOTHING.fullmatch(text) is None


class AgreedLimit(Record):
    """A limit that a reviewer agrees, in the words used; it becomes a criterion only when the engineer enters it."""

    limit: Text
    condition: Text | None = None
    holds: HoldsFrom | None = None


class Keep(Record):
    """The separate tick: keep the finding's piece as a limit sample."""

    finding: FindingId
    side: Side


class Given(Record):
    """One answer to one ask, as it was given; what it doesn't say is absent."""

    number: Count | None = None
    """Of the ask in the review."""
    ask: Sha256 | None = None
    """The event that asked."""
    letter: Answer | None = None
    words: Text | None = None
    """The answer to an ask that takes words."""
    findings: tuple[Bound, ...] = ()
    """Which findings it covers; those that were taken out are not among them."""
    left_out: tuple[FindingId, ...] = ()
    looked_at: LookedAt | None = None
    comment: Text | None = None
    question: Text | None = None
    """The question back."""
    evidence: tuple[Evidence, ...] = ()
    concession: Concession | None = None
    limit: AgreedLimit | None = None
    keep: tuple[Keep, ...] = ()


class OwnQuestion(Record):
    """A question of the reviewer's own, asked at a spot of a picture or about the whole."""

    question: Text
    picture: Text | None = None
    spot: Text | None = None
    """`x,y` in pixels of the upright picture."""
    finding: FindingId | None = None


class Unclear(Record):
    """What somebody wrote that can't be taken as an answer, kept as it stands."""

    text: Text
    reason: Text
    number: Count | None = None
