"""One picture as it sees one zone: all that reading a shape on it needs."""

from dataclasses import dataclass

from portal.assess.facts import FactsByFile, facts_of
from portal.assess.scales import picture_scale
from portal.measure.shapes import measure_shape
from portal.model.catalogue import Catalogue
from portal.model.mould import Trial
from portal.model.part import Part
from portal.model.picture import Picture, PictureUnreadable
from portal.model.result import NoScale, Reading, Scale, Unmeasured
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.model.tag import Shape
from portal.model.terms import Made, SeenAs, ShapeKind


@dataclass(frozen=True, slots=True)
class Sight:
    """A picture's scale and view, and how the view sees the zone."""

    picture: str
    zone: str
    scale: Scale | NoScale
    view: str | None
    seen_as: SeenAs | None
    depth_um: float | None
    """How far surfaces of the zone may lie apart in height."""
    frame: Frame | None
    """The upright picture's; None where it can't be read."""
    made: Made

    def read(self, shape: Shape, index: int) -> Reading:
        """What the shape was drawn for, measured, or the reason why it can't be."""
        if self.frame is None:
            reason = self.scale.reason if isinstance(self.scale, NoScale) else Say.of("reason.picture-untagged")
            kind = ShapeKind(shape.shape)
            return Unmeasured(shape.characteristic, reason, picture=self.picture, shape=kind, index=index)
        return measure_shape(
            shape,
            scale=self.scale,
            seen_as=self.seen_as,
            zone=self.zone,
            zone_depth_um=self.depth_um,
            view=self.view,
            picture=self.picture,
            index=index,
            frame=self.frame,
            made=self.made,
        )


def sight_of(picture: Picture, zone: str, part: Part, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> Sight:
    """How that picture of the trial sees that zone of the part."""
    own, tag = facts_of(picture.file, facts), picture.tag
    view = part.views.get(tag.view) if tag and tag.view else None
    depth = part.zones[zone].depth if zone in part.zones else None
    return Sight(
        picture=picture.file,
        zone=zone,
        scale=picture_scale(picture, trial, facts, catalogue),
        view=tag.view if tag else None,
        seen_as=view.sees[zone].as_ if view and zone in view.sees else None,
        depth_um=depth.um if depth else None,
        frame=None if tag is None or isinstance(own, PictureUnreadable) else own.upright,
        made=tag.made if tag else Made.SINGLE,
    )
