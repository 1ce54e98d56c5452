"""What else is drawn on a picture: more of a finding of another one, masks, the known feature; each in its place."""

import re
from typing import Any

import pytest

from portal.bench.answer import answer
from portal.bench.bodies import Question
from portal.bench.index import key_of
from portal.bench.save import place_of, save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.catalog import read
from portal.problem import PortalError
from tests.bench.conftest import TOP, vestige, wanted

LINE = vestige("10.00,20.00 40.00,20.00")
MASKS = ["1.00,1.00 50.00,1.00 50.00,20.00", "200.00,100.00 220.00,100.00 220.00,120.00"]


def seen(bench: Bench, picture: str = TOP) -> dict[str, object]:
    """What the page gets of a picture."""
    return sight(bench, key_of(picture), bench.speaker())


def marks(bench: Bench) -> dict[str, Any]:
    """What it gets of the picture's own marks."""
    found = seen(bench)["marks"]
    assert isinstance(found, dict)
    return found


def test_more_of_a_finding_stands_below_also_with_who_drew_it(bench: Bench) -> None:
    """The page offers the findings of the same piece; what is drawn of one is listed with the picture it belongs to."""
    offered = seen(bench)["elsewhere"]
    assert isinstance(offered, list) and [each["id"] for each in offered] == ["7K3G", "7K3H"]
    saved = save(bench, wanted(bench, TOP, what="also", id="7K3G", finding=LINE))
    tag = saved.spot.picture.tag
    assert saved.id == "7K3G" and tag is not None and saved.conflict is None
    assert [(each.finding, each.by, len(each.shapes)) for each in tag.also] == [("7K3G", "first-inspector", 1)]
    assert read(bench.folder).problems == ()
    now = seen(bench)
    assert isinstance(now["also"], list) and [each["home"] for each in now["also"]] == ["c1_gate.jpg"]
    assert isinstance(now["elsewhere"], list) and [each["id"] for each in now["elsewhere"]] == ["7K3H"]
    digest = digest_of(tag.also[0].written())
    gone = save(bench, wanted(bench, TOP, what="also", id="7K3G", finding=None, seen=digest))
    assert gone.spot.picture.tag is not None and gone.spot.picture.tag.also == ()
    assert "also" not in bench.tag_path(gone.spot.picture).read_text(encoding="utf-8")


def test_more_is_judged_with_what_is_drawn_elsewhere(bench: Bench) -> None:
    """The verdict is the finding's, over both pictures; its own measurement is still there."""
    tag = bench.index.spot(key_of(TOP)).picture.tag
    body = {"number": 4, "picture": key_of(TOP), "place": place_of(tag), "what": "also"}
    told = answer(bench, Question.model_validate(body | {"finding": LINE | {"id": "7K3G"}}))
    assert told["number"] == 4 and "height" in str(told["html"]).lower() and "length" in str(told["html"]).lower()


def test_more_of_nothing_or_of_this_very_picture_is_refused(bench: Bench) -> None:
    """An id that no other picture of the trial has."""
    for id_ in ("7K3F", "ZZZ9"):
        with pytest.raises(PortalError, match="under no other picture"):
            save(bench, wanted(bench, TOP, what="also", id=id_, finding=LINE))


def test_masks_are_written_ahead_of_the_findings_and_taken_away(bench: Bench) -> None:
    """As outlines, one a line; without any the key goes."""
    saved = save(bench, wanted(bench, TOP, what="masks", finding={"masks": MASKS}))
    text = bench.tag_path(saved.spot.picture).read_text(encoding="utf-8")
    assert f'masks:\n  - "{MASKS[0]}"\n  - "{MASKS[1]}"\nfindings:\n' in text
    assert read(bench.folder).problems == () and saved.id == ""
    told = marks(bench)
    assert told["masks"] == MASKS
    save(bench, wanted(bench, TOP, what="masks", finding={"masks": MASKS[1:]}, seen=told["masksSeen"]))
    assert marks(bench)["masks"] == MASKS[1:]
    save(bench, wanted(bench, TOP, what="masks", finding=None, seen=marks(bench)["masksSeen"]))
    assert "masks" not in bench.tag_path(saved.spot.picture).read_text(encoding="utf-8")


def test_masks_that_somebody_else_drew_meanwhile_stay(bench: Bench) -> None:
    """Ours lie beside."""
    stale = wanted(bench, TOP, what="masks", finding={"masks": MASKS[:1]})
    save(Bench(bench.folder), wanted(bench, TOP, what="masks", finding={"masks": MASKS[1:]}))
    assert save(bench, stale).conflict is not None
    assert marks(bench)["masks"] == MASKS[1:]


def test_what_is_no_mask_is_refused(bench: Bench) -> None:
    """Two points, a point outside of the picture, a text, no list."""
    path = bench.tag_path(bench.index.spot(key_of(TOP)).picture)
    before = path.read_bytes()
    for masks in (["1,1 2,2"], ["1,1 2,2 999,3"], ["soon"], "1,1 2,2 3,1", [[1, 2]]):
        with pytest.raises(PortalError):
            save(bench, wanted(bench, TOP, what="masks", finding={"masks": masks}))
    assert path.read_bytes() == before


