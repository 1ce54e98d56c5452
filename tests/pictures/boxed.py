"""Takes a small file of the ISO base media file format apart into boxes and puts it together again."""

import struct
from typing import Any

Tree = list[tuple[bytes, Any]]
"""Name and content of each box; the content of those that hold others is such a list."""

_HOLD = {b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts", b"udta"}


def boxes(data: bytes) -> Tree:
    """All boxes; places within the file are told in some of them, so that only what follows its frames may grow."""
    found: Tree = []
    while data:
        size, name = struct.unpack_from(">I4s", data)
        content = data[8:size]
        found.append((name, boxes(content) if name in _HOLD else content))
        data = data[size:]
    return found


def built(tree: Tree) -> bytes:
    """The file of such boxes."""
    parts = ((name, built(content) if isinstance(content, list) else content) for name, content in tree)
    return b"".join(struct.pack(">I", 8 + len(content)) + name + content for name, content in parts)


def inside(tree: Tree, *names: bytes) -> Any:
    """What the first box of that name holds, or that in it."""
    content = next(content for name, content in tree if name == names[0])
    return inside(content, *names[1:]) if names[1:] else content
