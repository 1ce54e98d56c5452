"""Pictures are decoded ahead of the first search, once each, and no more of them are held than fit."""

import os
import threading
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.bench.decoding import MOST_PIXELS, Decoding
from portal.bench.index import key_of
from portal.model.picture import PictureFacts
from portal.pictures.facts import read_facts
from portal.problem import PortalError
from tests.bench.conftest import GATE, TOP, Client, vestige
from tests.bench.test_watching import until


def picture(folder: Path, name: str, size: tuple[int, int], grey: int = 90) -> tuple[Path, PictureFacts]:
    """A grey picture's file and facts."""
    path = folder / name
    Image.new("L", size, grey).save(path)
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts)
    return path, facts


@pytest.mark.parametrize("file", [GATE, TOP])
def test_it_is_there_before_edges_are_asked_for(client: Client, file: str) -> None:
    """It was opened, or somebody draws on what was opened long ago: its file can't be decoded any more, under the same
    size and time, and the search still has its pixels.
    """
    path, key = client.folder / file, key_of(file)
    whole, stat = path.read_bytes(), path.stat()
    drawn = vestige("103.00,120.00 197.00,120.00")
    if file == GATE:
        assert client.ask(f"/api/picture/{key}").status == 200
    else:
        assert client.post("/api/measure", {"number": 1, "picture": key, "place": {}, "finding": drawn}).status == 200
    threading.Event().wait(1.5)
    try:
        path.write_bytes(bytes(len(whole)))
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
        assert client.post("/api/edges", {"number": 1, "picture": key, "shape": drawn["shapes"][0]}).status == 200
    finally:
        path.write_bytes(whole)
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def test_a_picture_on_which_somebody_draws_is_not_decoded_with_each_move(tmp_path: Path) -> None:
    """Those of others take its place again and again, or it is damaged."""
    path, facts = picture(tmp_path, "a.png", (40, 30))
    large, others = picture(tmp_path, "large.png", (8000, 8000))
    decoding = Decoding()
    decoding.at_once(path, facts)
    assert until(lambda: decoding.has(facts))
    decoding.of(large, others)
    decoding.at_once(path, facts)
    assert not until(lambda: decoding.has(facts), within_s=0.4)


def test_it_is_decoded_once_though_many_ask_at_once(tmp_path: Path) -> None:
    """All of them get the very same pixels."""
    path, facts = picture(tmp_path, "a.png", (3000, 2000))
    decoding, found = Decoding(), []
    threads = [threading.Thread(target=lambda: found.append(decoding.of(path, facts).codes)) for _ in range(6)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(found) == 6 and all(each is found[0] for each in found)


def test_of_pictures_that_are_paged_through_only_the_last_is_decoded(tmp_path: Path) -> None:
    """Each of the others was left before it came to that."""
    many = [picture(tmp_path, f"{number}.png", (40, 30), number) for number in range(5)]
    decoding = Decoding()
    for path, facts in many:
        decoding.ahead(path, facts)
    assert until(lambda: decoding.has(many[-1][1]))
    assert [decoding.has(facts) for _, facts in many] == [False, False, False, False, True]


def test_the_oldest_goes_before_more_are_held_than_fit(tmp_path: Path) -> None:
    """Three pictures of two fifths each; and a large one is held by itself."""
    side = int((MOST_PIXELS * 0.4) ** 0.5)
    many = [picture(tmp_path, f"{number}.png", (side, side), number) for number in range(3)]
    decoding = Decoding()
    for path, facts in many:
        assert decoding.of(path, facts).whole is None
    assert [decoding.has(facts) for _, facts in many] == [False, True, True]
    path, facts = picture(tmp_path, "large.png", (8000, 8000))
    assert decoding.of(path, facts).whole is not None
    assert [decoding.has(each) for _, each in (*many, (path, facts))] == [False, False, False, True]


def test_what_is_damaged_is_told_each_time(tmp_path: Path) -> None:
    """And a picture that is right again is read again."""
    path, facts = picture(tmp_path, "a.png", (40, 30))
    whole = path.read_bytes()
    decoding = Decoding()
    path.write_bytes(whole[:-30])
    for _ in range(2):
        with pytest.raises(PortalError):
            decoding.of(path, facts)
    path.write_bytes(whole)
    assert np.unique(decoding.of(path, facts).codes[0:30, 0:40]).tolist() == [90]


def test_a_large_picture_has_the_same_greys_as_a_small_one(tmp_path: Path) -> None:
    """Worked out of its colours where they are asked for, they are those of a copy of that part."""
    colours = np.random.default_rng(5).integers(0, 255, (60, 80, 3), dtype=np.uint8)
    whole = Image.new("RGB", (7000, 4000))
    whole.paste(Image.fromarray(colours), (3000, 2000))
    found = []
    for name, image in (("large.png", whole), ("small.png", Image.fromarray(colours))):
        image.save(tmp_path / name, compress_level=1)
        facts = read_facts(tmp_path / name)
        assert isinstance(facts, PictureFacts)
        found.append(Decoding().of(tmp_path / name, facts))
    large, small = found
    assert large.whole is not None and small.whole is None
    assert large.codes.shape == (4000, 7000)
    assert np.array_equal(large.codes[2010:2050, 3020:3080], small.codes[10:50, 20:80])
