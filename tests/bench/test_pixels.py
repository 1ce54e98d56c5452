"""What the page gets of a picture: its sizes, and of a large one tiles of the very pixels."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.bench.pixels import Pixels, sizes_at, wholes
from portal.model.picture import PictureFacts
from portal.pictures.facts import read_facts
from portal.problem import PortalError


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, PictureFacts]:
    """A picture of 30 megapixels whose grey grows to the right and down."""
    path = tmp_path_factory.mktemp("large") / "a.png"
    y, x = np.mgrid[0:5000, 0:6000]
    Image.fromarray(((x // 100 + y // 50) % 200).astype(np.uint8)).save(path, compress_level=1)
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts)
    return path, facts


def test_the_sizes_of_a_large_picture_are_files_and_tiles(large: tuple[Path, PictureFacts]) -> None:
    """Those of a site: a quarter and a half as files, all of it in tiles row by row."""
    *files, whole = sizes_at("/picture/k", large[1])
    assert [(each[1:], str(each[0]).split("?")[0]) for each in files] == [
        ([6000, 5000, 4], "/picture/k/4"),
        ([6000, 5000, 2], "/picture/k/2"),
    ]
    assert whole[:5] == [None, 6000, 5000, 1, 1024]
    tiles = whole[5]
    assert isinstance(tiles, list) and len(tiles) == 30 and tiles[7].startswith("/picture/k/1/7?")
    assert wholes(large[1]) == (4, 2)


def test_a_tile_shows_its_own_pixels(large: tuple[Path, PictureFacts], tmp_path: Path) -> None:
    """The second of the second row, and the last one, which is smaller."""
    path, facts = large
    pixels = Pixels(tmp_path)
    with Image.open(path) as whole:
        for number, box in ((7, (1024, 1024, 2048, 2048)), (29, (5120, 4096, 6000, 5000))):
            with Image.open(pixels.tile(path, facts, 1, number)) as tile:
                assert np.abs(np.asarray(tile, float) - np.asarray(whole.crop(box), float)).mean() < 1


def test_what_there_is_not_is_refused(large: tuple[Path, PictureFacts], tmp_path: Path) -> None:
    """A large picture is never sent whole, and no file has tiles."""
    path, facts = large
    pixels = Pixels(tmp_path)
    with pytest.raises(PortalError, match="no such size"):
        pixels.file(path, facts, 1)
    for divide, number in ((2, 0), (1, 30), (3, 0)):
        with pytest.raises(PortalError, match="no such tile"):
            pixels.tile(path, facts, divide, number)
