"""The covering mail of a review: plain text that is enough by itself, to be answered by a plain reply."""

from collections.abc import Iterator
from datetime import date, datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from textwrap import wrap

from portal.model.answer import AskKind
from portal.model.event import check_code
from portal.model.reply import WIDTH, begin_mark, end_mark, option_line
from portal.model.shown import Sent, Shown, ShownAsk
from portal.site.marks import word_key
from portal.site.redrawn import speaker_of
from portal.site.words import Speaker


def subject(shown: Shown, sent: Sent) -> str:
    """The subject, with the check code by which an answer finds its review."""
    return speaker_of(shown).text(
        "mail.subject",
        number=sent.number,
        code=check_code(sent.digest),
        part=shown.part.number_customer,
        name=shown.part.name,
        stage=shown.stage,
    )


def mail_text(shown: Shown, sent: Sent) -> str:
    """The whole text, no line longer than what a mail program leaves as it is."""
    code = check_code(sent.digest)
    lines = [begin_mark(code), *_Text(shown, sent).lines(), end_mark(code)]
    return "\n".join(lines) + "\n"


def mail(shown: Shown, sent: Sent, *, addresses: tuple[str, ...], sent_at: datetime) -> bytes:
    """The mail as a file that a mail program opens; the same bytes for the same review and event."""
    message = EmailMessage(policy=SMTP)
    message["Subject"] = subject(shown, sent)
    if addresses:
        message["To"] = ", ".join(addresses)
    message["Date"] = format_datetime(sent_at)
    message["Message-ID"] = f"<review-{sent.digest[:32]}-{sent.event[:16]}@portal.example>"
    message["X-Unsent"] = "1"
    message.set_content(mail_text(shown, sent), cte="quoted-printable", charset="utf-8")
    return message.as_bytes()


def about_picture(ask: ShownAsk, speaker: Speaker) -> str:
    """Which picture an ask is about, and which spot of it."""
    told = speaker.text("mail.picture", name=ask.picture_name or "")
    return f"{told}, {speaker.text('sent.spot', spot=ask.spot)}" if ask.spot else told


class _Text:
    def __init__(self, shown: Shown, sent: Sent) -> None:
        self.shown, self.sent = shown, sent
        self.speaker = speaker_of(shown)

    def lines(self) -> Iterator[str]:
        """The text line by line."""
        yield from self._wrapped(self.shown.marking)
        yield ""
        yield from self._head()
        yield from self._state()
        for ask in self.shown.asks:
            yield from self._ask(ask)
        yield from self._how()
        yield from self._cautions()

    def _t(self, key: str, **values: str | int | date) -> str:
        return self.speaker.text(key, **values)

    def _wrapped(self, text: str, *, first: str = "", indent: str = "") -> Iterator[str]:
        for line in text.splitlines() or [""]:
            yield from wrap(line, WIDTH, initial_indent=first, subsequent_indent=indent, break_long_words=True) or [""]
            first = indent

    def _head(self) -> Iterator[str]:
        shown, sent, part = self.shown, self.sent, self.shown.part
        yield from self._wrapped(self._t("mail.review", number=sent.number, code=check_code(sent.digest)))
        yield from self._wrapped(
            self._t("mail.part", name=part.name, customer=part.number_customer, shop=part.number_shop)
        )
        yield from self._wrapped(self._t("mail.drawing", number=part.drawing, revision=part.drawing_revision))
        for fact in shown.title:
            more = f", {fact.more}" if fact.more else ""
            yield from self._wrapped(f"{fact.name}: {fact.value}{more}")
        yield from self._wrapped(self._t("mail.from", by=sent.by, shop=shown.shop, to=", ".join(sent.to)))
        yield ""

    def _state(self) -> Iterator[str]:
        shown = self.shown
        yield from self._wrapped(f"{self._t(f'word.{word_key(shown.word)}')}: {shown.sentence}")
        for each in shown.since:
            yield from self._wrapped(each, first="* ", indent="  ")
        yield ""
        if not shown.asks:
            yield from self._wrapped(self._t("mail.nothing_asked"))
            yield ""
            return
        yield from self._wrapped(self._t("mail.asked", n=len(shown.asks)))
        due = min((each.due for each in shown.asks if each.due), default=None)
        if due:
            yield from self._wrapped(self._t("mail.due", day=date.fromisoformat(due)))
        yield ""

    def _ask(self, ask: ShownAsk) -> Iterator[str]:
        yield from self._wrapped(f"({ask.number}) {ask.question}", indent="    ")
        for id_ in ask.findings:
            finding = self.shown.finding(id_)
            if finding is not None:
                place = ", ".join(finding.place)
                word = self._t(f"word.{word_key(finding.said.word)}")
                told = self._t("mail.finding", finding=id_, defect=finding.defect, place=place)
                yield from self._wrapped(f"{told}. {word}: {finding.sentence}", first="    ", indent="    ")
        if ask.picture_name:
            yield from self._wrapped(about_picture(ask, self.speaker), first="    ", indent="    ")
        if ask.kind is AskKind.QUESTION:
            yield from self._wrapped(self._t("mail.in_words"), first="    ", indent="    ")
        for each in ask.letters:
            yield from self._wrapped(option_line(each.letter, each.meaning), first="    ", indent="        ")
        if ask.owed_by:
            yield from self._wrapped(
                self._t("mail.owed_by", n=ask.names_needed, names=", ".join(ask.owed_by)), first="    ", indent="    "
            )
        yield ""

    def _how(self) -> Iterator[str]:
        if not self.shown.asks:
            return
        for key in ("mail.how", "mail.how_concession", "mail.how_words", "mail.how_else", "mail.no_signature"):
            yield from self._wrapped(self._t(key))
        yield ""

    def _cautions(self) -> Iterator[str]:
        yield from self._wrapped(self._t("mail.cautions"))
        for caution in self.shown.cautions:
            yield from self._wrapped(caution, first="* ", indent="  ")
