"""What can be chosen for a finding on a picture, each with its key: class, zone, characteristic with its shapes."""

from portal.assess.finding import criterion_for
from portal.bench.index import Spot
from portal.bench.keys import digits, letters
from portal.bench.state import Bench
from portal.model.part import Part
from portal.model.readable import by_gauge, shapes_for
from portal.model.slug import natural
from portal.model.terms import Characteristic, ShapeKind
from portal.site.words import Speaker


def choices(bench: Bench, spot: Spot, speaker: Speaker) -> dict[str, object]:
    """Classes last used first, the zones of the part, what the criteria limit, every characteristic."""
    part = spot.part
    defects = _last_used_first(bench)
    zones = list(part.zones) if part else []
    return {
        "classes": [
            {
                "id": each,
                "term": bench.term(each, speaker.language),
                "names": _names(bench, each),
                "key": key,
                "edge": bench.catalogue.defects[each].edge.value,
            }
            for each, key in zip(defects, digits(len(defects)), strict=True)
        ],
        "zones": _zones(part, letters(zones)),
        "characteristics": _characteristics(speaker, _measured(bench)),
        "limited": _limited(bench, spot, part, defects) if part else {},
    }


def _names(bench: Bench, defect: str) -> list[list[str]]:
    """What a class is called, each name with its language; its id too, by which the files call it."""
    terms = bench.catalogue.defects[defect].terms
    return [[name, language] for language, many in terms.items() for name in many] + [[defect, ""]]


def _last_used_first(bench: Bench) -> list[str]:
    used: dict[str, str] = {}
    for found in bench.catalogue.findings():
        used[found.finding.defect] = max(used.get(found.finding.defect, ""), found.finding.at.order)
    known = sorted(bench.catalogue.defects, key=natural)
    return sorted(known, key=lambda each: used.get(each, ""), reverse=True)


def _zones(part: Part | None, keys: dict[str, str]) -> list[dict[str, object]]:
    if part is None:
        return []
    return [
        {
            "name": name,
            "class": zone.class_,
            "key": keys[name].upper(),
            "seen": {view: sees.sees[name].as_.value for view, sees in part.views.items() if name in sees.sees},
        }
        for name, zone in part.zones.items()
    ]


def _measured(bench: Bench) -> set[Characteristic]:
    """What findings of the catalogue were drawn or read by gauge for."""
    findings = [each.finding for each in bench.catalogue.findings()]
    return {each.characteristic for one in findings for each in (*one.shapes, *one.gauge)}


def _characteristics(speaker: Speaker, measured: set[Characteristic]) -> list[dict[str, object]]:
    names = {each: speaker.text(f"characteristic.{each.value}") for each in Characteristic}
    keys = letters(names.values())
    return [
        {
            "id": each.value,
            "name": name,
            "key": keys[name],
            "gauge": by_gauge(each),
            "used": each in measured,
            "shapes": [kind.value for kind in shapes_for(each)] or [kind.value for kind in ShapeKind],
        }
        for each, name in names.items()
    ]


def _limited(bench: Bench, spot: Spot, part: Part, defects: list[str]) -> dict[str, list[str]]:
    """By class and zone: the characteristics that the criterion in force limits, and what it counts."""
    found = {}
    for defect in defects:
        for zone in part.zones:
            applied = criterion_for(defect, zone, part, spot.trial, bench.catalogue)
            if applied is not None:
                own = applied.criterion
                wanted = [each.characteristic.value for each in own.limits]
                wanted += [Characteristic.COUNT.value] if own.count else []
                wanted += [Characteristic.SPACING.value] if own.spacing else []
                found[f"{defect}|{zone}"] = list(dict.fromkeys(wanted))
    return found
