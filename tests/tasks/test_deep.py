"""Pictures of more than 8 bits: all of one view are shown by the same range, so that they can be compared."""

import hashlib
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.tasks.gather import survey
from tests.pictures.make import tiff
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_movies import tree
from tests.tasks.typed import typed

SAME = 800
"""The value of the left half of each; the right half has the brightest."""
DIM, BRIGHT, OTHER = "c1_dim.tif", "c1_bright.tif", "c1_other.tif"


def add_deep(folder: Path, name: str, peak: int, view: str, mark: int = 0) -> None:
    """A picture of 16 bits whose file doesn't say which value is white, and its tag."""
    samples = np.full((48, 64), SAME, np.uint16)
    samples[:, 32:] = peak
    samples[0, 0] = mark
    content = tiff(samples)
    (folder / TRIAL / "images" / name).write_bytes(content)
    digest = hashlib.sha256(content).hexdigest()
    (folder / TRIAL / "tags" / f"{name}.yaml").write_text(
        f"format: 1\npicture: {{sha256: {digest}, stored: 64x48}}\ncavity: '1'\nshot: 11\nview: {view}\n", "utf-8"
    )


def shown(folder: Path, name: str) -> tuple[int, str]:
    """How bright the left half of a picture is on the site, and what its page says of it."""
    page = (folder / f"site/shop/pictures/M-001/T1/{name}.html").read_text(encoding="utf-8")
    page = page.replace("\N{NO-BREAK SPACE}", " ")
    names = dict.fromkeys(re.findall(r"assets/([0-9a-f]+\.jpg)", page))
    for each in names:
        with Image.open(folder / "site/shop/assets" / each) as image:
            if image.size == (64, 48):
                said = re.search(r"brightness mapped[^<]*", page)
                return round(float(np.asarray(image.convert("L"))[8:40, 4:24].mean())), said[0] if said else ""
    raise AssertionError("not shown at full size")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two of one view, of which only one is bright, and a dim one of another view."""
    made = small_catalogue(tmp_path / "c")
    add_deep(made, DIM, 900, "top", mark=1)
    add_deep(made, BRIGHT, 3500, "top")
    add_deep(made, OTHER, 900, "gate-profile", mark=2)
    return made


def test_the_same_value_is_the_same_grey_in_all_pictures_of_a_view(folder: Path) -> None:
    """800 of 4095, which the brightest of the view needs; of 1023 in the view where none is brighter; both said."""
    assert typed("build", folder, "--jobs", "1").code == 0
    assert shown(folder, DIM)[0] == shown(folder, BRIGHT)[0] == round(800 / 4095 * 255)
    assert shown(folder, OTHER)[0] == round(800 / 1023 * 255)
    said = "brightness mapped from 12 bits, as in all pictures of this view: 0 is black, 4095 is white"
    assert shown(folder, DIM)[1].startswith(said) and shown(folder, BRIGHT)[1].startswith(said)
    assert "the file" in shown(folder, OTHER)[1] and "1023 is white" in shown(folder, OTHER)[1]


def test_a_brighter_picture_changes_the_others_of_its_view(folder: Path, tmp_path: Path) -> None:
    """At the next build and back again; what comes of it is what a clean build gives."""
    assert typed("build", folder, "--jobs", "1").code == 0
    before = tree(folder / "site/shop")
    add_deep(folder, "c1_brighter.tif", 16_000, "top")
    assert typed("build", folder, "--jobs", "1").code == 0
    assert shown(folder, DIM)[0] == shown(folder, BRIGHT)[0] == round(800 / 16_383 * 255)
    assert typed("build", folder, "--jobs", "1", "--out", tmp_path / "clean").code == 0
    assert tree(folder / "site/shop") == tree(tmp_path / "clean")
    (folder / TRIAL / "images/c1_brighter.tif").unlink()
    (folder / TRIAL / "tags/c1_brighter.tif.yaml").unlink()
    assert typed("build", folder, "--jobs", "1").code == 0
    assert tree(folder / "site/shop") == before


def test_a_check_decodes_no_deep_picture(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that it says needs the brightest value; a build looks for it in each."""
    looked: list[int] = []
    monkeypatch.setattr("portal.pictures.apart.facts_apart", lambda paths, **_: looked.append(len(paths)))
    assert typed("check", folder).code == 0 and not looked
    with pytest.raises(TypeError):
        survey(folder)
    assert looked == [3]
