"""One line of a reply to the answer that it literally gives, or to the reason why it gives none.

1 A        1: a        #1 A        1) A except 7K3F        1 A keep 7K3F last good        3 ? which side
2 C qty 500 ref DEV-118 lots 4711 until 2026-05-01 because hidden once built in        4 E side view
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from portal.log.fields import Fields, NotTheGrammar, fields_of
from portal.log.keywords import LABELS, Key, evidence_of, holds_from, looked_at, side_of
from portal.model.answer import AgreedLimit, AskKind, Bound, Concession, Given, Keep
from portal.model.reply import Asked
from portal.model.terms import Answer

_HEAD = re.compile(
    r"(?:(?:to |zu )?(?:question|frage) ?|(?:to|zu) )?#? ?([0-9]{1,6})( ?(?:[:)=.,/]{1,2}|->|=>|[→–—-]) ?| ?)(.*)", re.I
)
_LETTER = re.compile(r"([\"'(]?)([A-Ea-e](?=[\W_]|$)(?![-.’@]\w)|\?+)([\"')]?)(.*)")
"""A letter alone: the one of `E-mail` or `e.g.` is a piece of a word."""
_SECOND = re.compile(r"[ ,;.(]*(?:(?:or|oder|and|und|/|\+|&|-|–) ?[A-Ea-e](?=[\W_]|$)|[A-Ea-e](?=[\W_]|$)(?! [a-z]))")
_UNIT = re.compile(r"(?:mm|cm|um|µm|μm|nm|%|°|x|pcs|pieces|parts|stück|teile|st|nd|rd|th|uhr|am|pm)\b|[%°]", re.I)
_TIME = re.compile(
    r"(?:hours?|days?|weeks?|months?|stunden?|tagen?|tage?|wochen?|monaten?|monate?|jan(?:uary?)?|januar|feb(?:ruary?)?|februar"
    r"|mar|march|märz|apr(?:il)?|may|mai|june?|juni|july?|juli|aug(?:ust)?|sept?(?:ember)?|o[ck]t(?:ober)?|nov(?:ember)?"
    r"|de[cz](?:ember)?)\b",
    re.I,
)
"""`4 March: call` is a day, and no words to question 4."""
_PART_OF_A_NUMBER = re.compile(r" ?[.,/–—:-] ?")
LONGEST = 4_000
"""An answer is no longer text than this."""
_CONCESSION_KEYS = {Key.QUANTITY, Key.NUMBER, Key.LOTS, Key.CAVITIES, Key.UNTIL, Key.REFERENCE}
_LIMIT_KEYS = {Key.LIMIT, Key.CONDITION, Key.HOLDS}
_ALWAYS = {Key.BECAUSE, Key.COMMENT, Key.EXCEPT, Key.LOOKED}

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Taken:
    """A line that begins with a number: its ask's number, and the answer or the reason why there is none."""

    number: int
    given: Given | None
    reason: str = ""


def begins_as_answer(line: str) -> bool:
    """Whether a line begins with a number and a letter of ours; our own mail has no such line."""
    head = _head(line)
    return head is not None and _LETTER.fullmatch(head[1]) is not None


def read_line(line: str, asked: Mapping[int, Asked]) -> Taken | None:
    """What a plain line answers; None where it doesn't begin as an answer does."""
    head = _head(line)
    if head is None:
        return None
    number, rest, parted = head
    ask = asked.get(number)
    letter = _LETTER.fullmatch(rest)
    if ask is None:
        return Taken(number, None, f"there is no question {number} in this review") if letter else None
    if len(line) > LONGEST:
        return Taken(number, None, f"more than {LONGEST:,} characters: too long for an answer")
    try:
        return Taken(number, _given(ask, letter, rest, parted=parted))
    except NotTheGrammar as reason:
        return Taken(number, None, str(reason))


def _head(line: str) -> tuple[int, str, bool] | None:
    """The number at the beginning, what follows, whether anything parts the two."""
    match = _HEAD.fullmatch(line)
    if match is None:
        return None
    number, between, rest = match.groups()
    if rest[:1].isdigit() and (_PART_OF_A_NUMBER.fullmatch(between) or not between):
        return None
    return int(number), rest, bool(between)


