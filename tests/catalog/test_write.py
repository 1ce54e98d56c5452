"""Writing: the old file or the new one, never half of one."""

import os
from pathlib import Path

import pytest

from portal.catalog.write import write_whole


def test_a_file_is_written_and_written_over(tmp_path: Path) -> None:
    """Nothing is left beside it."""
    file = tmp_path / "catalog.yaml"
    write_whole(file, b"one")
    write_whole(file, b"two")
    assert file.read_bytes() == b"two"
    assert [each.name for each in tmp_path.iterdir()] == ["catalog.yaml"]


def test_what_fails_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    """A folder stands where the file should go, so the last step fails."""
    (tmp_path / "here" / "full").mkdir(parents=True)
    with pytest.raises(OSError):
        write_whole(tmp_path / "here", b"one")
    assert [each.name for each in tmp_path.iterdir()] == ["here"]


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_a_file_may_be_read_by_whom_the_system_says(tmp_path: Path) -> None:
    """As any file made there, not only by its writer."""
    write_whole(tmp_path / "ours", b"x")
    (tmp_path / "plain").write_bytes(b"x")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_long_name_can_be_written(tmp_path: Path) -> None:
    """The name beside it is no longer than its own."""
    write_whole(tmp_path / ("a" * 250 + ".yaml"), b"x")
    assert len(list(tmp_path.iterdir())) == 1
