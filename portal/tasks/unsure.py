"""Files that the next build looks at again though they are as they were: what they gave may have had other reasons.

One couldn't be opened, and its rights tell nothing of when they were changed; one was given up, and the machine was
busy or its memory full.
"""

from collections.abc import Iterable, Iterator, Mapping

from portal.model.picture import Facts, PictureUnreadable
from portal.problem import Problem

_UNREAD = "can't be read: "
"""How a problem with a text begins that the system didn't give."""


def unsure(problems: Iterable[Problem], *pictures: Mapping[str, Facts]) -> Iterator[str]:
    """The files of which another try may come to something else."""
    yield from (each.file for each in problems if each.message.startswith(_UNREAD))
    for many in pictures:
        yield from (file for file, each in many.items() if isinstance(each, PictureUnreadable) and each.may_pass)
