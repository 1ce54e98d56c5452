"""A reply in plain text against what a review asked: answers that literally stand there, and what a person has to read.

Nothing is guessed: a line that isn't wholly of the grammar is kept as it stands, with the reason. Where two lines
give one question different answers, or one of them is unclear, neither is taken; nor is a decision that free words
elsewhere in the mail may limit or take back.
"""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from portal.log.answerline import Taken, begins_as_answer, read_line
from portal.log.courtesy import is_closing, is_greeting, is_sentence, is_thanks, says_nothing
from portal.log.keywords import KEYWORD
from portal.log.quoting import Line, Whose, lines_of
from portal.log.takenback import WHY, doubts_of
from portal.log.typed import bare, plain
from portal.model.answer import Given, OwnQuestion, Unclear
from portal.model.logstate import LogState, ReviewState
from portal.model.reply import Asked, Reply
from portal.model.says import ReviewSent

LONGEST_LINE = 20_000
"""No person types a longer one; a text of more is nothing to read as a reply."""
FREE_WORDS = "free words: a person has to read them"
_ANSWERED_BY = re.compile(r"(?:answered by|beantwortet von) ?: ?(.{1,200})", re.I)
_OF_REVIEW = re.compile(r"review [0-9a-f]{8}", re.I)
_QUESTION = re.compile(r"\?+ (.{2,})")
_PAIR = r"#?[0-9]{1,6}(?: ?[:)=.] ?| ?)[A-Ea-e?]"
_BETWEEN = r"(?: ?[,;] ?| and | und | )"
_PAIRS = re.compile(rf"({_PAIR}){_BETWEEN}(?={_PAIR}(?:[ ,;.]|$))")
_ALL_PAIRS = re.compile(rf"{_PAIR}(?:{_BETWEEN}{_PAIR})+[.]?")
_IN_BRACKETS = re.compile(r"\(([0-9]{1,6})\)(?= )")
"""`(1) A`, as our mail numbers its questions; in our text that is a question, so it counts in the answerer's only."""
_WRAPPED_FROM = 55
"""A shorter line was ended by a person, not by a mail program."""
_GOES_ON = re.compile(
    r"(?:,|\b(?:and|und|or|oder|to|bis|from|von|of|zones?|zonen?|cavit(?:y|ies)|kavität(?:en)?|nest(?:er)?|no\.|nr\.))$",
    re.I,
)
_MARKS = re.compile("[„“”‟«»‚‘’‛']")
_BARE = re.compile(rf"{_PAIR}[.]?")
_DENIES = re.compile(r"\b(?:not|no|never|none|cannot|nicht|kein\w*|nie|weder)\b|n[’']t\b", re.I)


def asked_in(state: LogState, review: ReviewState) -> dict[int, Asked]:
    """What a review asked, by number, with the findings as it showed them."""
    event = state.get(review.event)
    sent = event.event.says.asks if event is not None and isinstance(event.event.says, ReviewSent) else ()
    bound = {each.ask: each.findings for each in sent}
    found = {}
    for number, hash_ in zip(review.numbers, review.asks, strict=True):
        ask = state.asks.get(hash_)
        if ask is not None:
            found[number] = Asked(number, hash_, ask.kind, ask.offers, bound.get(hash_, ()))
    return found


def read_reply(text: str, asked: Mapping[int, Asked], *, sent: str | None = None, names: Collection[str] = ()) -> Reply:
    """What a reply answers.

    `sent` is the text of the mail that it replies to, where that is at hand; `names` are those of people who may
    have signed it.
    """
    reader = _Reader(asked, _Sent.of(sent) if sent is not None else None, frozenset(_same(name) for name in names))
    for line in lines_of(text):
        reader.take(line)
    return reader.reply()


@dataclass(frozen=True)
class _Sent:
    """What we sent, to know our own words again however they were wrapped."""

    lines: frozenset[str]
    words: str

    @staticmethod
    def of(text: str) -> "_Sent":
        lines = [_same(each) for each in text.splitlines()]
        return _Sent(frozenset(lines), f" {' '.join(' '.join(lines).split())} ")

    def has(self, words: str) -> bool:
        return f" {_same(words)} " in self.words


def _same(text: str) -> str:
    """A text as it is compared: mail programs put plain quotation marks for others, and the other way round."""
    return _MARKS.sub('"', plain(text).casefold())


