"""What a tag says that nobody else may see is gone from the site and from what is sent, and makes no limit sample."""

import shutil
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.tasks.judged import ENGINEER, PART
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.test_keep import HOLDERS, UNTIL, keep, say
from tests.tasks.two import OURS, change
from tests.tasks.typed import typed

TAG = f"{TRIAL}/tags/c1_gate.jpg.yaml"


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue ready to be sent, with a part of one of its two pictures blacked out."""
    folder = ready_catalogue(tmp_path_factory.mktemp("masked") / "c")
    change(folder, TAG, "findings:\n", 'masks: ["10,10 60,10 60,60 10,60"]\nfindings:\n')
    return folder


@pytest.fixture
def folder(ready: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(ready, tmp_path / "c")


def darkest(files: Iterable[Path]) -> list[bool]:
    """For each whole picture, whether that part is black."""
    found = []
    for file in sorted(files):
        with Image.open(file) as image:
            if image.size == (320, 240):
                found.append(bool(np.asarray(image.convert("L"))[12:58, 12:58].max() <= 12))
    return found


def test_it_is_gone_from_the_site_at_full_resolution(folder: Path) -> None:
    """Of the one picture, not of the other; a build made before is mended by the next."""
    text = (folder / TAG).read_text(encoding="utf-8")
    (folder / TAG).write_text("\n".join(line for line in text.splitlines() if not line.startswith("masks")), "utf-8")
    assert typed("build", folder, "--jobs", "1").code == 0
    assert darkest((folder / "site/shop/assets").glob("*.jpg")) == [False, False]
    (folder / TAG).write_text(text, encoding="utf-8")
    assert typed("build", folder, "--jobs", "1").code == 0
    assert sorted(darkest((folder / "site/shop/assets").glob("*.jpg"))) == [False, True]


def test_it_is_gone_from_what_is_sent(folder: Path) -> None:
    """From the pictures that the review keeps, from which every carrier is made."""
    assert pack(folder).code == 0
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    assert sorted(darkest((store / "pictures").iterdir())) == [False, True]


def test_nothing_of_a_picture_leaves_whose_tag_can_not_be_read(folder: Path) -> None:
    """It isn't known what has to be black."""
    change(folder, TAG, "cavity:", "cavty:")
    built = typed("build", folder, "--for", OURS, "--jobs", "1")
    assert built.code == 1
    assert len(darkest((folder / f"site/{OURS}/assets").glob("*.jpg"))) == 1


def test_no_limit_sample_is_made_of_such_a_picture(folder: Path) -> None:
    """A sample's picture is shown whole."""
    assert say(folder, "A", "last good").code == 0
    refused = keep(folder, *HOLDERS, *UNTIL)
    assert refused.code == 3 and "nobody else may see" in refused.err and ENGINEER not in refused.err
    assert not (folder / "limit-samples").exists() or not list((folder / "limit-samples").iterdir())
