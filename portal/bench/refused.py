"""What the bench refuses, as a key with its values: said in the language of the page that asked."""

from collections.abc import Iterable

from portal.model.picture import PictureUnreadable
from portal.model.say import Value
from portal.problem import PortalError, Problem
from portal.site.words import Speaker

_MARKS = str.maketrans("", "", "\u2068\u2069")
"""Marks of direction: a refusal goes into the page as text of its own."""


class Refused(PortalError):
    """A refusal: its sentence, and what to do, by their keys."""

    fields: tuple[tuple[str, str], ...] = ()
    """What is wrong with each field of what was sent, by its path."""

    def __init__(self, key: str, *, hint: str | None = None, problems: Iterable[Problem] = (), **values: Value) -> None:
        self._keys = (key, hint)
        self._values = values
        said, to_do = self.said(Speaker("en", "mm", lambda defect: defect))
        super().__init__(said, hint=to_do or None, problems=problems)

    def said(self, speaker: Speaker) -> tuple[str, str]:
        """The sentence and the hint; an empty hint is none."""
        said, hint = (speaker.text(key, **self._values).translate(_MARKS) if key else "" for key in self._keys)
        return said, hint


def unreadable(found: PictureUnreadable, picture: str = "") -> Refused:
    """A picture that can't be shown, with the reason and the hint that its reader gives."""
    key = "refused.not_shown" if picture else "refused.unreadable"
    hint = "refused.text" if found.hint else None
    return Refused(key, hint=hint, picture=picture, why=found.reason, text=found.hint or "")


def unwritable(problems: tuple[Problem, ...]) -> Refused:
    """What the catalogue's own reader wouldn't take."""
    what = "; ".join(f"{each.field}: {each.message}" if each.field else each.message for each in problems)
    return Refused("refused.written", what=what, problems=problems)
