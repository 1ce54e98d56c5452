"""All that a German customer reads is German: site, mail, PDF, the one file, the zip's text to be read first.

What people wrote (names, stages, notes, the catalogue's own prose) stays in the language they wrote it in.
"""

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from pypdf import PdfReader

from portal.log.answerline import begins_as_answer
from portal.model.reply import read_mark
from portal.site.words import po_files, speaks
from portal.tasks.build import build
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, TRIAL_NAME, judged_catalogue
from tests.tasks.packing import carriers, pack
from tests.tasks.small import TRIAL
from tests.tasks.two import OURS, change
from tests.tasks.typed import typed

_READ = ("alt", "aria-label", "title", "placeholder")
_VALUE = re.compile(r"\{\w+\}")
_WRITTEN = {"none"}
"""What the catalogue's files say and a message says too: the auxiliary lens of a setting."""
_LENGTH = re.compile(r"\d\.\d+\s(?:mm|µm|in)\b")


class _Texts(HTMLParser):
    """Every text of a page that is read or heard, each as it stands."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.silent = 0
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what is heard; a style and a script are neither."""
        self.silent += tag in {"style", "script"}
        self.found += [value for name, value in attrs if name in _READ and value]

    def handle_endtag(self, tag: str) -> None:
        """The end of a style or a script."""
        self.silent -= tag in {"style", "script"}

    def handle_data(self, data: str) -> None:
        """Note what is read."""
        if not self.silent and data.strip():
            self.found.append(" ".join(data.split()))


@dataclass(frozen=True)
class Sentence:
    """An English message that German says otherwise."""

    key: str
    text: str

    def is_in(self, texts: list[str], whole: str) -> bool:
        """Whether it is among the texts: a sentence anywhere, a word or two as a text of their own."""
        parts = _VALUE.split(self.text)
        if len(re.findall(r"[^\W\d]{2,}", " ".join(parts))) < 3:
            return self.text in texts and "{" not in self.text and len(self.text) > 1
        if not all(part in whole for part in parts):
            return False
        pattern = ".{1,200}?".join(re.escape(part) for part in parts)
        return re.search(rf"(?<!\w){pattern}(?!\w)", whole) is not None


def english() -> Iterator[Sentence]:
    """Every English message that German says otherwise; one that German says elsewhere is no sign of English."""
    spoken = {language: dict(_messages(language)) for language in ("en", "de")}
    german = set(spoken["de"].values())
    for key, text in spoken["en"].items():
        if text not in german and re.search(r"[^\W\d]", _VALUE.sub("", text)):
            yield Sentence(key[0], text)


def _messages(language: str) -> Iterator[tuple[tuple[str, int], str]]:
    for path in po_files(language):
        for each in read_po(BytesIO(path.read_bytes()), locale=language):
            forms = (each.string,) if isinstance(each.string, str) else tuple(each.string or ())
            key = each.id if isinstance(each.id, str) else each.id[0]
            if key:
                yield from (((key, place), text) for place, text in enumerate(forms))


ENGLISH = tuple(english())


def english_in(texts: list[str]) -> list[str]:
    """The English messages among texts."""
    whole = " ".join(" ".join(texts).split())
    return [f"{each.key}: {each.text}" for each in ENGLISH if each.is_in(texts, whole)]


@dataclass(frozen=True)
class Sent:
    """A German customer's site and the carriers of their review."""

    out: Path
    carriers: dict[str, bytes]

    def carrier(self, ending: str) -> bytes:
        """The one with that ending."""
        (found,) = (body for name, body in self.carriers.items() if name.endswith(ending))
        return found


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Sent:
    """A finding of every verdict, asked about in German, sent, and answered in part."""
    folder = judged_catalogue(tmp_path_factory.mktemp("german") / "c")
    change(folder, f"customers/{OURS}.yaml", "language: en ", "language: de ")
    trial = folder / TRIAL / "trial.yaml"
    checked = "checked: {by: first-engineer, at: 2026-02-13T09:00}\n"
    trial.write_text(trial.read_text(encoding="utf-8") + checked, encoding="utf-8")
    asked = typed("ask", folder, "--part", PART, "--trial", TRIAL_NAME, "--proposed", "--by", ENGINEER)
    packed = pack(folder)
    assert (asked.code, packed.code) == (0, 0), asked.err + packed.err
    answered = typed("receive", folder, _reply(folder), "--by", ENGINEER)
    assert answered.code == 0 and "3 answers and 1 unclear" in answered.out, answered.err
    out = build(folder, out=None, as_of=date(2026, 3, 1), processes=1, audience=OURS).out
    return Sent(out, carriers(folder))


