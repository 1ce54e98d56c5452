"""Mails with one reply in every form that mail programs give it, written by Python's email library.

RFC 5322 (the message), RFC 2045 to 2049 (transfer encodings, charsets, parts), RFC 3676 (flowed text).
"""

import textwrap
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from email.message import EmailMessage
from itertools import product

from tests.log.asking import CODE, SENT, quoted

REPLY = """Hello Ms Vasquell,

1 A except 7K3G
2 C qty 500 ref DEV-118 lots 4711 until 2026-05-01 because the vestige is hidden once the collar is in
3 ? which side of the part
4 The flange is bonded, from lot 12

Best regards
K. Ammerlund
"""
GERMAN = """Guten Tag,

1 A außer 7K3G
2 C Menge 500 Stück, Referenz DEV-118, weil für den Kunden nach dem Fügen verdeckt
3 B weil größer als üblich
4 Die Stirnfläche wird geklebt

Viele Grüße
K. Ammerlund
"""
WROTE = "On Wed, 4 Mar 2026 at 14:22, M. Vasquell <m.vasquell@halvenast.example> wrote:"
HEAD = """From: M. Vasquell <m.vasquell@halvenast.example>
Sent: Wednesday, 4 March 2026 14:22
To: K. Ammerlund
Subject: Lens collar, trial T2

"""
SCHRIEB = "Am Mi., 4. März 2026 um 14:22 Uhr schrieb M. Vasquell <m.vasquell@halvenast.example>:"
KOPF = """Von: M. Vasquell <m.vasquell@halvenast.example>
Gesendet: Mittwoch, 4. März 2026 14:22
An: K. Ammerlund <k.ammerlund@brindelaar.example>
Betreff: Lens collar, trial T2

"""
CHARSETS = ("utf-8", "iso-8859-1", "windows-1252")
ENCODINGS = ("7bit", "8bit", "quoted-printable", "base64")
WRAPPED = ("as typed", "wrapped at 72", "flowed", "flowed without blank")


@dataclass(frozen=True)
class Form:
    """One form of a reply."""

    text: str
    charset: str
    encoding: str
    wrapped: str
    layout: str
    alternative: bool = False

    def mail(self) -> EmailMessage:
        """The reply in that form."""
        body = LAYOUTS[self.layout](self.text.rstrip("\n"))
        lines = wrap(body, self.wrapped)
        made = EmailMessage()
        made["From"] = "K. Ammerlund <k.ammerlund@brindelaar.example>"
        made["Subject"] = f"Re: Lens collar, trial T2 [{CODE}]"
        made.set_content(lines, charset=self.charset, cte=self.encoding)
        if self.wrapped.startswith("flowed"):
            made.set_param("format", "flowed")
            if self.wrapped.endswith("blank"):
                made.set_param("delsp", "yes")
        if self.alternative:
            made.add_alternative("<html><body><p>1 B</p><script>2 B</script></body></html>", subtype="html")
        return made


def forms() -> Iterator[Form]:
    """Every form; 7bit only where the text is plain ASCII."""
    for text, charset, encoding, wrapped, layout in product((REPLY, GERMAN), CHARSETS, ENCODINGS, WRAPPED, LAYOUTS):
        if encoding != "7bit" or LAYOUTS[layout](text).isascii():
            yield Form(text, charset, encoding, wrapped, layout, alternative=wrapped == "as typed")


def wrap(text: str, how: str) -> str:
    """Line ends as a mail program puts them."""
    if how == "as typed":
        return text
    return "\n".join(piece for line in text.splitlines() for piece in _wrapped(line, how))


def _wrapped(line: str, how: str) -> list[str]:
    marks = line[: len(line) - len(line.lstrip(">"))]
    words = line[len(marks) :].removeprefix(" ") if marks else line
    if not how.startswith("flowed"):
        pieces = textwrap.wrap(words, 72 - len(marks), break_long_words=False, break_on_hyphens=False) or [""]
        return [f"{marks} {piece}".rstrip() if marks else piece for piece in pieces]
    pieces = textwrap.wrap(words, 60, break_long_words=False, break_on_hyphens=False) or [""]
    soft = "  " if how.endswith("blank") else " "
    ended = [f"{piece}{soft}" for piece in pieces[:-1]] + [pieces[-1]]
    return [f"{marks} {piece}" if marks else _stuffed(piece) for piece in ended]


def _stuffed(line: str) -> str:
    """RFC 3676, section 4.4: a blank before what would be taken for something else."""
    return f" {line}" if line.startswith((" ", ">", "From ")) else line


def _between(text: str) -> str:
    """Each answer below its question, greeting above and closing below."""
    ours = quoted(SENT).splitlines()
    found = [line for line in text.splitlines() if line[:1].isdigit()]
    rest = [line for line in text.splitlines() if not line[:1].isdigit()]
    places = [3, 5, 7, 8]
    for place, line in reversed(list(zip(places, found, strict=True))):
        ours.insert(place + 1, f"\n{line}\n")
    return "\n".join([rest[0], "", WROTE, *ours, "", *rest[1:]])


LAYOUTS: dict[str, Callable[[str], str]] = {
    "alone": lambda text: text,
    "above": lambda text: f"{text}\n\n{WROTE}\n{quoted(SENT)}",
    "above, marks without blanks": lambda text: f"{text}\n\n{WROTE}\n{quoted(SENT, '>')}",
    "above, with a head": lambda text: f"{text}\n\n-----Original Message-----\n{HEAD}{SENT}",
    "above, twice quoted": lambda text: f"{text}\n\n{WROTE}\n{quoted(WROTE)}\n{quoted(SENT, '>> ')}",
    "above, in German": lambda text: f"{text}\n\n{SCHRIEB}\n{quoted(SENT)}",
    "above, with a German head": lambda text: f"{text}\n\n{KOPF}{SENT}",
    "above, with a rule and a German head": lambda text: f"{text}\n\n{'_' * 32}\n{KOPF}{SENT}",
    "above, with a German head and a mark": lambda text: f"{text}\n\n-----Ursprüngliche Nachricht-----\n{KOPF}{SENT}",
    "from a telephone, in German": lambda text: (
        f"{text}\n\nVon meinem Telefon gesendet\n\n{quoted(SCHRIEB)}\n>\n{quoted(SENT)}"
    ),
    "below, in German": lambda text: f"{SCHRIEB}\n{quoted(SENT)}\n\n{text}",
    "below": lambda text: f"{WROTE}\n{quoted(SENT)}\n\n{text}",
    "below, with a head": lambda text: f"{HEAD}{SENT}\n\n{text}",
    "between": _between,
    "with a signature": lambda text: f"{text}\n-- \nBrindelaar Optics\n4 Example Street\n\n{WROTE}\n{quoted(SENT)}",
    "with a disclaimer": lambda text: (
        f"{text}\n\nThis message is confidential. If you are not the intended recipient, delete it."
    ),
}
