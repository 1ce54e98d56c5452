"""Findings of one class on one picture as a group: what counts and spacing are made of.

All findings of a class in a zone on the same picture form one group, written there or under `also`, and what their
count comes to is the same for each of them. It is worked out once and kept for the others.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from portal.assess.facts import FactsByFile
from portal.assess.sight import Sight, sight_of
from portal.judge import numbers, sized
from portal.judge.concern import concern_of
from portal.judge.criteria import choose
from portal.measure.places import PictureRuler, countables_in, places_of
from portal.measure.rules import count_refusal
from portal.model.basis import group_digest
from portal.model.catalogue import Catalogue, Found
from portal.model.countable import Countable, Group
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.result import Applied, CountedOn, Held, NoScale, Reading, Scale
from portal.model.say import Say
from portal.model.standard import Criterion
from portal.model.tag import BaseAndPoint, Finding, LineShape, PointShape, Shape
from portal.model.terms import Characteristic, Edge, Seen

_BY_PREFERENCE = (
    Characteristic.COUNT,
    Characteristic.SPACING,
    Characteristic.DIAMETER,
    Characteristic.EQUIVALENT_DIAMETER,
    Characteristic.AREA,
    Characteristic.LENGTH,
    Characteristic.WIDTH,
    Characteristic.RUN,
    Characteristic.PERIMETER,
)
"""A finding that was drawn for several characteristics is counted by the first of these that it has, so that a speck
drawn for its diameter and again for its area is one speck."""


@dataclass
class Groups:
    """What counts come to on the pictures of a catalogue, each worked out once."""

    facts: FactsByFile
    catalogue: Catalogue
    _known: dict[tuple[object, ...], "Tallied"] = field(default_factory=dict)

    def tallied(self, found: Found, zone: str, part: Part, applied: Applied) -> "Tallied":
        """The counts and the spacing that the criterion demands, for the group of that finding in that zone."""
        criterion = applied.criterion
        if not numbers.counts_pieces(criterion):
            return Tallied()
        pictures = tuple({each.file: each for each in found.pictures()}.values())
        key = (applied.file, criterion.id, criterion.revision, part.id, zone, *(each.file for each in pictures))
        if key not in self._known:
            soft = self.catalogue.defects[criterion.defect].edge is Edge.SOFT
            around = _Around(part, found.mould, found.trial, applied, zone, self.facts, self.catalogue)
            groups = [around.group(picture) for picture in pictures]
            self._known[key] = Tallied(
                numbers.hold_counts(criterion, groups, zone=zone, soft=soft),
                tuple(around.counted_on(picture) for picture in pictures),
            )
        return self._known[key]


@dataclass(frozen=True, slots=True)
class Tallied:
    """What the counts and the spacing of a group come to, and what they rest on."""

    held: tuple[Held, ...] = ()
    on: tuple[CountedOn, ...] = ()


def zones_of(part: Part, written: str) -> tuple[str, ...]:
    """The zone, or the two of a border written as `A/B`."""
    if written in part.zones:
        return (written,)
    both = tuple(dict.fromkeys(zone.strip() for zone in written.split("/")))
    return both if len(both) > 1 and all(zone in part.zones for zone in both) else (written,)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A finding with what of it is counted on one picture."""

    finding: Finding
    zones: tuple[str, ...]
    shapes: tuple[Shape, ...]
    shows_all: bool
    """The finding says that this picture, under which it is written, shows all of its zone."""


