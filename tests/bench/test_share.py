"""A share on which another machine writes: what this one noted of a file some seconds ago doesn't count.

The share is a folder that is mounted a second time (Debian: `bindfs`, `fuse3`), and what it says is kept for seconds.
"""

import os
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from PIL import Image

from portal.bench import fresh
from portal.bench.fresh import fresh_stamp
from portal.bench.state import Bench
from portal.bench.watching import Watch
from portal.tasks.inputs import stamp_of
from tests.bench.conftest import GATE
from tests.bench.test_watching import NEW, names, until
from tests.tasks.small import small_catalogue

KEPT_S = 20


@pytest.fixture
def share(tmp_path: Path) -> Iterator[tuple[Path, Path]]:
    """The folder to which others write, and as what this machine sees it."""
    written, seen = tmp_path / "written", tmp_path / "seen"
    written.mkdir()
    seen.mkdir()
    kept = f"attr_timeout={KEPT_S},entry_timeout={KEPT_S},ac_attr_timeout={KEPT_S}"
    if not (shutil.which("bindfs") and shutil.which("fusermount3") and os.access("/dev/fuse", os.W_OK)):
        pytest.skip("no bindfs, fusermount3 or /dev/fuse")
    done = subprocess.run(["bindfs", "-o", kept, written, seen], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"nothing can be mounted here: {done.stderr.strip()}")
    try:
        yield written, seen
    finally:
        subprocess.run(["fusermount3", "-u", "-z", seen], check=True)


def test_the_stamp_is_the_shares_own(share: tuple[Path, Path]) -> None:
    """Also of a file of which this machine noted another one a moment ago; a folder's too."""
    written, seen = share
    (written / "a").write_bytes(b"x")
    before = stamp_of(seen / "a"), stamp_of(seen)
    (written / "a").write_bytes(b"xyz")
    (written / "b").write_bytes(b"")
    if (stamp_of(seen / "a"), stamp_of(seen)) != before:
        pytest.skip("this share keeps nothing")
    assert fresh_stamp(seen / "a") == stamp_of(written / "a")
    assert fresh_stamp(seen) == stamp_of(written)


def test_a_half_written_picture_is_not_shown_and_the_whole_one_soon(share: tuple[Path, Path]) -> None:
    """A TIFF, whose end doesn't show that it is one, in pieces over two seconds, each within the time of waiting."""
    written, seen = share
    small_catalogue(written / "c")
    bench = Bench(seen / "c")
    Image.effect_noise((300, 200), 40).save(written / "whole.tif")
    content = (written / "whole.tif").read_bytes()
    new, early = NEW.replace(".jpg", ".tif"), []

    def shown() -> bool:
        bench.refresh("M-001", "T1")
        return "c1_new.tif" in names(bench)

    with (written / "c" / new).open("wb", buffering=0) as file:
        for begins, ends in pairwise(len(content) * part // 10 for part in range(11)):
            file.write(content[begins:ends])
            early.append(ends < len(content) and shown())
            threading.Event().wait(0.2)
    assert not any(early)
    assert until(shown, within_s=KEPT_S / 2)


def test_a_new_picture_is_seen_though_its_folder_is_said_not_to_have_changed(share: tuple[Path, Path]) -> None:
    """As this machine noted it, for many seconds."""
    written, seen = share
    small_catalogue(written / "c")
    bench = Bench(seen / "c")
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    watch = Watch(bench)
    with watch.running():
        time.sleep(0.5)
        watch._due = time.monotonic() + 600.0
        (written / "c" / NEW).write_bytes((written / "c" / GATE).read_bytes())
        assert until(lambda: "c1_new.jpg" in names(bench), within_s=KEPT_S / 2)


@pytest.mark.parametrize("name", ["a", "ä ö.jpg", "\udcff.jpg", "missing", "folder"])
@pytest.mark.parametrize("asks", [True, False])
def test_on_this_machine_it_is_the_plain_stamp(
    name: str, asks: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the system's own question, and where it has none."""
    if not asks:
        monkeypatch.setattr(fresh, "_asker", lambda: None)
    path = tmp_path / name
    if name == "folder":
        path.mkdir()
    elif name != "missing":
        path.write_bytes(b"x" * 300)
        os.utime(path, ns=(10**18 + 7, 10**18 + 123_456_789))
    assert fresh_stamp(path) == stamp_of(path)
    assert (stamp_of(path) is None) == (name == "missing")
