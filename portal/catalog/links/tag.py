"""What tags name: cavity, piece, view, scope, defect classes, zones, people, findings."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.catalog.links.point import to_one_of, to_person, to_record
from portal.catalog.links.scope import check_setting
from portal.catalog.links.trial import check_seen, part_of
from portal.catalog.shelf import Shelf, TrialFolder
from portal.model.part import Part
from portal.model.tag import Finding, More, Tag
from portal.problem import FieldPath, did_you_mean


def check_tag(shelf: Shelf, folder: TrialFolder, tag: Tag) -> None:
    """One tag, apart from its findings' ids."""
    mould = shelf.moulds.get(folder.mould)
    check_seen(shelf, tag, mould, folder.trial)
    check_setting(shelf, tag.file, (), tag.scope, tag.setting)
    part = part_of(shelf, mould, tag.cavity)
    if part is not None:
        _check_view(shelf, tag, part)
    for index, finding in enumerate(tag.findings):
        _check_finding(shelf, tag.file, ("findings", str(index)), finding, part)
    for index, more in enumerate(tag.also):
        to_person(shelf, tag.file, ("also", str(index), "by"), more.by)


def _check_view(shelf: Shelf, tag: Tag, part: Part) -> None:
    if tag.view is None:
        if tag.known is not None:
            shelf.say(tag.file, ("known",), "a known feature is one of a view; name the `view`")
        return
    if to_one_of(shelf, tag.file, ("view",), tag.view, part.views, f"no view of part `{part.id}`") and tag.known:
        feature = part.views[tag.view].known_feature
        known = [feature.name] if feature is not None else []
        at = ("known", "feature")
        to_one_of(shelf, tag.file, at, tag.known.feature, known, f"no known feature of view `{tag.view}`")


def _check_finding(shelf: Shelf, file: str, path: FieldPath, finding: Finding, part: Part | None) -> None:
    to_record(shelf, file, (*path, "defect"), "defect", finding.defect, shelf.defects)
    if part is not None:
        for zone in _zones(finding.zone, part):
            to_one_of(shelf, file, (*path, "zone"), zone, part.zones, f"no zone of part `{part.id}`")
    to_person(shelf, file, (*path, "by"), finding.by)


def _zones(written: str, part: Part) -> tuple[str, ...]:
    """The zone, or the zones of a border written as `A/B`."""
    return (written,) if written in part.zones else tuple(zone.strip() for zone in written.split("/"))


@dataclass(frozen=True, slots=True)
class _Written:
    """A finding where it is written."""

    finding: Finding
    tag: Tag
    path: FieldPath


def check_ids(shelf: Shelf) -> None:
    """A finding's id is unique in the part, over all its trials."""
    first: dict[tuple[str, str], tuple[str, FieldPath]] = {}
    for folder in shelf.trials:
        mould = shelf.moulds.get(folder.mould)
        for each in _written(folder):
            part = part_of(shelf, mould, each.tag.cavity)
            whose = part.id if part is not None else f"/{folder.mould}"
            here = (each.tag.file, (*each.path, "id"))
            there = first.setdefault((whose, each.finding.id), here)
            if there != here:
                where = f"{there[0]}:{shelf.places.line(*there)}"
                message = f"finding `{each.finding.id}` is already written in {where}"
                shelf.say(each.tag.file, here[1], message, "an id is used once in a part; take a new one")


def check_also(shelf: Shelf, folder: TrialFolder) -> None:
    """Shapes under `also` belong to a finding of another picture of the same piece."""
    written = {each.finding.id: each for each in _written(folder)}
    for tag in folder.tags:
        for index, more in enumerate(tag.also):
            path = ("also", str(index), "finding")
            home = written.get(more.finding)
            if home is None:
                if not folder.tags_broken:
                    message = f"finding `{more.finding}` is written under no picture of this trial"
                    shelf.say(tag.file, path, message, did_you_mean(more.finding, written))
            else:
                _check_more(shelf, tag, path, more, home.tag)


def _check_more(shelf: Shelf, tag: Tag, path: FieldPath, more: More, home: Tag) -> None:
    if home.file == tag.file:
        message = f"finding `{more.finding}` is written under this very picture; put its shapes there"
        shelf.say(tag.file, path, message)
    for key in ("piece", "cavity", "shot"):
        mine, other = getattr(tag, key), getattr(home, key)
        if mine is not None and other is not None and mine != other:
            message = f"finding `{more.finding}` is on {key} `{other}`, this picture shows {key} `{mine}`"
            shelf.say(tag.file, path, message)
            return


def _written(folder: TrialFolder) -> Iterator[_Written]:
    for tag in folder.tags:
        for index, finding in enumerate(tag.findings):
            yield _Written(finding, tag, ("findings", str(index)))
