"""A picture that was replaced after it was tagged: what to do is said; that all of it holds is written on a word."""

from pathlib import Path

import pytest
from PIL import Image

from portal.bench.bodies import HoldsToo
from portal.bench.holding import holds_too
from portal.bench.index import key_of
from portal.bench.save import save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.catalog import read
from portal.problem import PortalError
from portal.tasks.check import check
from tests.bench.conftest import GATE, wanted
from tests.tasks.answered import copied
from tests.tasks.packing import pack, ready_catalogue


def replace(bench: Bench, size: tuple[int, int] = (320, 240)) -> str:
    """Another picture under the name of a tagged one; its digest."""
    Image.new("RGB", size, (120, 130, 140)).save(bench.folder / GATE)
    return str(sight(bench, key_of(GATE), bench.speaker())["shown"])


def asked(shown: str, by: str = "first-inspector") -> HoldsToo:
    """That all of it holds."""
    return HoldsToo(picture=key_of(GATE), shown=shown, by=by)


def told(bench: Bench, language: str = "en") -> tuple[str, bool]:
    """What is said of it, and whether its tag may be said to hold."""
    found = sight(bench, key_of(GATE), bench.speaker(language))["replaced"]
    assert isinstance(found, dict)
    return str(found["said"]).replace("\u2068", "").replace("\u2069", ""), found["may"]


def tag_text(bench: Bench) -> str:
    """The tag as it stands on disk."""
    return bench.tag_path(bench.index.spot(key_of(GATE)).picture).read_text(encoding="utf-8")


def test_what_to_do_is_said_beside_it_and_only_there(bench: Bench) -> None:
    """In the language of the page; of a picture that is the tagged one nothing is said."""
    assert told(bench) == ("", False)
    replace(bench)
    said, may = told(bench)
    assert may and "nothing on it is measured" in said and "put the tagged picture back" in said
    assert "darum wird darauf nichts gemessen" in told(bench, "de")[0]


def test_on_somebodys_word_it_is_measured_again(bench: Bench) -> None:
    """Nothing else of the file changes; said twice it is written once; then it can be drawn on."""
    with pytest.raises(PortalError, match="another picture than the one that was tagged"):
        shown = replace(bench)
        save(bench, wanted(bench))
    before = tag_text(bench)
    was = before.split("sha256: ")[1][:64]
    holds_too(bench, asked(shown))
    holds_too(bench, asked(shown))
    assert tag_text(bench).split() == before.replace(was, shown).split()
    assert told(bench) == ("", False) and sight(bench, key_of(GATE), bench.speaker())["noScale"] == ""
    assert read(bench.folder).problems == ()
    assert not [each for each in check(bench.folder).problems if "replaced" in each.message]
    assert save(bench, wanted(bench)).conflict is None


def test_it_is_only_written_of_the_picture_that_was_looked_at(bench: Bench) -> None:
    """Replaced once more meanwhile; by somebody who isn't of the shop."""
    shown, before = replace(bench), tag_text(bench)
    with pytest.raises(PortalError, match="nobody"):
        holds_too(bench, asked(shown, by="nobody"))
    Image.new("RGB", (320, 240), (1, 2, 3)).save(bench.folder / GATE)
    with pytest.raises(PortalError, match="was replaced by another picture since it was opened here"):
        holds_too(bench, asked(shown))
    assert tag_text(bench) == before


@pytest.mark.parametrize("size", [(300, 240), (640, 480)])
def test_what_was_drawn_on_another_frame_does_not_hold(bench: Bench, size: tuple[int, int]) -> None:
    """Its points would lie elsewhere on the piece; the reason is said at once, and no button is shown."""
    shown, before = replace(bench, size), tag_text(bench)
    said, may = told(bench)
    assert not may and f"drawn on 320x240 pixels, this one has {size[0]}x{size[1]}" in said
    with pytest.raises(PortalError, match="was drawn on 320x240 pixels"):
        holds_too(bench, asked(shown))
    assert tag_text(bench) == before


def test_of_a_picture_without_anything_drawn_any_frame_holds(bench: Bench) -> None:
    """Only the setting may have no calibration for it."""
    path = bench.tag_path(bench.index.spot(key_of(GATE)).picture)
    path.write_text(tag_text(bench).split("findings:")[0], encoding="utf-8")
    shown = replace(bench, (640, 480))
    assert told(bench)[1]
    holds_too(bench, asked(shown))
    assert f"{{sha256: {shown}, stored: 640x480}}" in tag_text(bench)


def test_what_a_sent_review_showed_stays_what_it_was(tmp_path: Path) -> None:
    """The tagged picture has to come back."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    bench = Bench(copied(folder, tmp_path / "d"))
    shown, before = replace(bench), tag_text(bench)
    said, may = told(bench)
    assert not may and "was shown in review 1" in said and "Put the tagged picture back" in said
    with pytest.raises(PortalError, match="was shown in review 1"):
        holds_too(bench, asked(shown))
    assert tag_text(bench) == before
