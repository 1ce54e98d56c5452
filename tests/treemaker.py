"""Writes a small real folder from a dict, so that tests read what a person would see."""

from collections.abc import Mapping
from pathlib import Path

Tree = Mapping[str, str | bytes]


def plant(root: Path, tree: Tree) -> Path:
    """Write each `path: content` below root (text as UTF-8) and return root."""
    for path, content in tree.items():
        file = root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content.encode() if isinstance(content, str) else content)
    root.mkdir(parents=True, exist_ok=True)
    return root