def _given(ask: Asked, letter: re.Match[str] | None, rest: str, *, parted: bool) -> Given:
    if letter is not None:
        try:
            return _by_letter(ask, letter)
        except NotTheGrammar:
            if not ask.takes_words or not _is_word(letter):
                raise
    if not ask.takes_words:
        raise NotTheGrammar(_why_no_letter(ask, rest))
    if not rest or not parted or _UNIT.match(rest) or _TIME.match(rest):
        raise NotTheGrammar("neither words nor a letter")
    return Given(number=ask.number, ask=ask.ask, words=rest, findings=ask.findings)


def _is_word(letter: re.Match[str]) -> bool:
    """Whether what looks like a letter is the first word of a sentence, as `a` may be."""
    return letter.group(2) in {"A", "a"} and bool(re.match(r" [^\W\d_]{2,}", letter.group(4)))


def _why_no_letter(ask: Asked, rest: str) -> str:
    offered = ", ".join(ask.offers)
    if not rest:
        return f"no letter stands behind the number; offered: {offered}"
    return f"no letter of {offered} stands directly behind the number"


def _by_letter(ask: Asked, match: re.Match[str]) -> Given:
    opened, written, closed, tail = match.groups()
    if (opened, closed) not in {("", ""), ("(", ")"), ('"', '"'), ("'", "'"), ("", ")")}:
        raise NotTheGrammar("brackets or quotation marks that don't belong together")
    letter = Answer.QUESTION_BACK if "?" in written else Answer(written.upper())
    if letter not in ask.offers:
        raise NotTheGrammar(f"question {ask.number} doesn't offer {letter}; offered: {', '.join(ask.offers)}")
    base = {"number": ask.number, "ask": ask.ask, "letter": letter}
    if letter is Answer.QUESTION_BACK:
        question = tail.strip(" :;,–—-")
        return Given.model_validate({**base, "findings": ask.findings, **({"question": question} if question else {})})
    if tail.lstrip().startswith("?"):
        raise NotTheGrammar("a question mark stands behind the letter")
    if _SECOND.match(tail):
        raise NotTheGrammar("more than one letter")
    return Given.model_validate({**base, **_behind(ask, letter, fields_of(_without_label(letter, tail)))})


def _without_label(letter: Answer, tail: str) -> str:
    """What follows the letter's own words, which say the same once more and may begin as a key does."""
    label = re.match(rf"[ :=,;.(–—-]*(?:{LABELS[letter].pattern})\)?(?=$|[ ,;.])", tail, re.I)
    return tail[label.end() :] if label else tail


def _behind(ask: Asked, letter: Answer, fields: Fields) -> dict[str, object]:
    """What a line says beside number and letter."""
    _refuse_foreign_keys(ask, letter, fields)
    _refuse_named_findings(ask, fields)
    said: dict[str, object] = _covered(ask, fields.get(Key.EXCEPT))
    comments = [text for text in (_before(letter, fields, said), fields.get(Key.COMMENT)) if text]
    because = fields.get(Key.BECAUSE)
    if letter is Answer.CONCESSION:
        said.update(_concession(fields))
    elif because:
        comments.insert(0, because)
    if comments:
        said["comment"] = "; ".join(comments)
    if letter is Answer.INSIDE and ask.kind is AskKind.NOT_AGREED:
        said.update(_limit(fields))
    if (looked := fields.get(Key.LOOKED)) is not None:
        said["looked_at"] = _known(looked_at(looked), "what was looked at is neither `pictures` nor `piece in hand`")
    if (keep := fields.get(Key.KEEP)) is not None:
        said["keep"] = _kept(ask, keep)
    return said


