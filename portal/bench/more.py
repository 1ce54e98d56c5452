"""What a picture has beside its own findings: what it adds to others, its masks, what is of known size in it."""

from collections.abc import Iterator
from typing import Any

from portal.assess.groups import Groups
from portal.bench.answer import sentence_of
from portal.bench.drawing import as_text
from portal.bench.index import Spot
from portal.bench.state import Bench
from portal.bench.targets import OF_KNOWN_LENGTH, digest_of
from portal.model.picture import Picture
from portal.model.tag import Finding, Tag
from portal.site.words import Speaker

MOST_SAME = 4
"""So many kinds of findings of other cavities are offered."""


def more_of(bench: Bench, spot: Spot, place: dict[str, str], speaker: Speaker) -> dict[str, object]:
    """For the page: `also` with what is drawn here, `elsewhere` with what could be, `marks` of the picture itself."""
    sent, groups = bench.logs.sent(), Groups(bench.facts, bench.catalogue)
    added = spot.picture.tag.also if spot.picture.tag else ()
    near = {finding.id: (picture, finding) for picture, finding in _same_piece(spot, place)}
    also = []
    for more in added:
        if more.finding in near:
            home, finding = near[more.finding]
            data = {"id": more.finding, "shapes": as_text(more.written())["shapes"]}
            also.append(
                {
                    **_named(bench, home, finding, speaker),
                    "data": {"defect": finding.defect, "zone": finding.zone, "seen": finding.seen.value, **data},
                    "seen": digest_of(more.written()),
                    "sent": more.finding in sent,
                    "sentence": sentence_of(spot, finding, bench, speaker, groups),
                }
            )
    drawn = {more.finding for more in added}
    return {
        "also": also,
        "elsewhere": [
            {**_named(bench, home, finding, speaker), "defect": finding.defect, "zone": finding.zone}
            for id_, (home, finding) in near.items()
            if id_ not in drawn and id_ not in sent
        ],
        "same": _same(bench, spot, place, speaker),
        "marks": _marks(bench, spot, place),
    }


def _named(bench: Bench, home: Picture, finding: Finding, speaker: Speaker) -> dict[str, str]:
    return {"id": finding.id, "term": bench.term(finding.defect, speaker.language), "home": home.name}


def _same_piece(spot: Spot, place: dict[str, str]) -> Iterator[tuple[Picture, Finding]]:
    """The findings under the other pictures of the piece that this one shows, as far as their tags say so."""
    if not place["cavity"]:
        return
    for picture in spot.trial.pictures:
        tag = picture.tag
        if tag is None or picture.file == spot.picture.file or not _may_be(tag, place):
            continue
        for finding in tag.findings:
            yield picture, finding


def _same(bench: Bench, spot: Spot, place: dict[str, str], speaker: Speaker) -> list[dict[str, str]]:
    """What was found in other cavities of the trial: in the same view before others, the last before older ones."""
    part = bench.catalogue.part_of(spot.mould, place["cavity"] or None)
    found = []
    for picture in spot.trial.pictures:
        tag = picture.tag
        if tag is None or not tag.cavity or tag.cavity == place["cavity"]:
            continue
        if part is not None and bench.catalogue.part_of(spot.mould, tag.cavity) == part:
            found += [
                (tag.view == place["view"], each.at.order, tag.cavity, each) for each in tag.findings if each.shapes
            ]
    found.sort(key=lambda each: each[:2], reverse=True)
    made: dict[tuple[str, ...], dict[str, str]] = {}
    for _, _, cavity, finding in found:
        shape = finding.shapes[0]
        own = (finding.defect, finding.zone, shape.characteristic.value, shape.shape)
        term = bench.term(finding.defect, speaker.language)
        named = dict(zip(("defect", "zone", "characteristic", "shape"), own, strict=True))
        made.setdefault(own, {**named, "cavity": cavity, "term": term})
    return list(made.values())[:MOST_SAME]


def _may_be(tag: Tag, place: dict[str, str]) -> bool:
    given = {"cavity": tag.cavity, "shot": None if tag.shot is None else str(tag.shot), "piece": tag.piece}
    if tag.cavity is None:
        return False
    return all(not place[name] or value is None or place[name] == value for name, value in given.items())


def _marks(bench: Bench, spot: Spot, place: dict[str, str]) -> dict[str, object]:
    tag = spot.picture.tag
    part = bench.catalogue.parts.get(bench.catalogue.part_of(spot.mould, place["cavity"] or None) or "")
    view = part.views.get(place["view"]) if part else None
    given = as_text(tag.written()) if tag else {}
    known, masks = given.get("known"), given.get("masks", [])
    return {
        "feature": view.known_feature.name if view and view.known_feature else "",
        "known": known["points"] if known else "",
        "knownSeen": digest_of(known),
        "masks": masks,
        "masksSeen": digest_of(masks),
        **_of_known_length(given),
    }


def _of_known_length(given: dict[str, Any]) -> dict[str, object]:
    """The reference and the bar: points to be shown, all that is said of them, and the digest of it."""
    found: dict[str, object] = {}
    for name, key in OF_KNOWN_LENGTH.items():
        own = given.get(key) or {}
        found |= {name: own.get("points", ""), f"{name}Said": own, f"{name}Seen": digest_of(own)}
    return found
