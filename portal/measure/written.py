"""The scale that a picture's file states of itself, and how it stands beside a better one.

It comes last: a calibration of the setting that the tag names goes before, then a reference that lies in the picture.
What goes before is held against it all the same, as the camera program that wrote it may know another setting.
"""

from dataclasses import replace

from portal.measure import assumed
from portal.measure.budget import rectangular
from portal.measure.scale import no_scale
from portal.model.picture import PictureFacts, WrittenScale
from portal.model.result import FromFile, NoScale, Scale
from portal.model.say import Figure, Say

FILE_APART = 0.02
"""A scale that is further from what the file states than this is a problem; common practice, no source."""

_SAME = 0.001
"""Two statements of one file that are no further apart are the same, rounded: densities are kept as fractions."""


def by_file(facts: PictureFacts) -> Scale | NoScale | None:
    """The upright scale by the file alone; no scale where it contradicts itself, None where it states none."""
    if not facts.written:
        return None
    first, *others = facts.written
    for other in others:
        if _apart(first.x_um, other.x_um) > _SAME or _apart(first.y_um, other.y_um) > _SAME:
            return no_scale("file-contradicts", one=_pitch(first), other=_pitch(other))
    if facts.declared is not None and facts.declared not in (facts.stored, facts.stored.turned):
        return no_scale("resized", stored=str(facts.stored), frame=str(facts.declared))
    x, y = _upright(first, facts)
    u = rectangular(assumed.FILE_SCALE_SHARE)
    return Scale(x_um=x, y_um=y, u_x_um=u * x, u_y_um=u * y, given_by=FromFile(first.by))


def held_by_file(scale: Scale, facts: PictureFacts) -> Scale | NoScale:
    """A scale that was found otherwise, unless the file states another."""
    for each in facts.written:
        x, y = _upright(each, facts)
        if _apart(x, scale.x_um) > FILE_APART or _apart(y, scale.y_um) > FILE_APART:
            return no_scale("file", ours=_figure(scale.x_um, scale.y_um), file=_figure(x, y))
    if not facts.written:
        return scale
    said = Say.of("measure.held.file", file=_figure(*_upright(facts.written[0], facts)))
    return replace(scale, held=(*scale.held, said))


def _upright(written: WrittenScale, facts: PictureFacts) -> tuple[float, float]:
    pair = written.x_um, written.y_um
    return pair[::-1] if facts.orientation >= 5 else pair


def _apart(one: float, other: float) -> float:
    return abs(one - other) / other


def _pitch(written: WrittenScale) -> Figure:
    return _figure(written.x_um, written.y_um)


def _figure(x: float, y: float) -> Figure:
    return Figure(f"{x:.4g} µm" if _apart(x, y) <= _SAME else f"{x:.4g} × {y:.4g} µm")
