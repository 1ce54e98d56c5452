"""A limit sample made from a finding: its value, its pictures with what was drawn, who agreed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from portal.assess.scales import picture_scale
from portal.model import show
from portal.model.catalogue import Found
from portal.model.logstate import Ticked
from portal.model.picture import PictureFacts
from portal.model.result import Assessment, Measurement, Scale
from portal.model.sample import LimitSample, Side
from portal.model.standard import Criterion, Limit
from portal.problem import PortalError
from portal.tasks.opened import Opened

FOLDER = "limit-samples"


@dataclass(frozen=True)
class Pictured:
    """A picture of the finding, to be copied."""

    name: str
    content: bytes
    record: dict[str, object]
    has_scale: bool


def found_of(opened: Opened, finding: str) -> Found:
    """The finding where it is written; an id is unique in a part, so its trial tells which of several parts'."""
    result, assessment = opened.finding(finding)
    for each in opened.gathered.catalogue.findings():
        if each.finding.id == finding and each.picture.file == assessment.picture:
            return each
    raise PortalError(f"{result.part.id} has no finding `{finding}`", code=2)


def pictured(opened: Opened, finding: str) -> tuple[Pictured, ...]:
    """Every picture that shows the finding, its own first; refused where none can be read."""
    found = found_of(opened, finding)
    shown = tuple(each for each in (_pictured(opened, found, picture.file) for picture in found.pictures()) if each)
    if not shown:
        raise PortalError(f"no picture of {finding} can be read", hint="`portal check` says why")
    return shown


def _pictured(opened: Opened, found: Found, file: str) -> Pictured | None:
    facts = opened.gathered.facts.get(file)
    picture = next(each for each in found.pictures() if each.file == file)
    if not isinstance(facts, PictureFacts):
        return None
    name = file.rpartition("/")[2]
    if facts.movie is not None:
        raise PortalError(f"{file} is a movie, and a limit sample is shown by pictures", hint="take a picture of it")
    if facts.masks:
        message = f"{file} has a part that nobody else may see, and a limit sample's picture is shown whole"
        raise PortalError(message, hint="keep another picture of it, or save one in which that part is black")
    tag, shapes = picture.tag, [each.given() for each in found.shapes_on(picture)]
    record = {
        "file": name,
        "sha256": facts.sha256,
        "stored": str(facts.stored),
        "scope": tag.scope if tag else None,
        "setting": tag.setting if tag else None,
        "shapes": shapes,
    }
    scale = picture_scale(picture, found.trial, opened.gathered.facts, opened.gathered.catalogue)
    content = (opened.gathered.folder / file).read_bytes()
    return Pictured(name, content, {key: each for key, each in record.items() if each}, isinstance(scale, Scale))


def sample_of(
    opened: Opened,
    tick: Ticked,
    shown: tuple[Pictured, ...],
    *,
    given: Mapping[str, object],
    id_: str,
    pair: str | None,
) -> LimitSample:
    """The record; refused where no criterion says under which condition it holds, or its value is on the wrong side."""
    _, assessment = opened.finding(tick.finding.finding)
    found = found_of(opened, tick.finding.finding)
    if assessment.applied is None:
        message = f"no criterion applies to {found.finding.id}: it isn't known under which condition it is a sample"
        raise PortalError(message, hint="enter what was agreed as a criterion first")
    criterion = assessment.applied.criterion
    data: dict[str, object] = {
        "format": "1",
        "kind": given["kind"],
        "part": opened.part.id,
        "defect": found.finding.defect,
        "zone_class": _zone_class(opened, found, criterion),
        "side": str(tick.side),
        "condition": criterion.condition,
        **_value(assessment, tick.side),
        "pieces": _pieces(given, found, id_),
        "pictures": [each.record for each in shown],
        "agreed": {
            "shop": {"by": opened.by.id, "date": opened.today.isoformat()},
            "customer": {"by": tick.by.name, "date": _day(opened, tick.at)},
        },
        "expires": given["expires"],
    }
    data["pair"] = pair or _other_side(opened, data)
    folder = f"{FOLDER}/{id_}"
    paths = {"id": id_, "folder": folder, "file": f"{folder}/sample.yaml"}
    return LimitSample.model_validate({**{key: each for key, each in data.items() if each}, **paths})


def _day(opened: Opened, at: str) -> str:
    """The shop's day of a moment of the log."""
    moment = datetime.strptime(at, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    return moment.astimezone(ZoneInfo(opened.gathered.catalogue.shop.time_zone)).date().isoformat()


def _zone_class(opened: Opened, found: Found, criterion: Criterion) -> str:
    if criterion.zone_class is not None:
        return criterion.zone_class
    if found.finding.zone in opened.part.zones:
        return opened.part.zones[found.finding.zone].class_
    raise PortalError(f"{found.finding.id} lies across a border: it is no sample of one zone class")


def _value(assessment: Assessment, side: Side) -> dict[str, object]:
    """The measured value ± U, where the criterion has one limit and it was measured."""
    held = [each for each in assessment.held if each.measurement is not None]
    if len(held) != 1 or held[0].measurement is None or held[0].measurement.power != 1:
        return {}
    limit, measurement = held[0].limit, held[0].measurement
    if limit.allows(measurement.value) != (side is Side.LAST_GOOD):
        where = "beyond" if side is Side.LAST_GOOD else "within"
        text = _text(measurement, limit)[0]
        message = f"{assessment.finding} measures {text}, which is {where} its own limit: it can't stand for {side}"
        raise PortalError(message, hint="have another limit agreed first, or keep another piece")
    value, u = _text(measurement, limit)
    return {"value": value, "u": u}


def _text(measurement: Measurement, limit: Limit) -> tuple[str, str]:
    bounds = [each for each in (limit.min, limit.max) if each is not None]
    unit = "in" if any(each.unit == "in" for each in bounds) else "mm"
    whole = show.measured(measurement.value, measurement.expanded, unit, against_um=tuple(each.um for each in bounds))
    value, _, u = whole.replace(show.MINUS, "-").partition(" ± ")
    return value, u


def _pieces(given: Mapping[str, object], found: Found, id_: str) -> list[dict[str, object]]:
    tag, held = found.picture.tag, given["pieces"]
    where = {"cavity": tag.cavity, "shot": str(tag.shot)} if tag and tag.shot is not None else {}
    return [
        {"serial": f"{id_}-{chr(ord('a') + number)}", **{key: each for key, each in where.items() if each}, **piece}
        for number, piece in enumerate(held if isinstance(held, list) else ())
    ]


def _other_side(opened: Opened, data: Mapping[str, object]) -> str | None:
    """The one sample of the other side that lacks a partner."""
    keys = ("part", "defect", "zone_class", "condition")
    samples = opened.gathered.catalogue.limit_samples
    paired = {each.pair for each in samples.values()}
    free = [
        each.id
        for each in samples.values()
        if all(getattr(each, key) == data[key] for key in keys)
        and str(each.side) != data["side"]
        and each.pair is None
        and each.id not in paired
        and each.replaced_by is None
    ]
    return free[0] if len(free) == 1 else None
