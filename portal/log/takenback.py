"""Free words of a reply that may limit or take back an answer which stands elsewhere in it.

No one but a person can say how much they take back, so what they may bear on isn't taken.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from portal.log.keywords import CONDITIONAL, UNDECIDED
from portal.model.answer import Given
from portal.model.terms import Answer

WHY = "other words of the mail may limit it or take it back"
_DECIDES = {Answer.INSIDE, Answer.OUTSIDE, Answer.CONCESSION, Answer.REWORK}
_NAMED = re.compile(
    r"(?:\b(?:question|frage|answer|antwort|point|punkt|item|number|nummer|no\.?|nr\.?|zu|on|q)|#) ?([0-9]{1,6})\b"
    r"|(?<![\w.,-])([0-9]{1,6}) ?[:)=.]? ?[A-E](?![\w-])",
    re.I,
)
_CORRECTS = re.compile(
    r"\b(?:ignore|disregard|correct(?:ion|ed)|withdraw|example|ignorier\w*|korrektur|korrigier\w*|zurückzieh\w*|beispiel"
    r"|(?:not an?|no|keine) (?:answers?|decisions?|antwort(?:en)?|entscheidung(?:en)?))\b",
    re.I,
)
_DENIES = re.compile(r"\b(?:not|no|never|none|nicht|kein\w*|nie)\b|n[’']t\b", re.I)
_AGREES = re.compile(
    r"\b(?:accept|agree|approve|final\b|definit|binding|akzeptier|annehm|freigeb|freigabe|endgültig|verbindlich)", re.I
)
_WAVERS = re.compile(
    r"(?:\bnot|\bnicht|n[’']t)\b.{0,40}\b(?:yet|approved|released?|freigegeben|umsetzen)\b"
    r"|\b(?:noch nicht|make (?:that|it)|scrap (?:that|it)|forget (?:the|that|it|what|my)|vergess\w*|befristet"
    r"|(?:valid|good) until|gültig bis|bis auf|differently|sieht .{0,20} anders|sehen .{0,20} anders|wait for"
    r"|warten (?:sie|bitte)|bitte .{0,20} warten|(?:will|shall|[’']ll) confirm"
    r"|bestätigen? .{0,30}(?:morgen|später|noch))\b",
    re.I,
)
"""Words beside answers that put these off or change them; within a reason they may be about the piece."""
_SENTENCES = re.compile(r"(?<=[.!?]) ")
_OFFERS_HELP = re.compile(
    r"\b(?:let (?:me|us) know|contact|call|tell (?:me|us)|meld\w*|anruf\w*|ruf\w*|bescheid|zur verfügung|happy to)\b",
    re.I,
)
_ASKS_NOTHING = re.compile(
    r"\b(?:questions?|(?:rück)?fragen|anything|missing|unclear|need|problems?|open|etwas|fehlt|unklar|brauch\w*|öffnen)\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Doubts:
    """Which answers the free words of a reply may bear on."""

    on_all: bool
    numbers: frozenset[int]

    def concern(self, given: Given) -> bool:
        """Whether they may take back a decision; more evidence, a question and words decide nothing."""
        return decides(given) and (self.on_all or given.number in self.numbers)


def decides(given: Given) -> bool:
    """Whether an answer is a decision."""
    return given.letter in _DECIDES


def doubts_of(paragraphs: Iterable[str]) -> Doubts:
    """What paragraphs of free words put in doubt."""
    texts = [_without_offers(each) for each in paragraphs]
    return Doubts(
        on_all=any(_bears_on_all(each) for each in texts),
        numbers=frozenset(number for each in texts for number in _named(each)),
    )


def _bears_on_all(text: str) -> bool:
    if CONDITIONAL.search(text):
        return True
    if _DENIES.search(text) and (_AGREES.search(text) or text.rstrip().endswith(":")):
        return True
    return bool(_CORRECTS.search(text) or UNDECIDED.search(text) or _WAVERS.search(text)) and not _named(text)


def _named(text: str) -> list[int]:
    return [int(labelled or paired) for labelled, paired in _NAMED.findall(text)]


def _without_offers(paragraph: str) -> str:
    """Without the sentences that only offer an answer to further questions."""
    sentences = _SENTENCES.split(" ".join(paragraph.split()))
    return " ".join(each for each in sentences if not (_OFFERS_HELP.search(each) and _ASKS_NOTHING.search(each)))
