"""Derived files lie under names of their content, whole, and nothing that was half written is left beside them."""

from hashlib import sha256
from pathlib import Path

import pytest

from portal.pictures.store import half_written, keep, keep_file

CONTENT = b"pixels"
NAME = f"{sha256(CONTENT).hexdigest()[:20]}.jpg"


def test_a_file_is_kept_once_under_its_hash(tmp_path: Path) -> None:
    """One that is there stays as it is; one of other bytes under its name is written again."""
    folder = tmp_path / "new" / "folder"
    kept = keep(folder, CONTENT, ending=".jpg")
    assert (kept.name, kept.sha256, kept.bytes) == (NAME, sha256(CONTENT).hexdigest(), 6)
    before = (folder / NAME).stat()
    assert keep(folder, CONTENT, ending=".jpg") == kept
    assert (folder / NAME).stat().st_ino == before.st_ino
    for damaged in (b"pixelz", b"pix", b""):
        (folder / NAME).write_bytes(damaged)
        keep(folder, CONTENT, ending=".jpg")
        assert (folder / NAME).read_bytes() == CONTENT
    assert [each.name for each in folder.iterdir()] == [NAME]


def test_what_cant_be_written_leaves_nothing_behind(tmp_path: Path) -> None:
    """A folder lies where the file has to be: the error is the caller's, the half file is gone."""
    (tmp_path / NAME / "within").mkdir(parents=True)
    with pytest.raises(OSError, match=NAME[:8]):
        keep(tmp_path, CONTENT, ending=".jpg")
    assert [each.name for each in tmp_path.iterdir()] == [NAME]


def test_a_file_that_is_written_step_by_step_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    """Renamed by its hash where all went well; gone where it wasn't renamed, or where an error came between."""
    folder = tmp_path / "out"
    with half_written(folder, ending=".mp4") as made:
        made.write_bytes(CONTENT)
        assert made.parent == folder and made.name.startswith(".") and made.name.endswith(".mp4.tmp")
        kept = keep_file(folder, made, ending=".mp4")
    assert (kept.name, kept.bytes) == (NAME.replace(".jpg", ".mp4"), 6)
    with half_written(folder, ending=".mp4") as made:
        made.write_bytes(b"half")
    with pytest.raises(ZeroDivisionError), half_written(folder, ending=".mp4") as made:
        made.write_bytes(b"half")
        raise ZeroDivisionError
    assert [each.name for each in folder.iterdir()] == [kept.name]
