"""Files that may hold an answer: what is read of each, what is kept aside, what is refused and what to do instead."""

import json
import re
import time
from email.message import EmailMessage

import pytest

from portal.inbox.came import Came, NotTaken, Refused, Sender
from portal.inbox.carrier import read_carrier
from portal.inbox.flowed import unflow
from portal.model.event import Via

DIGEST = "a94f0c31" + "0" * 56
FILE = {
    "format": 1,
    "answers_to": DIGEST,
    "code": "a94f0c31",
    "language": "en",
    "answered_by": {"name": "K. Ammerlund", "organisation": "Brindelaar Optics", "role": "supplier quality"},
    "answered_at": "2026-03-05T09:10:00Z",
    "answers": [
        {
            "number": 1,
            "ask": "1" * 64,
            "letter": "A",
            "findings": [{"finding": "7K3F", "basis": "b" * 64}],
            "comment": "the speck is at the rim, where nobody looks once the collar has been pressed in",
        }
    ],
    "questions": [{"question": "Which resin?"}],
}


def as_json(**changes: object) -> bytes:
    """The answer file as our form saves it, with changes."""
    return json.dumps({**FILE, **changes}, indent=1).encode()


def mail(text: str = "1 A\n", subject: str = "Re: Lens collar [a94f0c31]") -> EmailMessage:
    """A plain mail of a reviewer."""
    made = EmailMessage()
    made["From"] = "K. Ammerlund <k.ammerlund@brindelaar.example>"
    made["Subject"] = subject
    made.set_content(text)
    return made


def read(made: EmailMessage) -> Came:
    """A mail as a mail program saves it."""
    return read_carrier("reply.eml", made.as_bytes())


def test_a_mail_gives_its_text_its_subject_and_its_sender() -> None:
    """The plain text of alternatives, not their HTML."""
    made = mail()
    made.add_alternative("<p>1 B</p>", subtype="html")
    came = read(made)
    assert (came.text.strip(), came.subject, came.via) == ("1 A", "Re: Lens collar [a94f0c31]", Via.MAIL)
    assert came.senders == (Sender("K. Ammerlund", "k.ammerlund@brindelaar.example"),)


def test_an_answer_file_is_read_by_itself_attached_and_pasted() -> None:
    """Pasted too where a mail program wrapped it; what stands around it stays text."""
    alone = read_carrier("answers-a94f0c31.json", as_json())
    assert alone.file is not None
    assert (alone.via, alone.file.answers[0].number, alone.file.questions[0].question) == (
        Via.ANSWER_FILE,
        1,
        "Which resin?",
    )
    attached = mail("see attachment\n")
    attached.add_attachment(as_json(), "application", "octet-stream", filename="..\\..\\answers.JSON")
    assert read(attached).file == alone.file
    wrapped = "\n".join(line.replace("where nobody", "where\nnobody") for line in as_json().decode().splitlines())
    pasted = read_carrier("pasted.txt", f"Hello\n{wrapped}\nRegards".encode())
    assert pasted.file == alone.file
    assert pasted.text.split() == ["Hello", "Regards"]


def test_a_quoted_answer_file_is_not_taken() -> None:
    """It is another's."""
    text = "\n".join(f"> {line}" for line in as_json().decode().splitlines())
    assert read_carrier("pasted.txt", f"1 A\n{text}".encode()).file is None


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (as_json(format=2), "format 2; this version reads up to format 1"),
        (as_json(format=True), "no format that there ever was"),
        (as_json(code="00000000"), "isn't that of the review"),
        (as_json(answers=[{"number": 1, "letter": "Z"}]), "was changed: `answers.0.letter`"),
        (as_json(extra=1), "was changed: `extra`"),
        (as_json(answered_by={"name": "\ud800"}), "isn't Unicode"),
        (as_json()[:-20], "isn't whole"),
        (as_json().replace(b'"format"', b'"code": "a94f0c31", "format"'), "a key stands twice"),
        (b'{"format": 1, "answers_to": ' + b"[" * 100_000, "isn't whole: nested too deep"),
        (as_json().replace(b"1,", b"1" * 5_000 + b",", 1), "isn't whole: a number of more than 20"),
        (b'"answers_to"', "no JSON object"),
        (as_json() + b" " * 1_000_000, "more than 1,000,000 bytes"),
        (as_json().decode().encode("utf-16"), None),
    ],
)
def test_an_answer_file_that_is_not_whole_says_why(content: bytes, reason: str | None) -> None:
    """It is kept aside; what doesn't even name a review is refused."""
    with pytest.raises(NotTaken if reason else Refused) as told:
        read_carrier("answers.json", content)
    assert reason is None or reason in str(told.value)


@pytest.mark.parametrize(
    ("name", "content", "reason"),
    [
        ("answers.zip", b"PK\x03\x04....", "a zip folder: unpack it"),
        ("reply.txt", b"PK\x03\x04....", "a zip folder: unpack it"),
        ("reply.msg", b"anything", "save it as `.eml` or as text"),
        ("reply.eml", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "save it as `.eml` or as text"),
        ("review.html", b"1 A", "HTML: open it"),
        ("reply.txt", b"<!-- saved -->\n<HTML><script>1 A</script>", "HTML: open it"),
        ("decision.pdf", b"%PDF-1.7", "entered with `portal record`"),
        ("reply.docx", b"PK\x03\x04", "a document of a word processor (`.docx`): copy its text into a text file"),
        ("reply.XLSX", b"PK\x03\x04", "a table of a spreadsheet program (`.xlsx`): copy its text"),
        ("reply.gif", b"1 A", "`.gif` is nothing"),
        ("reply.txt", b" \n", "empty"),
        ("reply.txt", b"1 A\0", "no text"),
        ("other.json", b"{}", "no answer file"),
        ("big.eml", b"a" * 40_000_001, "more than 40,000,000 bytes"),
        ("parts.eml", b"Content-Type: multipart/mixed; boundary=a\n" * 300, "more than 200 parts"),
    ],
)
def test_what_is_no_answer_is_refused_with_what_to_do(name: str, content: bytes, reason: str) -> None:
    """By its ending or its first bytes."""
    with pytest.raises(Refused, match=re.escape(reason)):
        read_carrier(name, content)


