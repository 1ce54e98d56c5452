"""`portal receive`: what a customer sent back becomes one event of the part's log, or is kept aside with the reason.

The file is kept before the event is written: killed in between, receiving it again writes the event.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from portal.inbox.came import LARGEST_MAIL, Came, NotTaken, Refused
from portal.inbox.carrier import read_carrier
from portal.log import append, fold
from portal.log.reply import FREE_WORDS, read_reply
from portal.model.answer import Given, OwnQuestion, Unclear
from portal.model.clock import day_in, zone_of
from portal.model.event import About, Logged, check_code
from portal.model.reply import Reply
from portal.model.says import AnswersReceived, EventCorrected
from portal.model.shop import Reviewer
from portal.problem import PortalError
from portal.tasks.acting import reviewer
from portal.tasks.beside import beside
from portal.tasks.claims import Claim, claim_of
from portal.tasks.kept import Raw, keep, keep_aside, no_longer_aside, sent_text
from portal.tasks.picking import Aside, Desk, Found, found_for
from portal.tasks.screening import from_file, within_authority, within_reach
from portal.tasks.telling import counted, given_text, listed


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file."""

    name: str
    lines: tuple[str, ...]
    is_taken: bool
    """Whether it is on record now."""


def files_in(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """The files named, and those directly within folders that are named."""
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            found.extend(each for each in sorted(path.iterdir()) if each.is_file() and not each.name.startswith("."))
        elif path.is_file():
            found.append(path)
        else:
            raise PortalError(f"there is no file {path}", code=2)
    return tuple(found)


def receive(desk: Desk, path: Path) -> Outcome:
    """Take one file in."""
    try:
        with path.open("rb") as file:
            raw = Raw(path.name, file.read(LARGEST_MAIL + 1))
    except OSError as error:
        return Outcome(path.name, (f"refused: it can't be read: {error.strerror or error}",), is_taken=False)
    try:
        came = read_carrier(raw.name, raw.content)
        return _received(desk, raw, came, found_for(desk, came))
    except Refused as refused:
        return Outcome(raw.name, (f"refused: {refused}",), is_taken=False)
    except NotTaken as why:
        part = why.part if isinstance(why, Aside) else desk.only
        where = keep_aside(desk.root, part, raw, str(why))
        return Outcome(raw.name, (f"kept aside: {why}", f"it lies in {where}"), is_taken=False)
    except PortalError as error:
        told = (f"refused: {error}", *((error.hint,) if error.hint else ()))
        return Outcome(raw.name, told, is_taken=False)


def _received(desk: Desk, raw: Raw, came: Came, found: Found) -> Outcome:
    reply = _reply(came, found)
    try:
        claim, who = _who(desk, came, reply, found)
        if not (reply.answers or reply.questions or reply.unclear):
            raise NotTaken("there is no answer in it")
    except NotTaken as why:
        raise Aside(str(why), found.part.id) from None
    kinds = {each.ask: each.kind for each in found.asked.values()}
    reaching = within_reach(reply.answers, on=_sent_on(desk, found))
    screened = within_authority(reaching.answers, kinds, who, found.customer)
    before = _before(found, raw, who)
    if before is not None:
        no_longer_aside(desk.root, found.part.id, raw)
        day = day_in(before.event.at, zone_of(desk.gathered.catalogue.shop.time_zone)).isoformat()
        told = f"received before, on {day} (event {check_code(before.hash)}): nothing changed"
        return Outcome(raw.name, (told,), is_taken=True)
    says = AnswersReceived.model_validate(
        {
            "answered_by": claim.party,
            **({} if claim.reviewer and claim.party.name == who.name else {"accepted_as": who.name}),
            "raw": keep(desk.root, found.folder, raw),
            "answers": screened.answers,
            "questions": reply.questions,
            "unclear": (*screened.unclear, *reaching.unclear, *reply.unclear),
            **({"answered_at": at} if (at := _answered_at(came)) else {}),
        }
    )
    log, _ = desk.opened.pop(found.part.id)
    about = About.model_validate(
        {"review": found.review.digest, **({"trial": found.review.trial} if found.review.trial else {})}
    )
    logged = append(log, says, about=about, by=desk.by, via=came.via)
    no_longer_aside(desk.root, found.part.id, raw)
    stands = beside(fold(found.part.id, log.events), found.review, logged)
    return Outcome(raw.name, (*_told(desk, found, claim, says, logged), *stands), is_taken=True)


def _sent_on(desk: Desk, found: Found) -> date:
    """The shop's day on which the review was sent: the same whenever an answer is received."""
    return day_in(found.review.sent_at, zone_of(desk.gathered.catalogue.shop.time_zone))


def _before(found: Found, raw: Raw, who: Reviewer) -> Logged | None:
    """The event by which these bytes are on record already, from the same person."""
    for each in found.state.events:
        says = each.event.says
        if isinstance(says, AnswersReceived):
            same = (says.raw.sha256, each.event.about.review) == (raw.sha256, found.review.digest)
            if same and says.decider.name == who.name:
                _refuse_taken_back(found, each, who)
                return each
    return None


def _refuse_taken_back(found: Found, earlier: Logged, who: Reviewer) -> None:
    """The customer said that this very answer isn't theirs; it doesn't come back by being received once more."""
    correction = found.state.get(found.state.corrected.get(earlier.hash, ""))
    if correction is not None and isinstance(correction.event.says, EventCorrected):
        code = check_code(correction.hash)
        told = f"it was taken back as not {who.name}'s (event {code}): {correction.event.says.why}"
        raise Aside(told, found.part.id)


def _answered_at(came: Came) -> str | None:
    return (came.file.answered_at if came.file else None) or came.date or None


def _who(desk: Desk, came: Came, reply: Reply, found: Found) -> tuple[Claim, Reviewer]:
    claim = claim_of(came, reply.answered_by, found.customer, desk.gathered.catalogue)
    if desk.accept_as is None:
        if claim.reviewer is None:
            raise NotTaken(f"{claim.doubt}; `--accept-as REVIEWER` takes it for one of theirs")
        return claim, claim.reviewer
    wanted = reviewer(found.customer, desk.accept_as)
    if claim.reviewer is not None and claim.reviewer != wanted:
        raise PortalError(f"it was answered by {claim.reviewer.name}, who is a reviewer, not by {wanted.name}")
    return claim, wanted


def _reply(came: Came, found: Found) -> Reply:
    """All that it says: the answer file before the text."""
    names = [each.name for each in found.customer.reviewers]
    sent = sent_text(found.folder, found.state.get(found.review.event))
    text = read_reply(came.text, found.asked, sent=sent, names=names)
    left = tuple(Unclear(text=each.name, reason=each.why) for each in came.left)
    if came.file is None:
        return Reply(text.answers, text.questions, (*text.unclear, *left), text.answered_by)
    free = [each.text for each in text.unclear if each.reason == FREE_WORDS]
    screened = from_file(came.file.answers, found.asked, beside=free)
    in_text, doubts = _beside(text, came.file.answers)
    questions: tuple[OwnQuestion, ...] = (*came.file.questions, *text.questions)
    unclear = (*screened.unclear, *doubts, *text.unclear, *left)
    return Reply((*screened.answers, *in_text), questions, unclear, text.answered_by)


def _beside(text: Reply, in_file: tuple[Given, ...]) -> tuple[tuple[Given, ...], tuple[Unclear, ...]]:
    """Answers in the text that the file doesn't give, and those that say otherwise than the file."""
    letters = {(each.number, each.letter) for each in in_file}
    numbers = {each.number for each in in_file}
    beside = tuple(each for each in text.answers if each.number not in numbers)
    doubts = tuple(
        Unclear(
            text=f"{each.number} {given_text(each)}"[:20_000],
            reason="the answer file that came with it says otherwise, and counts",
            **({} if each.number is None else {"number": each.number}),
        )
        for each in text.answers
        if each.number in numbers and (each.number, each.letter) not in letters
    )
    return beside, doubts


def _told(desk: Desk, found: Found, claim: Claim, says: AnswersReceived, logged: Logged) -> Iterator[str]:
    """What changed, in sentences."""
    taken = f" (taken for {says.accepted_as})" if says.accepted_as else ""
    review = f"review {found.review.number} ({found.review.code}) of {found.part.id}"
    yield f"{review}, answered by {says.answered_by.name}{taken}: {_counts(says)} (event {check_code(logged.hash)})"
    for given in says.answers:
        yield f"question {given.number}: {given_text(given)}"
        lacks = given.concession.missing() if given.concession else ("justification", "scope", "reference")
        if given.letter == "C" and lacks:
            yield f"question {given.number}: the concession lacks its {listed(lacks)}"
    yield from (f"asked back: {each.question}" for each in says.questions)
    yield from (f"unclear: {each.text} ({each.reason})" for each in says.unclear)
    yield from _changed(desk, found, says)


def _counts(says: AnswersReceived) -> str:
    parts = [counted(len(says.answers), "answer")]
    if says.questions:
        parts.append(counted(len(says.questions), "question"))
    if says.unclear:
        parts.append(f"{len(says.unclear)} unclear")
    return listed(parts)


def _changed(desk: Desk, found: Found, says: AnswersReceived) -> Iterator[str]:
    """Findings that are no longer what the review showed: the answer stands as given, and they are asked again."""
    bound = dict.fromkeys(each for given in says.answers for each in given.findings)
    for each in bound:
        today = desk.bases.get((found.part.id, each.finding))
        if today is None:
            yield f"{each.finding} is no longer in the catalogue: the answer is kept as given"
        elif each.basis is not None and today != each.basis:
            yield f"{each.finding} changed since it was shown: the answer is kept as given, ask again"
