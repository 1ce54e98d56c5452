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


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_who_may_read_and_write_a_file_stays(tmp_path: Path) -> None:
    """A share on which all of a group write, or nobody else reads."""
    for mode in (0o664, 0o600, 0o666):
        file = tmp_path / f"{mode:o}"
        file.write_bytes(b"one")
        file.chmod(mode)
        write_whole(file, b"two")
        assert file.stat().st_mode & 0o777 == mode and file.read_bytes() == b"two"


def test_a_file_that_was_closed_is_left_alone(tmp_path: Path) -> None:
    """Read-only by somebody's hand, as on Windows; nothing is left beside it; once it is open again it is written."""
    file = tmp_path / "tag.yaml"
    file.write_bytes(b"one")
    file.chmod(0o444)
    with pytest.raises(PermissionError):
        write_whole(file, b"two")
    assert file.read_bytes() == b"one" and [each.name for each in tmp_path.iterdir()] == ["tag.yaml"]
    file.chmod(0o644)
    write_whole(file, b"two")
    assert file.read_bytes() == b"two"


def test_a_long_name_can_be_written(tmp_path: Path) -> None:
    """The name beside it is no longer than its own."""
    write_whole(tmp_path / ("a" * 250 + ".yaml"), b"x")
    assert len(list(tmp_path.iterdir())) == 1
