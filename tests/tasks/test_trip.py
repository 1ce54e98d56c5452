"""A review that was packed comes back answered: whatever a mail program makes of our mail, our text is no answer."""

import shutil
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest

from portal.log.answerline import begins_as_answer
from portal.log.typed import bare, plain
from portal.model.logstate import AskStatus, ReviewState
from portal.model.reply import WIDTH
from portal.model.terms import Answer
from tests.log.asking import quoted
from tests.outside.mails import HEAD, WROTE, wrap
from tests.tasks.judged import INSPECTOR, MAY_ALL, PART, opened
from tests.tasks.packing import carriers, pack, ready_catalogue
from tests.tasks.sent import MAIL
from tests.tasks.typed import typed


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue from which a review was sent, made once."""
    folder = ready_catalogue(tmp_path_factory.mktemp("trip") / "c")
    packed = pack(folder)
    assert packed.code == 0, packed.err
    return folder


@pytest.fixture
def folder(once: Path, tmp_path: Path) -> Path:
    """A copy of it for each test."""
    shutil.copytree(once, tmp_path / "c")
    return tmp_path / "c"


def review(folder: Path) -> ReviewState:
    """The only review."""
    (found,) = opened(folder).state.reviews.values()
    return found


def our_mail(folder: Path) -> tuple[str, str]:
    """Subject and text of the mail as it went out."""
    (content,) = [each for name, each in carriers(folder).items() if name.endswith(".eml")]
    mail = message_from_bytes(content, policy=default)
    body = mail.get_body(("plain",))
    assert body is not None
    return str(mail["Subject"]), body.get_content()


def reply(folder: Path, text: str) -> str:
    """Take in a reply; what the command printed."""
    path = folder.parent / "reply.txt"
    path.write_text(f"From: {MAY_ALL} <{MAIL}>\nSubject: Re: {our_mail(folder)[0]}\n\n{text}\n", encoding="utf-8")
    came = typed("receive", folder, path, "--by", INSPECTOR)
    assert came.code == 0, came.out + came.err
    return came.out


def some_letters(folder: Path) -> dict[int, str]:
    """For each question of the review a letter that it offers."""
    state = opened(folder).state
    sent = review(folder)
    known = (Answer.OUTSIDE, Answer.QUESTION_BACK)
    return {
        number: str(next(letter for letter in state.asks[ask].offers if letter in known))
        for number, ask in zip(sent.numbers, sent.asks, strict=True)
    }


def test_no_line_of_our_mail_begins_as_an_answer_does(once: Path) -> None:
    """And none is so long that a program would wrap it."""
    lines = our_mail(once)[1].splitlines()
    assert len(lines) > 10
    assert [line for line in lines if begins_as_answer(bare(plain(line)))] == []
    assert max(map(len, lines)) <= WIDTH


@pytest.mark.parametrize("without_carriers", [False, True])
@pytest.mark.parametrize("how", ["marks", "marks, wrapped at 40", "a head", "below"])
def test_answers_beside_our_quoted_mail_are_taken_and_nothing_else(
    folder: Path, how: str, without_carriers: bool
) -> None:
    """Also where the carriers were deleted: what we sent is made again from the store."""
    ours, letters = our_mail(folder)[1], some_letters(folder)
    answers = "\n".join(f"{number} {letter}" for number, letter in letters.items())
    forms = {
        "marks": f"{answers}\n\n{WROTE}\n{quoted(ours)}",
        "marks, wrapped at 40": f"{answers}\n\n{WROTE}\n{quoted(narrow(ours))}",
        "a head": f"{answers}\n\n{HEAD}{ours}",
        "below": f"{HEAD}{ours}\n\n{answers}",
    }
    if without_carriers:
        for path in folder.glob(f"parts/{PART}/reviews/*/carriers"):
            shutil.rmtree(path)
        text = forms[how]
        path = folder.parent / "reply.txt"
        path.write_text(f"From: {MAY_ALL} <{MAIL}>\n\n{text}\n", encoding="utf-8")
        assert typed("receive", folder, path, "--by", INSPECTOR).code == 0
    else:
        reply(folder, forms[how])
    (came,) = review(folder).received
    assert {each.number: str(each.letter) for each in came.answers} == letters
    assert came.unclear == ()
    state = opened(folder).state
    assert {state.asks[ask].status for ask in review(folder).asks} == {AskStatus.ANSWERED}


def test_an_answer_typed_into_our_quoted_mail_is_taken(folder: Path) -> None:
    """Below its question, with quotation marks before it as some programs leave them."""
    letters = some_letters(folder)
    lines = []
    for line in our_mail(folder)[1].splitlines():
        lines.append(line)
        for number, letter in letters.items():
            if line.startswith(f"({number}) "):
                lines.append(f"{number} {letter}")
    reply(folder, f"see below\n\n{WROTE}\n{quoted(chr(10).join(lines))}")
    (came,) = review(folder).received
    assert {each.number: str(each.letter) for each in came.answers} == letters


def narrow(text: str) -> str:
    """Wrapped as a telephone does."""
    return "\n".join(wrap(line, "wrapped at 72") if len(line) < 40 else _cut(line) for line in text.splitlines())


def _cut(line: str) -> str:
    at = line.rfind(" ", 0, 40)
    return f"{line[:at]}\n{line[at + 1 :]}" if at > 0 else line
