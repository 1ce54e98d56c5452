"""What the form of a sent review offers for each ask, and what its script is told of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from portal.model.answer import AskKind, Evidence, HoldsFrom, LookedAt
from portal.model.answerfile import FORMAT
from portal.model.sample import Side
from portal.model.say import Say, Several
from portal.model.shown import ShownAsk
from portal.model.terms import Answer
from portal.site.mailed import subject
from portal.site.redrawn import Redrawn, RedrawnAsk
from portal.site.words import Speaker, locale_of

_SECONDS_PER_ASK = 40
"""An assumption: to look at a picture, read a sentence and choose a letter. Common practice, no source."""


class Takes(StrEnum):
    """What an answer with some letter may say beside its words; the names are those of the answer file."""

    LEFT_OUT = "left_out"
    EVIDENCE = "evidence"
    CONCESSION = "concession"
    LIMIT = "limit"
    KEEP = "keep"
    LOOKED_AT = "looked_at"


class WordsAs(StrEnum):
    """What the words typed beside a letter are."""

    COMMENT = "comment"
    QUESTION = "question"
    JUSTIFICATION = "justification"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class LetterForm:
    """A letter that an ask offers, with what its answer takes."""

    letter: str
    meaning: str
    words: WordsAs
    takes: tuple[Takes, ...]


@dataclass(frozen=True, slots=True)
class AskForm:
    """An ask with its letters."""

    ask: RedrawnAsk
    letters: tuple[LetterForm, ...]
    bare: WordsAs
    """What words without a letter are."""

    @property
    def number(self) -> int:
        """Its number in the review."""
        return self.ask.shown.number

    @property
    def takes_words(self) -> bool:
        """Whether words are an answer to it."""
        return self.bare is WordsAs.WORDS

    def letters_with(self, what: str) -> str:
        """The letters whose answer takes that, apart by blanks."""
        return " ".join(each.letter for each in self.letters if what in each.takes or what == each.words)

    @property
    def every_letter(self) -> str:
        """All its letters, apart by blanks."""
        return " ".join(each.letter for each in self.letters)


@dataclass(frozen=True, slots=True)
class AnswerForm:
    """The form of a review."""

    page: Redrawn
    asks: tuple[AskForm, ...]
    need: Say
    minutes: int
    data: dict[str, object]
    """For the script: the review, its asks, the words that it says and writes."""
    evidence: tuple[str, ...] = tuple(each.value for each in Evidence)
    looked_at: tuple[str, ...] = tuple(each.value for each in LookedAt)
    holds: tuple[str, ...] = tuple(each.value for each in HoldsFrom)
    sides: tuple[str, ...] = tuple(each.value for each in Side)


def answer_form(page: Redrawn, speaker: Speaker) -> AnswerForm:
    """The form in which a review is answered."""
    asks = tuple(_ask_form(each) for each in page.asks)
    return AnswerForm(
        page=page,
        asks=asks,
        need=_need(asks),
        minutes=max(1, -(-len(asks) * _SECONDS_PER_ASK // 60)),
        data=_data(page, asks, speaker),
    )


def key_of(word: str) -> str:
    """A word of a file as part of a key: `side view` is `side-view`."""
    return word.replace(" ", "-")


def _ask_form(ask: RedrawnAsk) -> AskForm:
    letters = tuple(
        LetterForm(each.letter.value, each.meaning, _words_as(each.letter), tuple(_takes(ask.shown, each.letter)))
        for each in ask.shown.letters
    )
    return AskForm(ask, letters, WordsAs.WORDS if ask.shown.kind is AskKind.QUESTION else WordsAs.COMMENT)


def _words_as(letter: Answer) -> WordsAs:
    return {Answer.CONCESSION: WordsAs.JUSTIFICATION, Answer.QUESTION_BACK: WordsAs.QUESTION}.get(
        letter, WordsAs.COMMENT
    )


def _takes(ask: ShownAsk, letter: Answer) -> Iterator[Takes]:
    if letter is Answer.QUESTION_BACK:
        return
    if len(ask.findings) > 1:
        yield Takes.LEFT_OUT
    if letter is Answer.MORE_EVIDENCE:
        yield Takes.EVIDENCE
        return
    if letter is Answer.CONCESSION:
        yield Takes.CONCESSION
    if letter is Answer.INSIDE and ask.kind is AskKind.NOT_AGREED:
        yield Takes.LIMIT
    yield Takes.LOOKED_AT
    if letter in {Answer.INSIDE, Answer.OUTSIDE} and ask.findings:
        yield Takes.KEEP


def _need(asks: tuple[AskForm, ...]) -> Say:
    words = sum(1 for each in asks if each.takes_words)
    parts = [("answer.decisions", len(asks) - words), ("answer.words", words)]
    return Say.of("answer.need", what=Several(tuple(Say.of(key, n=n) for key, n in parts if n)))


def _data(page: Redrawn, asks: tuple[AskForm, ...], speaker: Speaker) -> dict[str, object]:
    shown, sent = page.shown, page.sent
    return {
        "format": FORMAT,
        "digest": sent.digest,
        "code": page.code,
        "language": shown.language,
        "locale": locale_of(shown.language).replace("_", "-"),
        "file": f"answers-{page.code}.json",
        "mail": {"to": sent.reply_to or "", "subject": f"Re: {subject(shown, sent)}"},
        "seconds": _SECONDS_PER_ASK,
        "asks": [_ask_data(page, each) for each in asks],
        "text": {key: speaker.text(f"reply.{key}") for key in _REPLY},
        "spelt": {
            word: speaker.text(f"{group}.{key_of(word)}")
            for group, words in (("evidence", Evidence), ("looked", LookedAt), ("holds", HoldsFrom), ("keep", Side))
            for word in words
        },
        "words": {key: speaker.text(f"said.{key}", **{name: f"{{{name}}}" for name in names}) for key, names in _SAID},
    }


_REPLY = ("review", "answers", "answered_by", "quantity", "number", "lots", "cavities", "until", "reference",
          "because", "except", "keep", "looked_at", "limit", "condition", "comment")  # fmt: skip
"""Words of the grammar of replies that the script writes."""
_SAID: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("no_answer", ()),
    ("no_letter", ()),
    ("covers_none", ()),
    ("answered", ("letter",)),
    ("in_words", ()),
    ("progress", ("n", "all")),
    ("minute", ()),
    ("minutes", ("n",)),
    ("done", ()),
    ("open", ("numbers",)),
    ("kept", ("time",)),
    ("saved", ("file",)),
    ("saved_open", ("numbers",)),
    ("changed", ()),
    ("nothing", ()),
    ("name", ()),
    ("copied", ()),
    ("copy", ()),
    ("mail_long", ("file",)),
    ("about_spot", ("picture", "spot")),
    ("about_picture", ("picture",)),
)
"""What the script says, with what it fills in."""


def _ask_data(page: Redrawn, form: AskForm) -> dict[str, object]:
    shown = form.ask.shown
    bases = {each.id: each.basis for each in page.shown.findings}
    return {
        "number": shown.number,
        "ask": shown.ask,
        "bare": form.bare.value,
        "findings": [{"finding": each, "basis": bases[each]} for each in shown.findings if each in bases],
        "letters": {each.letter: {"words": each.words, "takes": list(each.takes)} for each in form.letters},
    }
