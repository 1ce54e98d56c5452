"""Print the n-th shell block of the README's section `Two commands`."""

import re
import sys
from pathlib import Path


def command(readme: str, number: int) -> str:
    """The n-th block fenced as `sh` in that section, counted from 1."""
    section = re.search(r"^## Two commands$(.*?)(?=^## |\Z)", readme, re.MULTILINE | re.DOTALL)
    if section is None:
        raise SystemExit("README.md has no section `Two commands`")
    blocks: list[str] = re.findall(r"^```sh\n(.*?)^```$", section.group(1), re.MULTILINE | re.DOTALL)
    return blocks[number - 1].strip()


if __name__ == "__main__":
    print(command((Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8"), int(sys.argv[1])))
