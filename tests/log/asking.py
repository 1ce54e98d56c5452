"""Four questions of a review, one of each kind, and the mail in which we asked them."""

from portal.model.answer import AskKind, Bound
from portal.model.reply import Asked, begin_mark, end_mark, option_line
from portal.model.terms import Answer

CODE = "a94f0c31"
BASIS = "b" * 64


def asked(number: int, kind: AskKind, *findings: str) -> Asked:
    """One question."""
    shown = tuple(Bound(finding=each, basis=BASIS) for each in findings)
    return Asked(number, str(number) * 64, kind, kind.offers, shown)


ASKED = {
    1: asked(1, AskKind.UNDECIDED, "7K3F", "7K3G"),
    2: asked(2, AskKind.DOES_NOT_CONFORM, "6M3B"),
    3: asked(3, AskKind.NOT_AGREED, "2X7Q"),
    4: asked(4, AskKind.QUESTION),
}
SENT = "\n".join(
    [
        begin_mark(CODE),
        "Lens collar LC-0440, trial T2: four questions.",
        "",
        "Question 1: black specks 7K3F and 7K3G in zone B, 0.15 mm each.",
        option_line(Answer.INSIDE, "judged inside"),
        option_line(Answer.OUTSIDE, "judged outside"),
        "Question 2: gate vestige 6M3B, 0.41 mm against 0.30 mm on cavity",
        "2 A and 2 B of the drawing.",
        "Question 3: weld line 2X7Q. Agree a limit of 1.2 mm?",
        "Question 4: which face is bonded?",
        "Reply with the number of a question and a letter, such as (1 A).",
        end_mark(CODE),
    ]
)


def quoted(text: str, prefix: str = "> ") -> str:
    """A text as a mail program quotes it."""
    return "\n".join(f"{prefix}{line}".rstrip() for line in text.splitlines())
