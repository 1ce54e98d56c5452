"""`portal ask`: one thing is asked of the customer, about findings, a picture, a spot, or a trial."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from portal.model.answer import AskKind
from portal.model.event import About, Logged, check_code
from portal.model.says import QuestionAsked
from portal.model.slug import natural
from portal.problem import PortalError
from portal.tasks.acting import reviewer
from portal.tasks.kinds import fitting
from portal.tasks.opened import Opened, day, trial_name
from portal.tasks.pointed import picture_of, spot_of

Confirm = Callable[[str], bool]
"""Asked on a terminal whether a doubtful question is to be asked as it is."""


@dataclass(frozen=True)
class Wanted:
    """An ask as somebody typed it."""

    question: str | None = None
    findings: tuple[str, ...] = ()
    picture: str | None = None
    spot: str | None = None
    trial: str | None = None
    owed_by: tuple[str, ...] = ()
    due: str | None = None
    kind: str | None = None
    names: int | None = None
    follows: str | None = None


def ask(opened: Opened, wanted: Wanted, *, confirm: Confirm | None = None) -> Logged:
    """Record one ask; a question that seems to ask two things is refused unless `confirm` says that it stands."""
    question = (wanted.question or "").strip()
    if not question:
        raise PortalError("nothing is asked", hint='add `--question "…"`, or `--proposed`', code=2)
    findings = tuple(dict.fromkeys(wanted.findings))
    about = _about(opened, wanted, findings)
    follows = opened.ask(wanted.follows).hash if wanted.follows else None
    assessed = [opened.finding(each)[1] for each in findings]
    kind = fitting(wanted.kind, assessed)
    _refuse_twice(opened, findings, kind, follows)
    says = QuestionAsked(
        asks=kind,
        question=question,
        offers=kind.offers,
        findings=opened.bound(findings),
        cavities=_cavities(each.cavity for each in assessed),
        **terms(opened, wanted),
        **({"follows": follows} if follows else {}),
    )
    _query(question, confirm)
    return opened.write(says, about)


def doubts(question: str) -> tuple[str, ...]:
    """Why a question may ask more than one thing."""
    found = []
    if len(re.findall(r"[?？]", question)) > 1:
        found.append("it has more than one question mark")
    word = re.search(r"\s(and|und)\s", question, re.IGNORECASE)
    if word:
        found.append(f"it says `{word[1]}`")
    return tuple(found)


def _query(question: str, confirm: Confirm | None) -> None:
    why = doubts(question)
    if not why:
        return
    doubt = f"this may ask two things ({', '.join(why)}), and an answer is to one"
    if confirm is None:
        raise PortalError(doubt, hint="ask twice, or add `--as-it-is` if it is one thing")
    if not confirm(doubt):
        raise PortalError("nothing was asked", hint="ask each thing by itself")


def _refuse_twice(opened: Opened, findings: tuple[str, ...], kind: AskKind, follows: str | None) -> None:
    """Nothing is asked twice; in words, something else may be asked about the same finding."""
    for each in opened.state.open_asks():
        twice = [finding for finding in findings if finding in each.findings]
        if twice and each.kind is kind is not AskKind.QUESTION and each.hash != follows:
            code = check_code(each.hash)
            hint = f"take that up again with `--follows {code}`, or ask in words with `--kind question`"
            raise PortalError(f"{twice[0]} is asked about already, in ask {code}", hint=hint)


def _about(opened: Opened, wanted: Wanted, findings: tuple[str, ...]) -> About:
    if wanted.spot and not wanted.picture:
        raise PortalError("a spot lies on a picture", hint="add `--picture FILE`", code=2)
    trial = trial_name(opened.trial(wanted.trial)) if wanted.trial else None
    of_findings = opened.trial_of(findings) if findings else None
    found = picture_of(opened, wanted.picture) if wanted.picture else None
    of_picture, picture = found or (None, None)
    trials = dict.fromkeys(each for each in (trial, of_findings, of_picture) if each)
    if not trials:
        hint = "add `--finding ID`, `--picture FILE` or `--trial MOULD/T`"
        raise PortalError("it isn't said what is asked about", hint=hint, code=2)
    if len(trials) > 1:
        raise PortalError(f"these belong to several trials: {', '.join(trials)}", hint="one trial at a time", code=2)
    given = {"picture": picture.file} if picture else {}
    if picture and wanted.spot:
        given["spot"] = spot_of(opened, picture, wanted.spot)
    if len(findings) == 1:
        given["finding"] = findings[0]
    return About(trial=next(iter(trials)), **given)


def terms(opened: Opened, wanted: Wanted) -> dict[str, object]:
    """Who owes the answer by when, and how many names it takes."""
    customer = opened.customer()
    owed_by = tuple(dict.fromkeys(reviewer(customer, each).name for each in wanted.owed_by))
    names = tuple(each.name for each in customer.reviewers)
    needed = customer.names_needed if wanted.names is None else wanted.names
    if needed < customer.names_needed:
        hint = "leave out `--names`"
        raise PortalError(f"{customer.name} asks for {customer.names_needed} names", hint=hint)
    if needed > len(owed_by or names):
        hint = "name more with `--owed-by`, or ask for fewer with `--names`"
        raise PortalError(f"{needed} names are needed, and {len(owed_by or names)} would answer", hint=hint)
    due = {"due": _due(opened, wanted.due)} if wanted.due else {}
    return {"owed_by": owed_by or names, "names_needed": needed, **due}


def _due(opened: Opened, text: str) -> str:
    due: date = day(text, "--due")
    if due < opened.today:
        raise PortalError(f"`--due {text}` is past", hint=f"today is {opened.today}", code=2)
    return due.isoformat()


def _cavities(marks: Iterable[str | None]) -> tuple[str, ...]:
    return tuple(sorted({each for each in marks if each is not None}, key=natural))
