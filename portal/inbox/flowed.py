"""Text in the flowed format (RFC 3676): soft line ends are taken out, what was stuffed or quoted is told apart."""

from collections.abc import Iterator


def unflow(text: str, *, without_blank: bool = False) -> str:
    """The text with each paragraph on one line; quotation as `>` marks.

    `without_blank` is the parameter `delsp=yes`: the blank that marks a soft line end is no blank of the text.
    """
    return "\n".join(_lines(text, without_blank=without_blank))


def _lines(text: str, *, without_blank: bool) -> Iterator[str]:
    held: list[str] = []
    at_depth = 0
    for line in text.replace("\r\n", "\n").split("\n"):
        depth, words = _cut(line)
        if held and (depth != at_depth or words == "-- "):
            yield _line(at_depth, "".join(held))
            held = []
        at_depth = depth
        is_soft = words.endswith(" ") and words != "-- "
        held.append(words[:-1] if is_soft and without_blank else words)
        if not is_soft:
            yield _line(at_depth, "".join(held))
            held = []
    if held:
        yield _line(at_depth, "".join(held))


def _cut(line: str) -> tuple[int, str]:
    """How deep a line is quoted (section 4.5), and its words without the stuffed blank (section 4.4)."""
    words = line.lstrip(">")
    return len(line) - len(words), words.removeprefix(" ")


def _line(depth: int, words: str) -> str:
    return f"{'>' * depth} {words}" if depth else words
