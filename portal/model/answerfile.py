"""The answer file that our form saves: one reviewer's answers to one review."""

from portal.model.answer import Given, OwnQuestion
from portal.model.base import Record
from portal.model.event import check_code
from portal.model.scalars import Count, Sha256, Text

FORMAT = 1


class AnsweredBy(Record):
    """Who answered, as it was typed: a claim."""

    name: Text
    organisation: Text | None = None
    role: Text | None = None


class AnswerFile(Record):
    """`answers-<code>.json`. `format` and `answers_to` stand first, so that it is known again within a mail's text."""

    format: Count
    answers_to: Sha256
    """The review's digest."""
    code: Text | None = None
    """Its check code, which a person can compare."""
    language: Text | None = None
    answered_by: AnsweredBy
    answered_at: Text | None = None
    answers: tuple[Given, ...] = ()
    questions: tuple[OwnQuestion, ...] = ()

    @property
    def code_fits(self) -> bool:
        """Whether the check code, where it is given, is that of the digest."""
        return self.code is None or self.code.strip().lower() == check_code(self.answers_to)
