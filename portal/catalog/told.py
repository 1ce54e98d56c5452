"""Problems as they are told: each on one line, however long or odd what a file says."""

from portal.problem import Problem

LONGEST = 400
"""Letters of a message; a whole outline in it would help nobody."""


def told(
    file: str, line: int, path: tuple[str, ...], message: str, hint: str | None = None, *, warning: bool = False
) -> Problem:
    """A problem whose texts stand on one line and can be printed anywhere."""
    return Problem(
        file, line, one_line(".".join(path)), one_line(message), None if hint is None else one_line(hint), warning
    )


def one_line(text: str) -> str:
    """A text with plain blanks, without letters that don't print, and with its middle left out where it is long."""
    plain = "".join(letter if letter.isprintable() else " " for letter in " ".join(text.split()))
    if len(plain) <= LONGEST:
        return plain
    half = LONGEST // 2
    return f"{plain[:half]} … {plain[-half:]}"
