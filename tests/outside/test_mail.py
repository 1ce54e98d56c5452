"""One reply in every form of mail gives the same answers; mutated mails and files give no answer that isn't in them.

The mails are written by Python's email library after RFC 5322, RFC 2045 to 2049 and RFC 3676. What a mutated mail says
is looked up independently: in its bytes, decoded in every way there is, each number must stand before its letter.
"""

import hashlib
import json
import quopri
import random
import re
import unicodedata
from email import message_from_bytes
from pathlib import Path

import pytest

from portal.inbox.carrier import read_carrier
from portal.log import verify
from portal.log.reply import read_reply
from portal.model.answer import Given
from portal.model.reply import Reply
from portal.model.says import AnswersReceived
from portal.tasks.picking import Desk, open_desk
from portal.tasks.receive import Outcome, receive
from tests.log.asking import ASKED, SENT
from tests.outside.mails import GERMAN, LAYOUTS, REPLY, Form, forms
from tests.tasks.judged import ENGINEER, MAY_LITTLE, PART
from tests.tasks.sent import Sent, our_mail, sent_review


def said(content: bytes) -> Reply:
    """What a saved mail answers to the four questions."""
    return read_reply(read_carrier("reply.eml", content).text, ASKED, sent=SENT, names=("K. Ammerlund",))


