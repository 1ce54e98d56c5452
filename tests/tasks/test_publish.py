"""What is written to a site's folder: only what isn't there already, byte for byte, however large a page is."""

from pathlib import Path

import pytest

from portal.tasks.publish import Writer


@pytest.mark.parametrize("at", [0, 300_000, 799_999])
def test_a_large_page_of_the_same_size_is_written_where_one_byte_differs(at: int, tmp_path: Path) -> None:
    """At its start, in its middle, at its end; and not where none does."""
    body = bytes(range(250)) * 3200
    (tmp_path / "page.html").write_bytes(body)
    same = Writer(tmp_path, None, coming=b"")
    same.write("page.html", body)
    assert same.changed == 0
    other = bytearray(body)
    other[at] ^= 1
    writer = Writer(tmp_path, None, coming=b"")
    writer.write("page.html", bytes(other))
    writer.publish()
    assert writer.changed == 1 and (tmp_path / "page.html").read_bytes() == other


def test_a_page_of_nothing_is_the_same_as_one(tmp_path: Path) -> None:
    """No part of it differs."""
    (tmp_path / "page.html").touch()
    writer = Writer(tmp_path, None, coming=b"")
    writer.write("page.html", b"")
    assert writer.changed == 0