def test_the_known_feature_is_the_views(bench: Bench) -> None:
    """Named as the part names it; a view without one has none to be drawn."""
    path = bench.folder / "parts/P-0001/part.yaml"
    with pytest.raises(PortalError, match="no known feature"):
        save(bench, wanted(bench, TOP, what="known", finding={"points": "1.00,1.00 90.00,1.00"}))
    text = path.read_text(encoding="utf-8")
    known = "known_feature: {name: bore, length: 0.500 mm, u: 0.002 mm}"
    path.write_text(text.replace("  top:\n", f"  top:\n    {known}\n"), encoding="utf-8")
    assert bench.reread() and marks(bench)["feature"] == "bore"
    saved = save(bench, wanted(bench, TOP, what="known", finding={"points": "1.00,1.00 90.00,1.00"}))
    tag = saved.spot.picture.tag
    assert tag is not None and tag.known is not None and tag.known.feature == "bore"
    assert read(bench.folder).problems == () and marks(bench)["known"] == "1.00,1.00 90.00,1.00"


BAR = {"length": "0.1 mm", "u": "0.5 um", "source": "bar of the camera program", "points": "10.00,20.00 110.00,20.00"}


def unscaled(bench: Bench) -> dict[str, object]:
    """The top picture as one of a stranger's microscope: nothing is known of its scale."""
    tag = bench.index.spot(key_of(TOP)).picture.tag
    return {name: "" if name in ("scope", "setting") else value for name, value in place_of(tag).items()}


def test_a_known_length_gives_a_strangers_picture_its_scale_with_its_uncertainty(bench: Bench) -> None:
    """100 pixels over 0.1 mm: 1 um per pixel; the doubt of the length alone is 0.5 %, that of drawing comes on top."""
    place = unscaled(bench)
    save(bench, wanted(bench, TOP, place=place, finding=None, id=""))
    assert seen(bench)["um"] is None and seen(bench)["scaleSaid"] == ""
    saved = save(bench, wanted(bench, TOP, what="reference", finding=BAR))
    assert saved.conflict is None and read(bench.folder).problems == ()
    now, own = seen(bench), marks(bench)
    assert now["um"] == pytest.approx([1.0, 1.0]) and now["noScale"] == ""
    said = str(now["scaleSaid"]).replace("\u2068", "").replace("\u2069", "").replace("\xa0", " ")
    found = re.match(r"([0-9.]+) µm ± ([0-9.]+) µm per pixel, by the known length 0\.1 mm in this picture", said)
    assert found is not None, said
    assert float(found[1]) == pytest.approx(1.0, abs=0.001) and 0.010 < float(found[2]) < 0.05
    assert own["referenceSaid"] == BAR and own["reference"] == BAR["points"]
    body = {"number": 1, "picture": key_of(TOP), "place": place, "finding": LINE}
    told = answer(bench, Question.model_validate(body))
    assert "0.030" in str(told["html"])
    gone = save(bench, wanted(bench, TOP, what="reference", finding=None, seen=own["referenceSeen"]))
    assert "reference" not in bench.tag_path(gone.spot.picture).read_text(encoding="utf-8")
    assert seen(bench)["um"] is None


def test_a_bar_of_the_camera_program_is_held_against_the_scale(bench: Bench) -> None:
    """At 1 um per pixel 100 pixels are 0.1 mm; a bar that says 0.2 mm takes the scale away, with the reason."""
    bar = {"length": "0.1 mm", "points": BAR["points"]}
    save(bench, wanted(bench, TOP, what="bar", finding=bar))
    assert seen(bench)["um"] == pytest.approx([1.0, 1.0])
    wrong = bar | {"length": "0.2 mm"}
    save(bench, wanted(bench, TOP, what="bar", finding=wrong, seen=marks(bench)["barSeen"]))
    assert seen(bench)["um"] is None and "bar" in str(seen(bench)["noScale"])
    text = bench.tag_path(bench.index.spot(key_of(TOP)).picture).read_text(encoding="utf-8")
    assert "burned_in_bar: {length: 0.2 mm" in text or 'burned_in_bar: {length: "0.2 mm"' in text


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"u": ""}, "u: "),
        ({"length": "100"}, "has no unit"),
        ({"length": "0 mm"}, "more than nothing"),
        ({"u": "0 um"}, "more than nothing"),
        ({"points": "1,1"}, "at least 2 points"),
        ({"points": "1,1 9999,1"}, "outside of the picture"),
    ],
)
def test_what_is_no_known_length_is_refused(bench: Bench, change: dict[str, str], why: str) -> None:
    """And nothing is written."""
    before = bench.tag_path(bench.index.spot(key_of(TOP)).picture).read_bytes()
    with pytest.raises(PortalError, match=why):
        save(bench, wanted(bench, TOP, what="reference", finding=BAR | change))
    assert bench.tag_path(bench.index.spot(key_of(TOP)).picture).read_bytes() == before
