"""The words of the answers' grammar, English and German, and what each may be followed by."""

import re
from dataclasses import dataclass
from enum import StrEnum

from portal.model.answer import Evidence, HoldsFrom, LookedAt
from portal.model.sample import Side
from portal.model.terms import Answer


class Key(StrEnum):
    """What a word of the grammar introduces."""

    QUANTITY = "qty"
    NUMBER = "number"
    LOTS = "lots"
    CAVITIES = "cavities"
    UNTIL = "until"
    REFERENCE = "ref"
    BECAUSE = "because"
    COMMENT = "comment"
    EXCEPT = "except"
    KEEP = "keep"
    LOOKED = "looked at"
    LIMIT = "limit"
    CONDITION = "condition"
    HOLDS = "holds"

    def is_prose(self) -> bool:
        """Whether free words follow, in which a word of the grammar may stand by chance."""
        return self in {Key.BECAUSE, Key.COMMENT, Key.CONDITION}


_WORDS = {
    Key.QUANTITY: "qty|quantity|menge|stückzahl|stück|stk",
    Key.NUMBER: "number|nummer|nr",
    Key.LOTS: "lots?|lose?|charge|chargen|batch|batches",
    Key.CAVITIES: "cavity|cavities|kavität|kavitäten|nest|nester",
    Key.UNTIL: "until|till|bis",
    Key.REFERENCE: "ref|reference|referenz|aktenzeichen",
    Key.BECAUSE: "because|weil|begründung|reason|grund",
    Key.COMMENT: "comment|kommentar|bemerkung|note",
    Key.EXCEPT: "except for|except|außer|ausser|ausgenommen|without|ohne",
    Key.KEEP: "keep|behalten|aufbewahren",
    Key.LOOKED: "looked at|angesehen",
    Key.LIMIT: "limit|grenze",
    Key.CONDITION: "condition|bedingung",
    Key.HOLDS: "(?:holds |gilt )?(?:from now|this trial only|ab jetzt|nur dieser versuch)",
}
KEYWORD = re.compile(
    r"(?<![\w-])(?:" + "|".join(f"(?P<{key.name}>{words})" for key, words in _WORDS.items()) + r")(?![\w-])[.:=]?", re.I
)
_NUMBER = r"(?:[0-9]{1,3}(?:[., ][0-9]{3}){1,3}|[0-9]{1,9})"
PIECES = re.compile(rf"(?<![\w.,-]){_NUMBER} ?(?:pcs|pieces|stück|stk)\b\.?", re.I)
"""`500 pcs`, where the word stands behind its number."""

_CODE = r"[\w./#+:-]{0,30}[0-9][\w./#+:-]{0,30}"
_AND = r"(?: ?[,;&–] ?| and | und | to | bis | - | )"
"""Nothing of it is a sign of a code, so that a long list is cut in one way only."""
_MONTH = r"(?:jan|feb|mar|mär|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)[a-zä]*\.?"
_FORM = {
    Key.QUANTITY: rf"{_NUMBER}(?: ?(?:pcs|pieces|stück|stk)\.?)?",
    Key.NUMBER: _CODE,
    Key.LOTS: rf"{_CODE}(?:{_AND}{_CODE}){{0,40}}",
    Key.CAVITIES: rf"all|alle|{_CODE}(?:{_AND}{_CODE}){{0,40}}",
    Key.UNTIL: rf"[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}|[0-9]{{1,2}}[./][0-9]{{1,2}}[./][0-9]{{2,4}}"
    rf"|(?:(?:end of|ende) )?(?:[0-9]{{1,2}}\.? )?{_MONTH} [0-9]{{4}}",
    Key.REFERENCE: rf"[\w./#+:-]{{1,60}}(?: {_CODE}){{0,4}}",
    Key.LIMIT: r"[\w.,/≤<=µμ%°×()-]+(?: [\w.,/≤<=µμ%°×()-]+){0,30}",
}
_FORMS = {key: re.compile(form, re.I) for key, form in _FORM.items()}


def has_form(key: Key, value: str) -> bool:
    """Whether a value is what such a key takes."""
    form = _FORMS.get(key)
    return bool(value) and (form is None or bool(form.fullmatch(value)))


def begins_with_form(key: Key, text: str) -> bool:
    """Whether a text begins as such a value does; it tells `until 2026-05-01` from the word in a sentence."""
    form = _FORMS.get(key)
    return form is None or bool(form.match(text))


