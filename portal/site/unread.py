"""The page of a record that can't be read: which file and line, and no verdict."""

from dataclasses import dataclass

from portal.model.say import Say
from portal.problem import Problem
from portal.site.desk import Desk
from portal.site.sentlines import SentLine, sent_lines


@dataclass(frozen=True, slots=True)
class UnreadPage:
    """What such a page says."""

    title: Say
    name: str
    where: str
    problems: tuple[Problem, ...]
    sent: tuple[SentLine, ...]
    """Of a part: its reviews that went out, which stand for themselves."""


def unread_page(desk: Desk, kind: str, name: str) -> UnreadPage:
    """The page of a part or a trial that can't be read."""
    where = desk.site.catalogue.broken[kind, name]
    file = where.partition(":")[0]
    return UnreadPage(
        title=Say.of(f"unread.{kind.replace(' ', '-')}", name=name),
        name=name,
        where=where if desk.for_shop else "",
        problems=tuple(each for each in desk.site.problems if each.file == file) if desk.for_shop else (),
        sent=sent_lines(desk, name) if kind == "part" else (),
    )
