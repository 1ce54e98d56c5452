"""Pieces of files that are read ahead are those that stand there."""

import random
from pathlib import Path

import pytest

from portal.tasks.ahead import Ahead


def test_every_piece_is_what_stands_there(tmp_path: Path) -> None:
    """In order and out of it, of two files in turns, also longer than what is read at once and past the end."""
    chance = random.Random(5)
    files = {tmp_path / name: chance.randbytes(1000) for name in ("a", "b")}
    for path, content in files.items():
        path.write_bytes(content)
    reader = Ahead(50)
    places = [(at, 30) for at in range(0, 900, 30)]
    places += [(chance.randrange(990), chance.randrange(200)) for _ in range(300)]
    for at, length in places:
        for path, content in list(files.items())[: 1 if at % 60 else 2]:
            assert reader.piece(path, at, length) == content[at : at + length]


def test_pieces_in_a_row_are_read_at_once(tmp_path: Path) -> None:
    """What was read ahead is given though the file is gone; what wasn't is missed."""
    path = tmp_path / "a"
    path.write_bytes(bytes(range(200)))
    reader = Ahead(100)
    reader.piece(path, 0, 10)
    path.unlink()
    assert reader.piece(path, 90, 10) == bytes(range(90, 100))
    with pytest.raises(OSError):
        reader.piece(path, 95, 10)
