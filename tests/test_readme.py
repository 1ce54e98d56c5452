"""The README says what is true: its two commands, its pictures, its example."""

import re
from pathlib import Path

TOP = Path(__file__).parent.parent


def blocks() -> list[str]:
    """The shell blocks of the section `Two commands`."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    section = re.search(r"^## Two commands$(.*?)^## ", text, re.MULTILINE | re.DOTALL)
    assert section is not None
    return re.findall(r"^```sh\n(.*?)^```$", section.group(1), re.MULTILINE | re.DOTALL)


def test_there_are_two_commands_the_first_ends_in_the_demo_the_second_in_the_tests() -> None:
    """What the checks of the whole take out of the README and run."""
    first, second = blocks()
    assert first.strip().endswith("portal demo")
    assert "pytest" in second.splitlines()[-1]


def test_every_picture_and_page_that_the_readme_names_is_there() -> None:
    """No dead link for whoever reads it in a checkout."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    named = re.findall(r"\]\(([^)]+)\)", text) + re.findall(r"`(site_templates/[^`]+\.\w+|DEVELOPERS\.md)`", text)
    assert named
    assert [name for name in named if not (TOP / name).exists()] == []