def _reply(folder: Path) -> Path:
    """A reply as a saved mail, in words that the mail tells, and one that nobody can take."""
    made = EmailMessage()
    made["From"] = f"{MAY_ALL} <r.reviewer@vellorin.example>"
    made["Subject"] = f"Re: {message_from_bytes(_mail(folder), policy=default)['Subject']}"
    made.set_content(
        "1 C Menge 500 Referenz DEV-118 weil verdeckt\n2 A innerhalb\n3 E Seitenansicht\n\nDie Kante sieht gut aus.\n"
    )
    path = folder.parent / "antwort.eml"
    path.write_bytes(made.as_bytes())
    return path


def _mail(folder: Path) -> bytes:
    return next(body for name, body in carriers(folder).items() if name.endswith(".eml"))


def test_every_page_of_the_site_is_german(sent: Sent) -> None:
    """Pages of every kind; not one English message, not one length with a decimal point."""
    pages = sorted(sent.out.rglob("*.html"))
    assert len(pages) > 10
    for page in pages:
        body = page.read_text(encoding="utf-8")
        texts = [each for each in _Texts(body).found if each not in _WRITTEN]
        assert '<html lang="de">' in body
        assert english_in(texts) == [], page.name
        assert [each for each in texts if _LENGTH.search(each)] == [], page.name


def test_the_one_file_is_german(sent: Sent) -> None:
    """Its form, its cards, what its script says."""
    body = sent.carrier(".html").decode("utf-8")
    texts = _Texts(body).found
    assert english_in(texts) == [] and not any(_LENGTH.search(each) for each in texts)
    assert [each.text for each in ENGLISH if each.key.startswith("said.") and f'"{each.text}"' in body] == []


def test_the_mail_is_german_and_no_line_of_it_is_an_answer(sent: Sent) -> None:
    """Lines that were wrapped are read as one text; its marks stay what a reply is known by."""
    lines = sent.carrier(".txt").decode("utf-8").splitlines()
    assert read_mark(lines[0]) is not None and read_mark(lines[-1]) is not None
    assert english_in([" ".join(" ".join(lines[1:-1]).split())]) == []
    assert [each for each in lines if _LENGTH.search(each) or begins_as_answer(each.strip())] == []
    assert "Wir haben 3 Fragen an Sie." in lines


def test_the_paper_is_german(sent: Sent) -> None:
    """Every page of it."""
    pages = [page.extract_text() for page in PdfReader(BytesIO(sent.carrier(".pdf"))).pages]
    text = " ".join(" ".join(pages).split())
    assert english_in([text]) == [] and not _LENGTH.search(text)
    assert "Nicht konform. " in text and "Unterschrift" in text and "Messunsicherheit" in text


def test_the_zip_says_in_german_what_it_holds(sent: Sent) -> None:
    """The file to be read first, by its name too; the page says to extract it."""
    with zipfile.ZipFile(BytesIO(sent.carrier(".zip"))) as archive:
        assert archive.namelist()[0] == "ZUERST-LESEN.txt"
        text = archive.read("ZUERST-LESEN.txt").decode("utf-8")
        (page,) = [archive.read(each).decode("utf-8") for each in archive.namelist() if each.endswith(".html")]
    assert "Entpacken Sie das ganze Archiv in einen Ordner und öffnen Sie die Seite dort" in page
    assert english_in(text.splitlines()) == [] and text.startswith("Dies ist ein Bericht")


def test_english_would_be_found() -> None:
    """A sentence with values in it, a text of one word, one that was wrapped; German itself is none."""
    assert speaks("de") and len(ENGLISH) > 700
    assert english_in(["and Seen under the set condition ring-20, where no flash is allowed in zone A. So"]) != []
    assert english_in(["Customer"]) == ["title.customer: Customer"]
    assert english_in(["Nobody has compared it", "with limit sample LS-1 yet."]) != []
    assert english_in(["Niemand hat es mit Grenzmuster LS-1 verglichen.", "a Customer of ours"]) == []
