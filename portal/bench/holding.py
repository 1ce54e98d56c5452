"""A picture was replaced after it was tagged, and somebody looked: the tag holds for the one that is there now, too."""

from ruamel.yaml.comments import CommentedMap

from portal.bench.bodies import HoldsToo
from portal.bench.drawing import drawn_on
from portal.bench.index import Spot
from portal.bench.refused import Refused, unwritable
from portal.bench.state import Bench
from portal.catalog.alone import held, put_over, record_of, tag_file
from portal.catalog.change import changed
from portal.model.picture import PictureFacts
from portal.model.tag import Tag
from portal.site.words import Speaker
from portal.tasks.check import every_drawn, is_inside


def replaced_of(bench: Bench, spot: Spot, own: PictureFacts, speaker: Speaker) -> dict[str, object]:
    """What is said of a picture that isn't the one that was tagged, and whether its tag may be said to hold."""
    if not is_replaced(spot, own):
        return {"said": "", "may": False}
    why = _held_up(bench, spot, own)
    said = speaker.text("bench.replaced")
    if why is None:
        return {"said": f"{said} {speaker.text('bench.replaced_same')}", "may": True}
    return {"said": f"{said} {speaker.text('bench.replaced_not', why=why.said(speaker)[0])}", "may": False}


def is_replaced(spot: Spot, own: PictureFacts) -> bool:
    """Whether another picture was tagged under that name."""
    return spot.picture.tag is not None and spot.picture.tag.picture.sha256 != own.sha256


def holds_too(bench: Bench, asked: HoldsToo) -> None:
    """Write into the tag that it is about the picture that is there now; refused where it can't be.

    What a sent review showed stays what it was, and what was drawn on a frame of another size lies elsewhere on this.
    """
    if asked.by not in bench.catalogue.shop.people:
        raise Refused("refused.person", name=asked.by)
    with bench.lock:
        spot = bench.fresh(asked.picture)
        own = drawn_on(spot, bench.facts, asked.shown)
        if not is_replaced(spot, own):
            return
        why = _held_up(bench, spot, own)
        if why is not None:
            raise why
        path = bench.tag_path(spot.picture)
        with held(path):
            there = path.read_bytes()
            text = changed(there.decode("utf-8"), lambda data: _put(data, own))
            made = record_of(bench.folder, Tag, tag_file(spot.picture.file), text)
            if isinstance(made, tuple):
                raise unwritable(made)
            put_over(path, text.encode("utf-8"), there)
        bench.put(spot)


def _held_up(bench: Bench, spot: Spot, own: PictureFacts) -> Refused | None:
    """Why the tag can't be said to hold for that picture; None where somebody's word is enough."""
    tag = spot.picture.tag
    assert tag is not None
    try:
        bench.logs.refuse_sent({each.id for each in tag.findings} | {each.finding for each in tag.also})
    except Refused as error:
        return error
    drawn = list(every_drawn(spot.picture))
    if drawn and tag.picture.stored != own.stored:
        return Refused("refused.other_frame", before=str(tag.picture.stored), now=str(own.stored))
    if any(not is_inside(x, y, own.upright) for _, points in drawn for x, y in points.xy):
        return Refused("refused.drawn_outside", frame=str(own.upright))
    return None


def _put(data: CommentedMap, own: PictureFacts) -> None:
    data["picture"]["sha256"] = own.sha256
    data["picture"]["stored"] = str(own.stored)
