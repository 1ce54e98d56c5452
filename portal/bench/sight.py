"""A picture as the page gets it: its sizes and scale, its place, what can be chosen, what was found on it."""

from dataclasses import replace

from portal.assess.groups import Groups
from portal.assess.scales import picture_scale
from portal.bench.answer import sentence_of
from portal.bench.asking import talk
from portal.bench.bodies import Place
from portal.bench.choices import choices
from portal.bench.drawing import as_text, facts_of
from portal.bench.holding import replaced_of
from portal.bench.index import Spot, trial_key
from portal.bench.more import more_of
from portal.bench.pixels import sizes_at
from portal.bench.propose import proposed
from portal.bench.save import place_of
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.model.ladder import rungs
from portal.model.picture import PictureFacts
from portal.model.result import Calibrated, NoScale, Scale
from portal.model.say import Figure, Say
from portal.model.scalars import Length
from portal.model.tag import Tag
from portal.site.scope import per_pixel
from portal.site.words import Speaker


def sight(bench: Bench, key: str, speaker: Speaker, *, said: Place | None = None) -> dict[str, object]:
    """All that the page needs of one picture; PortalError where it can't be shown.

    `said` is what an untagged one is said to show instead of what is proposed.
    """
    spot = bench.fresh(key)
    own = facts_of(spot, bench.facts)
    tag = spot.picture.tag
    place = place_of(tag) if tag else said.model_dump() if said else _proposed(bench, spot, own)
    width, height = own.upright.width, own.upright.height
    return {
        "key": key,
        "trial": trial_key(spot.trial),
        "name": spot.picture.name,
        "shown": own.sha256,
        "width": width,
        "height": height,
        "sizes": sizes_at(f"/picture/{key}", own),
        "rungs": [[rung.um, speaker.number(rung.label)] for rung in rungs(speaker.unit)],
        **_scale(bench, spot, place, speaker),
        "place": place,
        "placeSeen": digest_of(place_of(tag)) if tag else "",
        "tagged": tag is not None,
        "broken": spot.picture.tag_broken or "",
        "replaced": replaced_of(bench, spot, own, speaker),
        "places": _places(bench, spot),
        "choices": choices(bench, _as_placed(bench, spot, place), speaker),
        "findings": _findings(bench, spot, speaker),
        "talk": talk(bench, spot, speaker),
        **more_of(bench, spot, place, speaker),
        "version": bench.version,  # read last: a list of that version has what is told here
    }


def _proposed(bench: Bench, spot: Spot, own: PictureFacts) -> dict[str, str]:
    catalogue = bench.catalogue
    return proposed(spot, catalogue.shop.file_names, scopes=catalogue.scopes, camera=own.camera)


def _as_placed(bench: Bench, spot: Spot, place: dict[str, str]) -> Spot:
    """The picture with the part that its proposed cavity makes."""
    part = bench.catalogue.part_of(spot.mould, place["cavity"] or None)
    return replace(spot, part=bench.catalogue.parts.get(part or ""))


def _scale(bench: Bench, spot: Spot, place: dict[str, str], speaker: Speaker) -> dict[str, object]:
    picture = spot.picture
    if picture.tag is None:
        own = facts_of(spot, bench.facts)
        tag = Tag.model_validate(
            {
                "format": "1",
                "picture": {"sha256": own.sha256, "stored": str(own.stored)},
                **{name: value for name, value in place.items() if value},
                "file": "",
            }
        )
        picture = picture.model_copy(update={"tag": tag, "tag_broken": None})
    scale = picture_scale(picture, spot.trial, bench.facts, bench.catalogue)
    if isinstance(scale, NoScale):
        return {"um": None, "ratio": 1.0, "noScale": speaker.say(scale.reason), "scaleSaid": ""}
    said = speaker.say(_scale_said(scale))
    return {"um": [scale.x_um, scale.y_um], "ratio": scale.y_um / scale.x_um, "noScale": "", "scaleSaid": said}


def _scale_said(scale: Scale) -> Say:
    """Micrometres per pixel with U, and by what they are known."""
    value = Figure(per_pixel(scale.x_um, 2 * scale.u_x_um))
    by = scale.given_by
    if isinstance(by, Calibrated):
        return Say.of("bench.scale_calibrated", value=value, calibration=by.calibration)
    if isinstance(by, Length):
        return Say.of("bench.scale_reference", value=value, length=by)
    return Say.of("bench.scale_file", value=value)


def _places(bench: Bench, spot: Spot) -> dict[str, object]:
    """What can be chosen for the place of a picture."""
    views = {
        mark: list(bench.catalogue.parts[each.part].views) if each.part in bench.catalogue.parts else []
        for mark, each in spot.mould.cavities.items()
    }
    return {
        "cavities": list(spot.mould.cavities),
        "views": views,
        "shots": [str(each) for each in spot.trial.shots.kept],
        "settings": [[name, setting] for name, scope in bench.catalogue.scopes.items() for setting in scope.settings],
        "pieces": [[each.id, each.cavity, str(each.shot)] for each in spot.trial.pieces],
    }


def _findings(bench: Bench, spot: Spot, speaker: Speaker) -> list[dict[str, object]]:
    tag = spot.picture.tag
    sent, groups = bench.logs.sent(), Groups(bench.facts, bench.catalogue)
    return [
        {
            "data": as_text(each.written()),
            "seen": digest_of(each.written()),
            "term": bench.term(each.defect, speaker.language),
            "sent": each.id in sent,
            "sentence": sentence_of(spot, each, bench, speaker, groups),
        }
        for each in (tag.findings if tag else ())
    ]