@pytest.mark.parametrize("step", [4, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_form_of_a_mail_gives_the_same_answers(layout: str, step: int) -> None:
    """All transfer encodings, charsets and ways of wrapping, above, below and between what is quoted."""
    expected = {text: read_reply(text, ASKED).answers for text in (REPLY, GERMAN)}
    assert [len(answers) for answers in expected.values()] == [4, 4]
    found = [form for form in forms() if form.layout == layout]
    assert len(found) in {4 * 3 * (4 + 3), 4 * 3 * (3 + 3)}  # 7bit where all of it is plain ASCII
    for form in found[list(LAYOUTS).index(layout) % step :: step]:
        reply = said(form.mail().as_bytes())
        assert reply.answers == expected[form.text], form
        assert reply.unclear == (), form


def test_line_ends_of_either_kind_and_a_head_of_a_mailbox_change_nothing() -> None:
    """As servers and mailbox files store a mail."""
    mail = Form(REPLY, "utf-8", "8bit", "as typed", "above").mail().as_bytes()
    other = mail.replace(b"\n", b"\r\n")
    assert said(mail) == said(other) == said(b"From k.ammerlund Thu Mar  5 09:10:00 2026\n" + mail)


def test_html_made_to_exhaust_is_never_looked_at() -> None:
    """Deeply nested, with an answer in it; beside plain text it isn't read, alone it is kept aside."""
    form = Form(REPLY, "utf-8", "8bit", "as typed", "alone").mail()
    form.add_alternative("<div>" * 200_000 + "1 B", subtype="html")
    assert {each.number: each.letter for each in said(form.as_bytes()).answers}[1] == "A"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> tuple[Sent, Desk]:
    """A catalogue at which answers come in."""
    sent = sent_review(tmp_path_factory.mktemp("mutated") / "c")
    return sent, open_desk(sent.folder, by=ENGINEER)


@pytest.mark.parametrize("count", [200, pytest.param(2_000, marks=pytest.mark.long)])
def test_mutated_mails_and_answer_files_decide_nothing_that_they_do_not_say(
    desk: tuple[Sent, Desk], tmp_path: Path, count: int
) -> None:
    """Each is taken, kept aside, or refused in a sentence; nothing else appears in the folder."""
    sent, at = desk
    sources = originals(sent)
    became: dict[str, int] = {}
    for seed in range(count):
        chance = random.Random(seed)
        name, content = chance.choice(sources)
        path = tmp_path / f"{seed}{name}"
        path.write_bytes(mutated(content, chance))
        known = {each.hash for each in at.state(PART)[0].events}
        outcome = receive(at, path)
        fresh = [each for each in at.state(PART)[0].events if each.hash not in known]
        kind = check(sent, path, outcome, [each.event.says for each in fresh])
        became[kind] = became.get(kind, 0) + 1
    assert set(became) >= {"taken", "kept aside", "refused"}
    assert became["taken"] > count / 5
    assert verify(sent.folder, PART).problems == ()
    assert not list(sent.folder.rglob("*.tmp"))


def check(sent: Sent, path: Path, outcome: Outcome, fresh: list[object]) -> str:
    """What became of a file, each way with all that belongs to it."""
    content = path.read_bytes()
    assert outcome.lines
    assert all(line.strip() for line in outcome.lines)
    named = f"{hashlib.sha256(content).hexdigest()[:16]}.*"
    places = (sent.store / "answers", sent.reviews / "aside", sent.folder / "answers-aside")
    kept = [each for place in places for each in place.glob(named) if not each.name.endswith(".why.txt")]
    assert all(each.read_bytes() == content for each in kept)
    if outcome.is_taken:
        assert [each.parent for each in kept] == [sent.store / "answers"]
        for says in fresh:
            assert isinstance(says, AnswersReceived)
            found = (*texts(content), *from_json(content))
            for given in says.answers:
                assert stands_in(given, found), (path.name, given)
        return "taken"
    assert fresh == []
    kind = outcome.lines[0].split(":")[0]
    assert kind in {"kept aside", "refused"}
    if kind == "kept aside":
        assert len(kept) == 1
        assert (kept[0].parent / f"{kept[0].stem}.why.txt").read_text(encoding="utf-8").strip()
    else:
        assert kept == []
    return kind


def stands_in(given: Given, found: tuple[str, ...]) -> bool:
    """Whether a file literally says that answer: its number before its letter or words, and what is added to it."""
    said = str(given.letter) if given.letter else flat(given.words or "")[:20]
    ends = "(?![0-9a-z])" if given.letter and given.letter != "?" else ""
    pattern = rf"(?<![0-9]){given.number}[^0-9a-z]{{0,6}}{re.escape(said.lower())}{ends}"
    concession = given.concession.given().values() if given.concession else ()
    added = [flat(str(each)) for each in (*concession, *given.left_out)]
    return any(re.search(pattern, text) and all(each in text for each in added) for text in found)


def test_the_check_finds_an_answer_that_a_file_does_not_say() -> None:
    """Another letter, another number, a word that begins with the letter, a reference that isn't there."""
    given = Given.model_validate({"number": 2, "letter": "C", "concession": {"reference": "DEV-118"}})
    assert stands_in(given, tuple(texts(b"> 2: c, ref dev-118")))
    for text in (b"2 B ref DEV-118", b"12 C ref DEV-118", b"2 C", b"2 case DEV-118", b"2 looks like C DEV-118"):
        assert not stands_in(given, tuple(texts(text)))


def texts(content: bytes) -> list[str]:
    """The bytes as text, decoded in every way that a mail may be, blanks of all kinds as one."""
    found = [content, quopri.decodestring(content)]
    for part in message_from_bytes(content).walk():
        payload = part.get_payload(decode=True)
        found += [payload] if isinstance(payload, bytes) else []
    charsets = ("utf-8", "cp1252", "utf-16")
    return [flat(each.decode(charset, "replace")) for each in dict.fromkeys(found) for charset in charsets]


def flat(text: str) -> str:
    """As it is compared: plain width, small letters, without quotation marks, on one line."""
    signs = unicodedata.normalize("NFKC", text)
    plain = "".join(each for each in signs if each in "\n\r\t" or unicodedata.category(each)[0] != "C")
    return " ".join(re.sub(r"[>|*]", " ", plain).lower().split())


def from_json(content: bytes) -> list[str]:
    """An answer file's answers as lines, if it is one."""
    found = []
    for text in texts(content):
        start = text.find("{")
        try:
            data, _ = json.JSONDecoder(strict=False).raw_decode(text, max(start, 0))
            answers = data["answers"]
        except (ValueError, KeyError, TypeError, RecursionError):
            continue
        for each in answers:
            found.append(flat(f"{each.get('number')} {each.get('letter') or each.get('words')} {json.dumps(each)}"))
    return found


def originals(sent: Sent) -> list[tuple[str, bytes]]:
    """Mails, texts and files that are taken as they are."""
    text = "Hello,\n1 C qty 500 ref DEV-118 because hidden once built in\n2 A\n3 B\n4 the flange\n\nRegards\nR. R."
    ours = "\n".join(f"> {line}" for line in our_mail(sent.code).splitlines())
    file = sent.file(
        {"number": 1, "letter": "D", "findings": ["7K3F"], "comment": "polish the gate"},
        {"number": 2, "letter": "A", "findings": ["7K3G"]},
        {"number": 4, "words": "the flange"},
        questions=[{"question": "Which resin?"}],
    ).read_bytes()  # fmt: skip
    found = [(".json", file), (".txt", f"{sent.code}\n{text}\nAnswered by: {MAY_LITTLE}".encode())]
    for encoding in ("8bit", "quoted-printable", "base64"):
        made = sent.mail("")
        made.set_content(f"{text}\n\nOn 4 March, M. V. wrote:\n{ours}\n", cte=encoding)
        found.append((".eml", made.as_bytes()))
    made = sent.mail("see the file\n2 A\n")
    made.add_attachment(file, "application", "json", filename="../../../etc/answers.json")
    made.add_attachment(b"PK\x03\x04", "application", "zip", filename="..\\..\\a.zip")
    return [*found, (".eml", made.as_bytes()), (".txt", b"see below\n" + file)]


PIECES = (
    *(b"1 A", b"2 B", b"A", b"C", b"?", b"9", b"\0", b"\xff\xfe", b">", b"> ", b"\n", b"\r\n", b"\n-- \n", b"{", b'"'),
    *(b"[", b"=?utf-8?b?", b"Content-Transfer-Encoding: base64\n", b"Content-Type: text/html\n", b"charset=utf-7"),
    *(b"--", b"boundary=a", b"format=flowed", b"<script>2 B</script>", b"../", b" or ", b" not ", b" if ", b"|"),
    *(b"\\ud800", b"From: X <x@y.example>\n", b"-----Original Message-----\n", b" except 7K3F", b" qty 7", b"%PDF"),
    *(each.encode() for each in ("\uff12", "\uff22", "\u202e", "\u00a0")),
)


def mutated(content: bytes, chance: random.Random) -> bytes:
    """A few changes of bytes, pieces, lines."""
    for _ in range(chance.randint(0, 4)):
        if not content:
            break
        at = chance.randrange(len(content))
        end = min(len(content), at + chance.choice((1, 1, 2, 5, 40)))
        match chance.randrange(7):
            case 0:
                content = content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
            case 1:
                content = content[:at] + content[end:]
            case 2:
                content = content[:end] + content[at:]
            case 3 | 4:
                content = content[:at] + chance.choice(PIECES) + content[at:]
            case 5:
                lines = content.split(b"\n")
                one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
                lines[one], lines[other] = lines[other], lines[one]
                content = b"\n".join(lines)
            case _:
                content = content[: max(at, len(content) // 2)]
    if chance.random() < 0.03:
        content = chance.choice((b"PK\x03\x04", b"<html>", b"%PDF", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")) + content
    return content