@dataclass(frozen=True, slots=True)
class _Around:
    """What is known around a group: the part, its trial, the criterion and the zone in which it is judged."""

    part: Part
    mould: Mould
    trial: Trial
    applied: Applied
    zone: str
    facts: FactsByFile
    catalogue: Catalogue

    def group(self, picture: Picture) -> Group:
        """All that the criterion may have to count on one picture."""
        criterion, sight = self.applied.criterion, self._sight(picture, self.zone)
        drawn, ruled = tuple(self._drawn_on(picture)), self._ruled()
        whole = {zone for each in drawn if each.shows_all for zone in each.zones}
        return Group(
            items=tuple(
                item
                for each in drawn
                if any(zone in ruled for zone in each.zones)
                for item in self._items(each, self._sight(picture, each.zones[0]), criterion)
            ),
            whole_zone=self.zone in whole,
            whole_part=ruled <= whole,
            ruler=_ruler(sight),
            refused=count_refusal(seen_as=sight.seen_as, zone=self.zone, view=sight.view),
        )

    def counted_on(self, picture: Picture) -> CountedOn:
        """What a count on that picture rests on."""
        scale = self._sight(picture, self.zone).scale
        findings = [each.finding for each in self._drawn_on(picture)]
        return CountedOn(picture.file, group_digest(picture, findings), scale if isinstance(scale, Scale) else None)

    def _sight(self, picture: Picture, zone: str) -> Sight:
        return sight_of(picture, zone, self.part, self.trial, self.facts, self.catalogue)

    def _ruled(self) -> frozenset[str]:
        """The zones that the criterion rules; only the judged one where nothing counts over the whole part."""
        if not any(band.per == "part" for band in self.applied.criterion.count):
            return frozenset({self.zone})
        return frozenset(zone for zone in self.part.zones if self._rules(zone)) | {self.zone}

    def _rules(self, zone: str) -> bool:
        chosen = choose(
            self.applied.criterion.defect,
            zone,
            part=self.part,
            trial=self.trial,
            standards=self.catalogue.standards,
            broken=self.catalogue.broken,
        )
        return chosen.applied == self.applied

    def _drawn_on(self, picture: Picture) -> Iterator[_Drawn]:
        """Findings of the classes that are counted, with what was drawn of them there.

        One that was drawn nowhere counts on the picture under which it is written.
        """
        criterion = self.applied.criterion
        counted = {criterion.defect}.union(*(band.together_with for band in criterion.count))
        for finding, own in _findings(self.trial, self.mould, picture):
            if finding.defect not in counted or not self._exists(finding):
                continue
            found = Found(finding, own, self.trial, self.mould)
            shapes = found.shapes_on(picture)
            if shapes or (picture.file == own.file and not any(map(found.shapes_on, found.pictures()))):
                shows_all = bool(finding.whole_zone) and picture.file == own.file
                yield _Drawn(finding, zones_of(self.part, finding.zone), _counted(shapes), shows_all)

    def _exists(self, finding: Finding) -> bool:
        """Whether it counts though it may not have been seen at the set condition."""
        if finding.seen is not Seen.NO:
            return True
        defect, zone = self.catalogue.defects.get(finding.defect), self.part.zones.get(self.zone)
        criterion = self.applied.criterion
        return defect is not None and concern_of(finding, defect=defect, zone=zone, criterion=criterion) is not None

    def _items(self, drawn: _Drawn, sight: Sight, criterion: Criterion) -> Iterator[Countable]:
        finding, shapes = drawn.finding, drawn.shapes
        unsure = Say.of("reason.not-checked") if finding.seen is Seen.NOT_CHECKED else None
        if not shapes:
            yield Countable(finding.id, None, finding.defect, drawn.zones, is_drawn=False, unsure=unsure)
        several, number = sum(countables_in(shape) for shape in shapes) > 1, 0
        for index, shape in enumerate(shapes):
            sizes = tuple(_sizes(shape, index, sight, sized.needed(criterion)))
            places = places_of(shape, sight.scale) if isinstance(sight.scale, Scale) else (None,) * countables_in(shape)
            for place in places:
                number += 1
                yield Countable(
                    finding=finding.id,
                    number=number if several else None,
                    defect=finding.defect,
                    zones=drawn.zones,
                    place=place,
                    sizes=sizes,
                    is_line=isinstance(shape, LineShape),
                    is_sizable=not isinstance(shape, (PointShape, BaseAndPoint)),
                    unsure=unsure,
                )


def _ruler(sight: Sight) -> PictureRuler | Say:
    """What measures distances on a picture, or why it has no scale."""
    scale = sight.scale
    if isinstance(scale, NoScale):
        return scale.reason
    shown_um = min(sight.frame.width * scale.x_um, sight.frame.height * scale.y_um) if sight.frame else 0.0
    return PictureRuler(shown_um, scale, sight.depth_um, sight.picture)


def _findings(trial: Trial, mould: Mould, picture: Picture) -> Iterator[tuple[Finding, Picture]]:
    """Findings that a picture may show, each with the picture under which it is written."""
    if picture.tag is None:
        return
    also = {more.finding for more in picture.tag.also}
    for own in trial.pictures if also else (picture,):  # else a trial of many pictures is gone through for each of them
        for finding in own.tag.findings if own.tag else ():
            if own.file == picture.file or (finding.id in also and mould.may_share_part(own, picture)):
                yield finding, own


def _counted(shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    """The shapes by which a finding is counted; one that was drawn for none of those counts as one, without a size."""
    for characteristic in _BY_PREFERENCE:
        found = tuple(shape for shape in shapes if shape.characteristic is characteristic)
        if found:
            return found
    return tuple(shapes[:1])


def _sizes(shape: Shape, index: int, sight: Sight, needed: frozenset[Characteristic]) -> Iterator[Reading]:
    if not needed or isinstance(shape, (PointShape, BaseAndPoint)):
        return
    for characteristic in {Characteristic.LENGTH} if isinstance(shape, LineShape) else sorted(needed):
        yield sight.read(shape.model_copy(update={"characteristic": characteristic}), index)
