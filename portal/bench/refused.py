"""What the bench refuses, as a key with its values: said in the language of the page that asked."""

from collections.abc import Iterable

from portal.bench.passedon import MARKS, passed_on
from portal.model.picture import PictureUnreadable
from portal.model.say import Value
from portal.problem import PortalError, Problem
from portal.site.words import Speaker

_PASSED_ON = ("why", "text")
"""Values in which a rule of another room says why, in its words."""


class Refused(PortalError):
    """A refusal: its sentence, and what to do, by their keys."""

    def __init__(
        self,
        key: str,
        *,
        hint: str | None = None,
        problems: Iterable[Problem] = (),
        fields: Iterable[tuple[str, str]] = (),
        **values: Value,
    ) -> None:
        self._keys = (key, hint)
        self._values = values
        self.key = key
        """By which a page knows a refusal after which there is something to do on it."""
        self.fields = tuple(fields)
        """What is wrong with each field of what was sent or would be written, by its path, in English."""
        said, to_do = self.said(Speaker("en", "mm", lambda defect: defect))
        super().__init__(said, hint=to_do or None, problems=problems)

    def said(self, speaker: Speaker) -> tuple[str, str]:
        """The sentence and the hint; an empty hint is none."""
        values = self._values | {
            name: passed_on(value, speaker)
            for name, value in self._values.items()
            if name in _PASSED_ON and isinstance(value, str)
        }
        if self.fields:
            values["what"] = in_one(self.fields_said(speaker))
        said, hint = (speaker.text(key, **values).translate(MARKS) if key else "" for key in self._keys)
        return said, hint

    def fields_said(self, speaker: Speaker) -> tuple[tuple[str, str], ...]:
        """The same as `fields`, in the speaker's language."""
        return tuple((path, passed_on(message, speaker)) for path, message in self.fields)


def unreadable(found: PictureUnreadable, picture: str = "") -> Refused:
    """A picture that can't be shown, with the reason and the hint that its reader gives."""
    key = "refused.not_shown" if picture else "refused.unreadable"
    hint = "refused.text" if found.hint else None
    return Refused(key, hint=hint, picture=picture, why=found.reason, text=found.hint or "")


def unwritable(problems: tuple[Problem, ...]) -> Refused:
    """What the catalogue's own reader wouldn't take."""
    fields = ((each.field, each.message) for each in problems)
    return Refused("refused.written", fields=fields, problems=problems)


def in_one(fields: Iterable[tuple[str, str]]) -> str:
    """What is wrong with fields, in one line."""
    return "; ".join(f"{path}: {message}" if path else message for path, message in fields)
