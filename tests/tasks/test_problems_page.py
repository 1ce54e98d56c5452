"""The manual's list of problems is what the program can say, no more and no less."""

import re

from portal.resources import templates
from tests.sayings import sayings

PAGE = templates() / "manual/problems.md"
ROW = re.compile(r"\| (`+) ?(.+?) ?\1 \| (.+) \|")


def rows() -> list[tuple[str, str]]:
    """What it says, and what to do, row by row."""
    lines = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    found = [ROW.fullmatch(line) for line in lines if line not in ("| it says | what to do |", "| --- | --- |")]
    assert all(found)
    return [(each[2], each[3]) for each in found if each]


def test_everything_that_check_can_say_is_on_the_page() -> None:
    """Each message of the code has an example that it could have made."""
    examples = [example for example, _ in rows()]
    missing = [f"{each.where}: {each.text}" for each in sayings() if not any(map(each.fits, examples))]
    assert missing == []


def test_nothing_on_the_page_is_left_over() -> None:
    """An example that no message of the code can make any more goes."""
    assert [example for example, _ in rows() if not any(each.fits(example) for each in sayings())] == []


def test_every_example_stands_once_and_has_its_remedy() -> None:
    """In words, not only a repetition of the example."""
    examples = [example for example, _ in rows()]
    assert len(examples) == len(set(examples)) > 150
    assert all(len(remedy.split()) >= 2 and remedy != example for example, remedy in rows())
