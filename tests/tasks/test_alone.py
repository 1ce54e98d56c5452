"""Two builds in one folder at once, and what can't be read for a while: nothing is mixed, nothing stays as it was."""

import errno
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from portal.model.picture import PictureUnreadable
from portal.problem import PortalError, Problem
from portal.tasks.alone import alone_in
from portal.tasks.unsure import unsure
from tests.tasks.killing import TOP
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_build import aged, built, site
from tests.tasks.typed import typed

PICTURE = f"{TRIAL}/images/c1_top.jpg"
_AWAY: set[str] = set()
"""Files that this process can't open at the moment; of the system's rights a test may have too many."""


def _refuse(event: str, args: tuple[object, ...]) -> None:
    if _AWAY and event == "open" and isinstance(args[0], str | os.PathLike) and os.fspath(args[0]) in _AWAY:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), os.fspath(args[0]))


sys.addaudithook(_refuse)


@contextmanager
def away(path: Path) -> Iterator[None]:
    """Within it that file can't be opened."""
    _AWAY.add(str(path))
    try:
        yield
    finally:
        _AWAY.clear()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small catalogue that was left alone."""
    made = small_catalogue(tmp_path / "c")
    aged(made)
    return made


@pytest.mark.parametrize("file", [PICTURE, "parts/P-0001/part.yaml", f"{TRIAL}/tags/c1_top.jpg.yaml"])
def test_what_could_not_be_opened_is_looked_at_again_though_it_is_as_it_was(file: str, folder: Path) -> None:
    """Rights have no time of change: the next build ends as a clean one does, and then nothing changes any more."""
    with away(folder / file):
        assert built(folder).exit_code == 1
        again = built(folder)
        assert again.exit_code == 1 and not again.nothing_changed
    mended = built(folder)
    assert mended.exit_code == 0 and not mended.nothing_changed
    clean = built(folder, out=folder.parent / "clean")
    assert site(mended.out) == site(clean.out)
    assert built(folder).nothing_changed


def test_only_what_may_have_other_reasons_is_unsure() -> None:
    """What a file holds is told again without a look."""
    passing = (
        "can't be opened: Permission denied",
        "the file changed while it was being read",
        "it couldn't be read within 72 s and the memory at hand",
        "not enough memory to read it",
    )
    lasting = ("damaged file: ends early", "this is a movie", "its header says 900 megapixels, more than 300")
    facts = {why: PictureUnreadable(why) for why in (*passing, *lasting)}
    problems = [Problem("a", 0, "", "can't be read: permission denied"), Problem("b", 3, "x", "`x` is no key here")]
    assert [*unsure(problems, facts, {})] == ["a", *passing]


@pytest.mark.skipif(sys.platform == "win32", reason="a folder can't be held there")
def test_a_second_build_of_the_same_folder_is_refused_and_the_first_is_left_alone(folder: Path) -> None:
    """Another process holds it; another folder of the same catalogue is nobody's business."""
    out = folder / "site/shop"
    before = site(built(folder).out)
    (folder / TRIAL / "tags/c1_top.jpg.yaml").touch()
    code = "import sys; from pathlib import Path; from portal.tasks.alone import alone_in\n"
    code += "with alone_in(Path(sys.argv[1])):\n    print('held', flush=True); sys.stdin.read()"
    with subprocess.Popen(
        [sys.executable, "-c", code, str(out)],
        env={**os.environ, "PYTHONPATH": str(TOP)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        refused = typed("build", folder, "--jobs", "1")
        assert refused.code == 3 and f"another build is writing {out}" in refused.err and "wait" in refused.err
        assert site(out) == before and not [each for each in out.iterdir() if each.name.startswith(".portal-w")]
        assert typed("build", folder, "--out", folder / "elsewhere", "--jobs", "1").code == 0
        other.communicate()
    assert typed("build", folder, "--jobs", "1").code == 0


def test_a_refused_build_leaves_no_folder_that_was_not_there(tmp_path: Path) -> None:
    """Nor one that would lie above it; one that was there stays."""
    for there in (tmp_path, tmp_path / "there"):
        there.mkdir(exist_ok=True)
        with pytest.raises(PortalError), alone_in(there / "a/b"):
            raise PortalError("refused")
        assert [*there.iterdir()] == []


def test_a_full_disk_is_told_with_what_to_do(tmp_path: Path) -> None:
    """By the device that is always full; the words of the system alone name no file."""
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no device that is always full")
    folder = small_catalogue(tmp_path / "c")
    told = typed("findings", folder, "--csv", full)
    assert told.code == 3 and "No space left on device" in told.err and "make room" in told.err
    assert "None" not in told.err and ": :" not in told.err


def test_where_a_page_can_not_take_its_place_that_place_is_named(folder: Path) -> None:
    """Not the file beside the site in which it was made ready."""
    out = built(folder).out
    (out / "index.html").unlink()
    (out / "index.html").mkdir()
    (folder / TRIAL / "tags/c1_top.jpg.yaml").touch()
    told = typed("build", folder, "--jobs", "1")
    assert told.code == 3 and f"{out / 'index.html'}: " in told.err and "half" not in told.err
