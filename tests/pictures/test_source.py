"""Files too large to be held are read in parts, each of which has to be what was hashed."""

import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures import facts as reading
from portal.pictures import source
from portal.pictures.derive import Whole, derive
from portal.pictures.facts import read_data, read_facts
from portal.pictures.kinds import Kind
from portal.pictures.opening import open_as
from portal.pictures.png import read_png
from portal.pictures.source import OnDisk, joined
from portal.problem import PortalError
from tests.pictures.make import chunk, encoded, known, scene
from tests.pictures.tiffs import Form, tiff_of

DEEP = np.random.default_rng(5).integers(0, 4000, (60, 40, 3)).astype(np.uint16)


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are large from the first byte, their blocks small."""
    monkeypatch.setattr(reading, "HELD", 0)
    monkeypatch.setattr(source, "BLOCK", 100)


@pytest.mark.parametrize("size", [1, 99, 100, 101, 200, 1234])
def test_parts_of_a_file_are_its_bytes(size: int, tmp_path: Path) -> None:
    """Over blocks, within one, beyond the end, from the end."""
    content = np.random.default_rng(size).bytes(size)
    path = tmp_path / "file"
    path.write_bytes(content)
    found = OnDisk(path)
    assert (len(found), found.sha256) == (size, sha256(content).hexdigest())
    for start, stop in (
        (0, 1),
        (0, size),
        (50, 250),
        (99, 101),
        (100, 200),
        (size - 1, size + 9),
        (size + 5, size + 9),
    ):
        assert found[start:stop] == content[start:stop]
    assert found[-40:] == content[-40:] and found[:7] == content[:7]


def test_spans_of_a_file_are_read_as_one_file(tmp_path: Path) -> None:
    """Wherever it is read from, and however much at a time."""
    content = np.random.default_rng(1).bytes(900)
    path = tmp_path / "file"
    path.write_bytes(content)
    spans = [(10, 30), (120, 120), (150, 456), (800, 900)]
    wanted = b"head" + b"".join(content[start:end] for start, end in spans)
    assert joined(content, b"head", spans) == wanted
    file = joined(OnDisk(path), b"head", spans)
    assert not isinstance(file, bytes)
    for at in (0, 3, 4, 23, 24, 25, 300, len(wanted) - 1, len(wanted), len(wanted) + 5):
        for size in (1, 30, 1000):
            file.seek(at)
            assert file.read(size) == wanted[at : at + size]


@pytest.mark.parametrize("change", ["one byte", "cut", "gone on"])
def test_a_file_that_is_written_while_it_is_read_is_noticed(change: str, tmp_path: Path) -> None:
    """What was hashed is all that is ever given."""
    path = tmp_path / "picture.tif"
    content = tiff_of(DEEP, Form())
    path.write_bytes(content)
    data = read_data(path)
    assert isinstance(data, OnDisk)
    middle = len(content) // 2
    if change == "one byte":
        path.write_bytes(content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :])
    else:
        path.write_bytes(content[:middle] if change == "cut" else content + b"more")
    if change == "gone on":
        assert data[:] == content
        return
    with pytest.raises(PortalError, match="the file changed while it was being read"):
        data[:]


@pytest.mark.parametrize("kind", ["TIFF", "PNG"])
def test_a_picture_that_is_written_while_it_is_decoded_is_refused(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its first bytes may be what they were."""
    path = tmp_path / "picture"
    content = encoded(scene(200, 150), kind)
    path.write_bytes(content)
    facts = known(path)
    monkeypatch.setattr("portal.pictures.derive.sha256_of", lambda data: _written(path, content, data.sha256))
    found = derive(path, facts, (Whole(),), tmp_path / "out")
    assert isinstance(found, PictureUnreadable) and found.reason == "the file changed while it was being read"
    assert not (tmp_path / "out").exists()


def _written(path: Path, content: bytes, hashed: str) -> str:
    """The hash as it was, and meanwhile other bytes in the same file."""
    middle = len(content) // 2
    with path.open("r+b") as file:
        file.seek(middle)
        file.write(bytes(each ^ 255 for each in content[middle : middle + 400]))
    return hashed


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "JPEG", "BMP"])
def test_a_file_that_is_read_in_parts_gives_the_same(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Facts and files; kinds that can't be read in parts are held."""
    path = tmp_path / "picture"
    path.write_bytes(encoded(scene(200, 150), kind))
    assert isinstance(read_data(path), OnDisk) == (kind in {"TIFF", "PNG"})
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts)
    made = derive(path, facts, (Whole(), Whole(2)), tmp_path / "out")
    monkeypatch.setattr(reading, "HELD", 1 << 30)
    assert facts == read_facts(path)
    assert made == derive(path, facts, (Whole(), Whole(2)), tmp_path / "out")


def test_a_png_on_disk_is_shown_without_what_it_says_besides(tmp_path: Path) -> None:
    """Texts and times are never given to the reading library."""
    content = encoded(scene(), "PNG")
    path = tmp_path / "picture.png"
    path.write_bytes(content[:33] + chunk(b"tEXt", b"Comment\0secret") + content[33:])
    data = read_data(path)
    with open_as(Kind.PNG, read_png(data).stripped(data)) as image:
        image.load()
        assert "Comment" not in image.info


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="nothing tells how much memory a process took")
def test_a_large_deep_tiff_takes_little_more_than_its_pixels(tmp_path: Path) -> None:
    """Not its file and 16 bits of each colour beside them: 34 megapixels take 136 MB, as the library holds them."""
    width, height = 7000, 4900
    path = tmp_path / "picture.tif"
    head = tiff_of(np.zeros((1, 1, 3), np.uint16), Form())
    for tag, old, new in ((256, 1, width), (257, 1, height), (278, 16, height), (279, 6, width * height * 6)):
        entry = tag.to_bytes(2, "little") + b"\4\0\1\0\0\0"
        head = head.replace(entry + old.to_bytes(4, "little"), entry + new.to_bytes(4, "little"))
    with path.open("wb") as file:
        file.write(head)
        file.truncate(len(head) + width * height * 6)
    script = (
        "import sys; from pathlib import Path; from portal.pictures.derive import decoded; "
        "from portal.pictures.facts import read_facts; import numpy\n"
        "def peak(): return int(Path('/proc/self/status').read_text().split('VmHWM:')[1].split()[0])\n"
        "before = peak(); found = decoded(Path(sys.argv[1]), read_facts(Path(sys.argv[1])))\n"
        "print(found.image.size, peak() - before)"
    )
    told = subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True).stdout
    size, _, kilobytes = told.strip().rpartition(" ")
    assert size == f"({width}, {height})"
    assert int(kilobytes) * 1024 < 4 * width * height + 120_000_000