CONDITIONAL = re.compile(
    r"\b(?:if|unless|provided|providing|except|subject to|as long as|condition(?:al|ally)?|only when|but not|not for"
    r"|only (?:for|valid|until)|valid only|for now|provisional(?:ly)?|preliminary|pending|tentative(?:ly)?"
    r"|wenn|falls|sofern|solange|außer|ausser|ausgenommen|vorausgesetzt|voraussetzung|unter der bedingung|vorbehalt\w*"
    r"|aber nicht|nicht für|nur (?:für|bis|gültig|vorläufig)|gilt nur|vorläufig\w*|bis auf weiteres)\b",
    re.I,
)
"""Words that take back a part of what was said before; no one but a person can say how much."""

UNDECIDED = re.compile(
    r"(?:\bnot|\bnicht|n[’']t)\b.{0,40}\b(?:decided?|sure|certain|final|entschieden|sicher|endgültig)\b"
    r"|\b(?:undecided|unentschieden|draft|entwurf|unverbindlich|changed (?:my|our) minds?|(?:i|we) meant|meinten?"
    r"|doch (?:nicht|lieber|eher)|offen ?(?:zu )?lassen|lassen .{0,30} offen|leave .{0,30} open|rücksprache"
    r"|still checking|(?:prüfen?|kläre?n?) (?:es |das |ich |wir )?noch)\b",
    re.I,
)
"""Words of one who hasn't decided, within an answer or beside it."""

LABELS = {
    Answer.INSIDE: re.compile(
        r"(?:judged )?inside|limit agreed|agreed|accepted|(?:als )?innerhalb(?: beurteilt)?|grenze vereinbart", re.I
    ),
    Answer.OUTSIDE: re.compile(
        r"(?:judged )?outside|limit not agreed|not agreed|not accepted|grenze nicht vereinbart"
        r"|(?:als )?au(?:ß|ss)erhalb(?: beurteilt)?|nicht akzeptiert",
        re.I,
    ),
    Answer.CONCESSION: re.compile(r"concession|sonderfreigabe", re.I),
    Answer.REWORK: re.compile(r"rework|nacharbeit(?:en)?", re.I),
    Answer.MORE_EVIDENCE: re.compile(r"more evidence|mehr belege", re.I),
}
"""What may stand behind a letter and says the same once more."""


@dataclass(frozen=True)
class _Spelt:
    evidence: Evidence
    words: str


_EVIDENCE = (
    _Spelt(Evidence.SIDE_VIEW, "side view|seitenansicht"),
    _Spelt(Evidence.OTHER_LIGHT, "other light|another light|anderes licht|andere beleuchtung"),
    _Spelt(Evidence.GAUGE, "gauge reading|gauge|messwert|messuhr|(?:mess)?taster|lehre"),
    _Spelt(Evidence.SECTION, "section|cross section|(?:quer)?schnitt|(?:quer)?schliff|schliffbild"),
    _Spelt(Evidence.PIECE, "the piece itself|the piece|piece|das teil selbst|das teil|teil"),
)
_EVIDENCES = tuple((each.evidence, re.compile(each.words, re.I)) for each in _EVIDENCE)
_POLITE = re.compile(r"\b(?:please|bitte|a|an|eine|einen|the(?= (?:side|section|gauge))|die|den)\b ?", re.I)
_LOOKED = ((LookedAt.PICTURES, "pictures|bilder"), (LookedAt.PIECE, "piece in hand|teil in der hand"))
_SIDES = (
    (Side.LAST_GOOD, "last good|letztes gutes"),
    (Side.FIRST_BAD, "first bad|erstes schlechtes"),
)
_HOLDS = (
    (HoldsFrom.NOW, "(?:holds |gilt )?(?:from now|ab jetzt)"),
    (HoldsFrom.THIS_TRIAL, "(?:holds |gilt )?(?:this trial only|nur dieser versuch)"),
)


def evidence_of(text: str) -> tuple[Evidence, ...] | None:
    """The kinds of evidence that a text lists; None where it says anything else."""
    found = []
    for piece in re.split(r" ?[,;/+&] ?| and | und ", text.strip(" .,;:!")):
        word = _POLITE.sub("", piece).strip()
        kind = next((evidence for evidence, spelt in _EVIDENCES if spelt.fullmatch(word)), None)
        if kind is None:
            return None
        found.append(kind)
    return tuple(dict.fromkeys(found))


def looked_at(text: str) -> LookedAt | None:
    """What was looked at, by its words."""
    return next((kind for kind, words in _LOOKED if re.fullmatch(words, text, re.I)), None)


def holds_from(text: str) -> HoldsFrom | None:
    """How far an agreed limit reaches, by its words."""
    return next((kind for kind, words in _HOLDS if re.fullmatch(words, text, re.I)), None)


def side_of(text: str) -> Side | None:
    """Which side a kept piece is to stand for, by its words."""
    return next((side for side, words in _SIDES if re.fullmatch(words, text, re.I)), None)
