"""A review of the judged catalogue as it was sent, with the mail that it went out in, and replies to it.

Question 1 asks about 7K3F (does not conform), 2 about 7K3G (undecided), 3 about 7K3H (nothing agreed), 4 takes words.
"""

import json
from dataclasses import dataclass
from email.message import EmailMessage
from pathlib import Path

from portal.log.form import hash_of
from portal.model.event import About, check_code
from portal.model.logstate import LogState
from portal.model.reply import begin_mark, end_mark
from portal.model.says import AskSent, Recipient, ReviewSent
from portal.tasks import ask as asking
from tests.tasks.judged import MAY_ALL, PART, TRIAL_NAME, judged_catalogue, opened

MAIL = "r.reviewer@vellorin.example"


@dataclass(frozen=True)
class Sent:
    """A catalogue from which a review was sent."""

    folder: Path
    digest: str

    @property
    def code(self) -> str:
        """The review's check code."""
        return check_code(self.digest)

    @property
    def reviews(self) -> Path:
        """Where reviews are kept."""
        return self.folder / "parts" / PART / "reviews"

    @property
    def store(self) -> Path:
        """The review's folder."""
        return self.reviews / f"T1-{self.code}"

    def state(self) -> LogState:
        """What the part's log comes to."""
        return opened(self.folder).state

    def mail(self, text: str, *, by: str = f"{MAY_ALL} <{MAIL}>", subject: str | None = None) -> EmailMessage:
        """A reply."""
        made = EmailMessage()
        made["From"] = by
        made["Subject"] = f"Re: P-0001 trial T1 [{self.code}]" if subject is None else subject
        made.set_content(text)
        return made

    def reply(self, text: str, *, by: str = f"{MAY_ALL} <{MAIL}>", name: str = "reply.eml") -> Path:
        """A reply as a saved mail."""
        path = self.folder.parent / name
        path.write_bytes(self.mail(text, by=by).as_bytes())
        return path

    def file(self, *answers: dict[str, object], by: str = MAY_ALL, name: str = "answers.json", **more: object) -> Path:
        """An answer file; each answer's `ask` and bases are filled in where it doesn't give them."""
        review = self.state().reviews[self.digest]
        shown = {each.finding: each.basis for ask in self.asks() for each in ask.findings}
        filled = []
        for each in answers:
            findings = [{"finding": one, "basis": shown.get(one)} if isinstance(one, str) else one
                        for one in as_list(each.get("findings", []))]  # fmt: skip
            ask = review.ask_of(int(str(each.get("number", 0)))) or "0" * 64
            filled.append({"ask": ask, **each, "findings": findings})
        data = {"format": 1, "answers_to": self.digest, "code": self.code, "answered_by": {"name": by},
                "answers": filled, **more}  # fmt: skip
        path = self.folder.parent / name
        path.write_text(json.dumps(data), encoding="utf-8")
        return path

    def asks(self) -> tuple[AskSent, ...]:
        """The asks as they were sent."""
        state = self.state()
        logged = state.get(state.reviews[self.digest].event)
        assert logged is not None
        assert isinstance(logged.event.says, ReviewSent)
        return logged.event.says.asks


def as_list(value: object) -> list[object]:
    """A list of what may be one."""
    return list(value) if isinstance(value, list | tuple) else [value]


def sent_review(folder: Path, *, shown: bytes = b'{"review":1}') -> Sent:
    """Write the catalogue, ask four questions, send them."""
    judged_catalogue(folder)
    part = opened(folder)
    wanted = [asking.Wanted(question="What becomes of it?", findings=(id_,)) for id_ in ("7K3F", "7K3G", "7K3H")]
    asks = [asking.ask(part, each) for each in (*wanted, asking.Wanted(question="Which face is bonded?", trial="T1"))]
    return send(folder, [each.hash for each in asks], shown=shown)


def send(folder: Path, asks: list[str], *, shown: bytes) -> Sent:
    """Send a review with those asks."""
    part = opened(folder)
    sent = Sent(folder, hash_of(shown))
    (sent.store / "carriers").mkdir(parents=True)
    (sent.store / "shown.json").write_bytes(shown)
    (sent.store / "carriers/mail.txt").write_text(our_mail(sent.code), encoding="utf-8")
    found = [part.event(each) for each in asks]
    numbered = tuple(
        AskSent(number=number, ask=each.hash, findings=part.bound(dict.fromkeys(each.event.findings())))
        for number, each in enumerate(found, start=1)
    )
    number = part.state.next_number()
    says = ReviewSent(number=number, digest=sent.digest, to=(Recipient(name=MAY_ALL),), asks=numbered)
    part.write(says, About(trial=TRIAL_NAME))
    return sent


def our_mail(code: str) -> str:
    """What we sent."""
    return "\n".join(
        [
            begin_mark(code),
            "Question 1: speck 7K3F on cavity 1, see also",
            "4 A and 4 B of the drawing.",
            "[C] concession   [D] rework   [B] not accepted",
            "Reply with a number and a letter, such as (1 D).",
            end_mark(code),
            "",
        ]
    )