@dataclass
class _Statement:
    """Lines that belong together: an answer with what was wrapped, or free words."""

    lines: list[Line]
    is_answer: bool
    doubt: str = ""

    @property
    def text(self) -> str:
        return "\n".join(line.text for line in self.lines)

    @property
    def plain(self) -> str:
        return " ".join(_words(line) if not place else line.plain for place, line in enumerate(self.lines))


def _words(line: Line) -> str:
    """A line as it is read for an answer."""
    words = bare(line.plain)
    return _IN_BRACKETS.sub(r"\1)", words, count=1) if line.whose is Whose.OWN and words.startswith("(") else words


@dataclass
class _Reader:
    """Takes one line after the other."""

    asked: Mapping[int, Asked]
    sent: _Sent | None
    names: frozenset[str]
    statements: list[_Statement] = field(default_factory=list)
    current: _Statement | None = None
    quoted: list[str] = field(default_factory=list)
    closed: bool = False
    parted: bool = False
    """Whether it was closed with more than thanks."""
    signed: bool = False
    """Whether a name or what may be one stands below that, or below other words: an address may follow."""
    above: Line | None = None
    answered_by: str | None = None
    known: dict[str, Taken | None] = field(default_factory=dict)

    def read(self, words: str) -> Taken | None:
        """What a line answers; the same line is read once."""
        if words not in self.known:
            self.known[words] = read_line(words, self.asked)
        return self.known[words]

    def take(self, line: Line) -> None:
        """Sort a line by whose it is."""
        match line.whose:
            case Whose.OWN:
                self.own(line)
            case Whose.IN_OURS:
                self.current = None
                self.in_ours(line)
            case Whose.QUOTED | Whose.SIGNATURE:
                self.current = None
                self.of_others(line)
            case Whose.FRAME:
                self.current = None
                self.reopen()
        self.above = line

    def own(self, line: Line) -> None:
        words = _words(line)
        if not words:
            self.current = None
        elif self.is_our_rest(line):
            self.begin(line, is_answer=True, doubt="it may be a piece of our own text that was wrapped")
        elif match := _ANSWERED_BY.fullmatch(words):
            self.current, self.answered_by = None, match.group(1)
        elif is_closing(words) and not self.begins(words):
            self.current, self.closed = None, True
            self.parted = self.parted or not is_thanks(words)
        elif is_greeting(words) or _OF_REVIEW.fullmatch(words) or words.casefold() in self.names:
            self.current = None
            self.signed = self.signed or (words.casefold() in self.names and (self.closed or bool(self.statements)))
        elif self.begins(words):
            self.begin(line, is_answer=True, doubt=self.doubt_of_wrapping() or self.doubt_of_address(words))
        elif _QUESTION.fullmatch(words):
            self.begin(line, is_answer=False)
        elif self.current is not None and self.goes_on(line):
            self.current.lines.append(line)
        else:
            self.begin(line, is_answer=False)

    def begins(self, words: str) -> bool:
        taken = self.read(words)
        if taken is None:
            return _ALL_PAIRS.fullmatch(words) is not None
        return begins_as_answer(words) or not self.closed

    def begin(self, line: Line, *, is_answer: bool, doubt: str = "") -> None:
        if self.closed and not is_answer and not is_sentence(line.plain):
            self.current, self.signed = None, self.signed or self.parted
            return
        self.current = _Statement([line], is_answer, doubt)
        self.statements.append(self.current)

    def goes_on(self, line: Line) -> bool:
        """Whether a line belongs to the one above: wrapped by a program, or going on in the middle of a sentence."""
        assert self.current is not None
        if not self.current.is_answer:
            return True
        begun_small = line.plain[:1].islower() or line.plain[:1] in "(,;"
        return begun_small or len(self.current.lines[-1].text) >= _WRAPPED_FROM or bool(KEYWORD.match(line.plain))

    def doubt_of_wrapping(self) -> str:
        """Why an answer may be the rest of the line directly above."""
        if self.current is None or self.current.lines[-1].plain.endswith((".", ":", "!", "?")):
            return ""
        above = self.current.lines[-1].plain
        in_prose = not self.current.is_answer and (len(above) >= _WRAPPED_FROM or _DENIES.search(above))
        if in_prose or (len(above) >= _WRAPPED_FROM and _GOES_ON.search(above)):
            return "it may belong to the line above"
        return ""

    def reopen(self) -> None:
        """What was closed above says nothing of what follows."""
        self.closed = self.parted = self.signed = False

    def doubt_of_address(self, words: str) -> str:
        """Why a number and a letter alone may be a piece of an address."""
        is_doubted = self.signed and _BARE.fullmatch(words)
        return "it stands below the name, where an address may read so" if is_doubted else ""

    def is_our_rest(self, line: Line) -> bool:
        """Whether a line without quotation marks is the end of a quoted one that a mail program wrapped."""
        if not line.after_quoted or self.sent is None or self.above is None:
            return False
        before = self.above.plain.split()[-3:]
        return begins_as_answer(line.plain) and self.sent.has(" ".join([*before, line.plain]))

    def in_ours(self, line: Line) -> None:
        """Only what isn't in what we sent was typed into it."""
        words = bare(line.plain)
        if not words or (self.sent is not None and _same(line.plain) in self.sent.lines):
            return
        is_answer = self.begins(words) and begins_as_answer(words)
        if self.sent is None:
            if is_answer:
                self.note(line, "it stands within our own text, and what we sent isn't at hand to tell whose it is")
        elif not self.sent.has(line.plain):
            if is_answer:
                self.statements.append(_Statement([line], True))
            else:
                self.note(line, "it was typed into our own text")
        elif is_answer:
            self.note(line, "the same words stand in what we sent")

    def note(self, line: Line, doubt: str) -> None:
        self.statements.append(_Statement([line], True, doubt))

    def of_others(self, line: Line) -> None:
        words = bare(line.plain)
        if line.whose is Whose.QUOTED:
            self.reopen()
        if not begins_as_answer(words):
            return
        if line.whose is Whose.SIGNATURE:
            taken = self.read(words)
            if taken is not None and taken.given is not None:
                self.note(line, "it stands below the signature")
        elif self.sent is None or not self.sent.has(line.plain):
            self.quoted.append(line.text)

    def reply(self) -> Reply:
        """What all lines come to."""
        taken: list[tuple[Taken, str]] = []
        questions: list[OwnQuestion] = []
        unclear: list[Unclear] = []
        free: list[str] = []
        for each in self.statements:
            if each.is_answer:
                taken.extend(self.answers_of(each))
            elif match := _QUESTION.fullmatch(each.plain):
                questions.append(OwnQuestion(question=match.group(1)))
            elif not says_nothing(each.plain):
                free.append(each.plain)
                unclear.extend(_unclear(each.text, FREE_WORDS))
        if self.quoted:
            reason = "quoted from another mail: whoever answered so has to send it"
            unclear.extend(_unclear("\n".join(dict.fromkeys(self.quoted)), reason))
        doubts = doubts_of(free)
        answers, doubtful = _agreed(
            (Taken(each.number, None, WHY), text) if each.given and doubts.concern(each.given) else (each, text)
            for each, text in taken
        )
        return Reply(answers, tuple(questions), (*doubtful, *unclear), self.answered_by)

    def answers_of(self, statement: _Statement) -> Iterator[tuple[Taken, str]]:
        words = statement.plain
        pieces = [words]
        if _ALL_PAIRS.fullmatch(words):
            pieces = [piece.strip() for piece in _PAIRS.sub("\\1\n", words).split("\n")]
        for piece in pieces:
            taken = self.read(piece)
            if taken is None:
                yield Taken(-1, None, FREE_WORDS), statement.text
            elif statement.doubt:
                yield Taken(taken.number, None, statement.doubt), statement.text
            else:
                yield taken, statement.text


def _agreed(taken: Iterable[tuple[Taken, str]]) -> tuple[tuple[Given, ...], tuple[Unclear, ...]]:
    """The answers that nothing else in the reply contradicts, and the rest with the reason."""
    by_number: dict[int, list[tuple[Taken, str]]] = defaultdict(list)
    for each, text in taken:
        by_number[each.number].append((each, text))
    answers: list[Given] = []
    unclear: list[Unclear] = []
    for number, all_of_it in by_number.items():
        given = [each.given for each, _ in all_of_it if each.given is not None]
        if len(given) == len(all_of_it) and all(each == given[0] for each in given):
            answers.append(given[0])
            continue
        for reason, text in dict.fromkeys((each.reason, text) for each, text in all_of_it):
            unclear.extend(_unclear(text, reason or f"question {number} is answered in more than one way", number))
    return tuple(answers), tuple(unclear)


def _unclear(text: str, reason: str, number: int = -1) -> Iterator[Unclear]:
    """Kept as it stands; what is too long for one record in pieces."""
    for start in range(0, len(text), LONGEST_LINE):
        piece = text[start : start + LONGEST_LINE]
        yield Unclear(text=piece, reason=reason, **({"number": number} if number >= 0 else {}))