def _before(letter: Answer, fields: Fields, said: dict[str, object]) -> str | None:
    """The words between the letter and the first key: none, the letter's own, or which evidence is wanted."""
    text = fields.before.strip(" ()\"'!")
    if not text or LABELS[letter].fullmatch(text):
        return None
    if letter is not Answer.MORE_EVIDENCE:
        raise NotTheGrammar("words stand behind the letter that a person has to read")
    wanted = evidence_of(text)
    if wanted is None:
        return fields.before
    said["evidence"] = wanted
    return None


def _refuse_foreign_keys(ask: Asked, letter: Answer, fields: Fields) -> None:
    allowed = set(_ALWAYS)
    if letter is Answer.CONCESSION:
        allowed |= _CONCESSION_KEYS
    if letter in {Answer.INSIDE, Answer.OUTSIDE}:
        allowed.add(Key.KEEP)
    if letter is Answer.INSIDE and ask.kind is AskKind.NOT_AGREED:
        allowed |= _LIMIT_KEYS
    for key in fields.values:
        if key not in allowed:
            raise NotTheGrammar(f"{letter} takes no `{key}`")


def _refuse_named_findings(ask: Asked, fields: Fields) -> None:
    for key in (Key.BECAUSE, Key.COMMENT):
        words = {word.upper() for word in re.findall(r"\w+", fields.get(key) or "")}
        if words & set(ask.ids):
            raise NotTheGrammar(f"`{key}` names a finding: is it about that one only?")


def _covered(ask: Asked, taken_out: str | None) -> dict[str, object]:
    """The findings that an answer covers; every one that was taken out must be one of the ask's."""
    if taken_out is None:
        return {"findings": ask.findings}
    out = [word.upper() for word in re.split(r" ?[,;/+&] ?| and | und | ", taken_out) if word]
    strange = [word for word in out if word not in ask.ids]
    if strange:
        raise NotTheGrammar(f"`{strange[0]}` is no finding of question {ask.number}")
    left: tuple[Bound, ...] = tuple(each for each in ask.findings if each.finding not in out)
    if not left:
        raise NotTheGrammar("every finding is taken out")
    return {"findings": left, "left_out": tuple(dict.fromkeys(out))}


def _concession(fields: Fields) -> dict[str, object]:
    names = {
        "justification": Key.BECAUSE,
        "number": Key.NUMBER,
        "lots": Key.LOTS,
        "cavities": Key.CAVITIES,
        "quantity": Key.QUANTITY,
        "until": Key.UNTIL,
        "reference": Key.REFERENCE,
    }
    said = {name: value for name, key in names.items() if (value := fields.get(key))}
    return {"concession": Concession.model_validate(said)} if said else {}


def _limit(fields: Fields) -> dict[str, object]:
    limit = fields.get(Key.LIMIT)
    if limit is None:
        if fields.get(Key.CONDITION) or fields.get(Key.HOLDS):
            raise NotTheGrammar("a condition or how far it reaches, and no `limit`")
        return {}
    said: dict[str, object] = {"limit": limit}
    if (condition := fields.get(Key.CONDITION)) is not None:
        said["condition"] = condition
    if (holds := fields.get(Key.HOLDS)) is not None:
        said["holds"] = _known(holds_from(holds), "neither `from now` nor `this trial only`")
    return {"limit": AgreedLimit.model_validate(said)}


def _kept(ask: Asked, text: str) -> tuple[Keep, ...]:
    """What is to be kept, one piece after the other."""
    kept = tuple(_keep(ask, each) for each in re.split(r" ?[,;] ?| and | und ", text))
    if len({each.finding for each in kept}) < len(kept):
        raise NotTheGrammar("`keep` names a finding twice")
    return kept


def _keep(ask: Asked, text: str) -> Keep:
    match = re.fullmatch(r"(\w{4}) (?:as |als )?(.+)", text)
    finding = match.group(1).upper() if match else ""
    if match is None or finding not in ask.ids:
        raise NotTheGrammar(f"`keep` names no finding of question {ask.number}")
    return Keep(finding=finding, side=_known(side_of(match.group(2)), "neither `last good` nor `first bad`"))


def _known(value: T | None, otherwise: str) -> T:
    if value is None:
        raise NotTheGrammar(otherwise)
    return value
