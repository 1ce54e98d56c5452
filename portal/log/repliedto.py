"""To which of several reviews that a mail names it is a reply: a thread quotes earlier ones below."""

from collections.abc import Callable, Collection

from portal.log.quoting import Whose, lines_of
from portal.model.reply import read_mark


def replied_to(subject: Collection[str], text: str, *, codes_in: Callable[[str], Collection[str]]) -> str | None:
    """The check code of that review; None where it isn't plain.

    Plain is: the subject names it alone, our mail that is quoted first is its, and the words of the one who answers
    name no other.
    """
    if len(subject) != 1:
        return None
    (code,) = subject
    lines = lines_of(text)
    marks = [mark.code for line in lines if (mark := read_mark(line.plain)) is not None]
    own = {each for line in lines if line.whose in {Whose.OWN, Whose.SIGNATURE} for each in codes_in(line.text)}
    return code if marks[:1] == [code] and own <= {code} else None
