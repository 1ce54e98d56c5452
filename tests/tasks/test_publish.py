"""What is written to a site's folder: only what isn't there already, byte for byte, however large a page is."""

from pathlib import Path

import pytest

from portal.site.inputs import Page
from portal.site.paper import Paper, Writing
from portal.tasks.drawn import Drawn
from portal.tasks.publish import Writer


@pytest.mark.parametrize("at", [0, 300_000, 799_999])
def test_a_large_page_of_the_same_size_is_written_where_one_byte_differs(at: int, tmp_path: Path) -> None:
    """At its start, in its middle, at its end; and not where none does."""
    body = bytes(range(250)) * 3200
    (tmp_path / "page.html").write_bytes(body)
    same = Writer(tmp_path, None, coming=b"", left=Drawn())
    same.write(Page("page.html", Paper(body)))
    assert same.changed == 0
    other = bytearray(body)
    other[at] ^= 1
    writer = Writer(tmp_path, None, coming=b"", left=Drawn())
    writer.write(Page("page.html", Paper(bytes(other))))
    writer.publish()
    assert writer.changed == 1 and (tmp_path / "page.html").read_bytes() == other


def test_a_page_of_nothing_is_the_same_as_one(tmp_path: Path) -> None:
    """No part of it differs."""
    (tmp_path / "page.html").touch()
    writer = Writer(tmp_path, None, coming=b"", left=Drawn())
    writer.write(Page("page.html", Paper()))
    assert writer.changed == 0


def test_a_page_that_was_set_aside_goes_where_it_belongs_or_away(tmp_path: Path) -> None:
    """It is no longer beside the site; the same bytes are written once."""
    for changed in (1, 0):
        writer = Writer(tmp_path, None, coming=b"", left=Drawn())
        writing = Writing("page.html", writer.halves)
        writing.take(f"{number}\n" for number in range(60_000))
        paper = writing.done()
        assert paper.file is not None
        writer.write(Page("page.html", paper))
        writer.publish()
        assert writer.changed == changed and not paper.file.exists()
        assert (tmp_path / "page.html").read_text(encoding="utf-8").endswith("\n59999\n")
        writer.prune()
        assert [each.name for each in tmp_path.iterdir() if each.name.startswith(".")] == []


def test_pages_that_go_name_nothing_that_is_gone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever goes first: a build may be killed between any two of them."""
    old = {"assets/0123456789abcdef0123.jpg": b"pixels"}
    old |= {"pictures/a.html": b"assets/0123456789abcdef0123.jpg b.html", "pictures/b.html": b"a.html"}
    before = Writer(tmp_path, None, coming=b"coming", left=Drawn())
    for path, body in old.items():
        before.write(Page(path, Paper(body)))
    before.publish()
    unlink, gone = Path.unlink, list[str]()

    def seen(path: Path, missing_ok: bool = False) -> None:
        unlink(path, missing_ok)
        gone.append(path.name)
        for page in tmp_path.glob("pictures/*.html"):
            assert not any(name in page.read_text(encoding="utf-8") for name in gone), (page, gone)

    writer = Writer(tmp_path, None, coming=b"coming", left=Drawn())
    writer.publish()
    monkeypatch.setattr(Path, "unlink", seen)
    assert writer.prune()
    assert {path.rpartition("/")[2] for path in old} <= set(gone)