def test_a_mail_that_cannot_be_taken_says_why() -> None:
    """Only HTML, encrypted, automatic, an unknown charset, too long a line."""
    html = EmailMessage()
    html.set_content("<p>1 A</p>", subtype="html")
    automatic = mail()
    automatic["Auto-Submitted"] = "auto-replied"
    strange = mail().as_bytes().replace(b'charset="utf-8"', b'charset="zlib"')
    for content, reason in (
        (html.as_bytes(), "it has only HTML"),
        (automatic.as_bytes(), "an automatic reply"),
        (strange, "`zlib` isn't known"),
        (mail("1 A" + " " * 20_000).as_bytes(), "a line of it has more than 20,000"),
        (b"Content-Type: application/pkcs7-mime\n\nxx", "it is encrypted"),
        (b"From: a@b.example\n\n", "there is no text"),
    ):
        with pytest.raises(NotTaken, match=reason):
            read_carrier("reply.eml", content)


def test_nested_and_malformed_mails_end_in_a_sentence_quickly() -> None:
    """No recursion, no traceback."""
    started = time.perf_counter()
    nested = b"".join(b'Content-Type: multipart/mixed; boundary="%d"\n\n--%d\n' % (n, n) for n in range(90)) + b"\n1 A"
    comments = b"From: " + b"(" * 1_900 + b"\nSubject: =?utf-8?q?" + b"=3D" * 10_000 + b"?=\n\n1 A"
    messages = b"Content-Type: message/rfc822\n\n" * 2_000
    for content in (nested, comments, messages):
        try:
            read_carrier("reply.eml", content)
        except (NotTaken, Refused) as told:
            assert str(told)
    assert time.perf_counter() - started < 30


def test_attachments_that_are_not_read_are_named_and_an_attached_mail_is_not_taken() -> None:
    """Their names are words, without any path."""
    made = mail()
    made.add_attachment(b"x", "image", "jpeg", filename="../../etc/side.jpg")
    made.add_attachment(mail("2 B\n"))
    came = read(made)
    assert came.text.strip() == "1 A"
    assert [each.name for each in came.left] == [".. .. etc side.jpg", "an attached mail"]
    assert "receive that" in came.left[1].why


def test_an_answer_file_beside_the_html_of_an_alternative_is_found() -> None:
    """Some programs put attachments there; of two plain alternatives both are read, so that neither is chosen."""
    made = EmailMessage()
    made.set_content("see attachment\n")
    made.add_alternative("<p>see attachment</p>", subtype="html")
    inner = EmailMessage()
    inner.set_content("<p>see attachment</p>", subtype="html")
    inner.add_attachment(as_json(), "application", "json", filename="answers.json")
    made.attach(inner)
    assert read(made).file is not None
    two = mail("1 A\n")
    two.add_alternative("1 B\n", subtype="plain")
    assert read(two).text.split() == ["1", "A", "1", "B"]


def test_two_attached_answer_files_that_differ_are_not_chosen_between() -> None:
    """The same twice is one."""
    made = mail()
    made.add_attachment(as_json(), "application", "json", filename="a.json")
    made.add_attachment(as_json(), "application", "json", filename="b.json")
    assert read(made).file is not None
    made.add_attachment(as_json(answers=[]), "application", "json", filename="c.json")
    with pytest.raises(NotTaken, match="several answer files"):
        read(made)


def test_a_pasted_mail_gives_its_sender_and_subject_from_its_head() -> None:
    """In English and German; in UTF-8, UTF-16 and Windows-1252."""
    text = "Von: Käte Ammerlund <k.ammerlund@brindelaar.example>\nGesendet: heute\nBetreff: AW: [a94f0c31]\n\n1 A"
    for charset in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        came = read_carrier("pasted.txt", text.encode(charset))
        assert came.senders == (Sender("Käte Ammerlund", "k.ammerlund@brindelaar.example"),)
        assert (came.subject, came.text.strip(), came.via) == ("AW: [a94f0c31]", "1 A", Via.PASTED)


def test_flowed_text_is_put_together_as_its_standard_says() -> None:
    """RFC 3676: sections 4.1 (soft ends), 4.2 (DelSp), 4.3 (signature), 4.4 (stuffing), 4.5 (quotation)."""
    assert unflow("one \ntwo\nthree") == "one two\nthree"
    assert unflow("one \ntwo", without_blank=True) == "onetwo"
    assert unflow("one \n-- \nname") == "one \n-- \nname"
    assert unflow(" >not quoted\n  From me") == ">not quoted\n From me"
    assert unflow(">> deep \n>> deeper\n> less") == ">> deep deeper\n> less"
    assert unflow("> quoted \nmine") == "> quoted \nmine"
