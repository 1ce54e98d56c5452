"""Which pictures a card shows, and which part of each: the finding, and its limit samples at the same scale."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from portal.model.catalogue import Found
from portal.model.part import Part
from portal.model.picture import Picture, PictureFacts
from portal.model.result import Assessment, Measurement, Scale
from portal.model.sample import LimitSample, SamplePicture, Side
from portal.model.tag import Shape
from portal.pictures.derive import Want, Whole
from portal.site.crop import Cut, Sight, common_field, cut, whole_field
from portal.site.desk import Desk
from portal.site.drawn import Line, anchor, dimension, extent, feature, lines_of
from portal.site.rect import Rect

PAIR, TRIPLE, BESIDE_MAP = 3 / 2, 5 / 4, 4 / 3
_COMPACT_PIXELS = 520


@dataclass(frozen=True)
class CardCuts:
    """The crops of one card; a limit sample without a crop can't be shown beside it."""

    picture: str
    main: Cut | None
    has_scale: bool
    lines: tuple[Line, ...]
    aspect: float
    samples: tuple[tuple[LimitSample, Cut | None, bool], ...]
    """Last good first; whether it is at the same physical scale."""


def card_cuts(desk: Desk, assessment: Assessment, part: Part, *, compact: bool) -> CardCuts:
    """What a card shows of a finding and of the limit samples that its criterion names."""
    found = desk.found[assessment.picture, assessment.finding]
    picture = _picture(found, assessment)
    shapes, measured = found.shapes_on(picture), _measured_on(picture.file, assessment)
    samples = [] if compact else list(_samples(desk, assessment))
    aspect = TRIPLE if len(samples) > 1 else PAIR if samples or compact else _beside_map(desk, picture, part)
    main = _sight(desk, picture.file, shapes, measured)
    lines = lines_over(shapes, measured)
    if main is None:
        return CardCuts(picture.file, None, False, lines, aspect, tuple((each, None, False) for each, _ in samples))
    scaled = isinstance(desk.scale(picture.file), Scale)
    sights = [(sample, sample_sight(desk, sample, each)) for sample, each in samples]
    same = [sight for _, sight in sights if sight is not None and scaled and has_scale(desk, sight.file)]
    nothing_drawn = extent(shapes, measured) is None or any(not each.shapes for _, each in samples)
    field = whole_field(main, aspect=aspect) if nothing_drawn else common_field(main, same, aspect=aspect)
    pixels = _COMPACT_PIXELS if compact else 1100
    return CardCuts(
        picture=picture.file,
        main=cut(main, field, pixels=pixels),
        has_scale=scaled,
        lines=lines,
        aspect=aspect,
        samples=tuple(_sample_cut(sample, sight, field, sight in same, aspect) for sample, sight in sights),
    )


def wants_of(cuts: CardCuts) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a card needs."""
    for part in (cuts.main, *(each for _, each, _ in cuts.samples)):
        if part is not None:
            yield part.file, part.want


def smaller_of(cuts: CardCuts) -> Iterator[tuple[str, Want]]:
    """The same in small, which a trial's page has beside them; a review that is sent keeps none."""
    for part in (cuts.main, *(each for _, each, _ in cuts.samples)):
        if part is not None and part.smaller is not None:
            yield part.file, part.smaller


def lines_over(shapes: Sequence[Shape], measured: Sequence[Measurement]) -> tuple[Line, ...]:
    """Everything to be drawn over a picture of a finding: what the inspector drew, and the dimensions read from it."""
    dimensions = (
        dimension(each.trace, shapes[each.index] if each.index < len(shapes) else None)
        for each in measured
        if len(each.trace) == 2 and each.trace[0] != each.trace[1]
    )
    return (*(line for shape in shapes for line in lines_of(shape)), *dimensions)


def sample_file(sample: LimitSample, picture: SamplePicture) -> str:
    """The file of a limit sample's picture."""
    return f"{sample.folder}/{picture.file}"


def thumb_want(desk: Desk, file: str, *, pixels: int = 320) -> Whole | None:
    """A small picture of the whole."""
    facts = desk.facts(file)
    return Whole(max(1, facts.upright.width // pixels)) if facts else None


def _picture(found: Found, assessment: Assessment) -> Picture:
    """The picture of the measurement that decides, else the one under which the finding is written."""
    worst = max(assessment.held, key=lambda held: held.word.badness, default=None)
    file = worst.measurement.picture if worst and worst.measurement else None
    measured = next((each.picture for each in assessment.measured() if each.picture), None)
    return next((each for each in found.pictures() if each.file == (file or measured)), found.picture)


def _measured_on(file: str, assessment: Assessment) -> tuple[Measurement, ...]:
    return tuple(each for each in assessment.measured() if each.picture == file)


def _beside_map(desk: Desk, picture: Picture, part: Part) -> float:
    """The shape of a card's picture that stands beside its view's reference, so that both are of one height."""
    view = part.views.get(picture.tag.view or "") if picture.tag else None
    facts = desk.facts(f"parts/{part.id}/{view.reference}") if view and view.reference else None
    ratio = facts.upright.width / facts.upright.height if facts else PAIR
    return BESIDE_MAP if abs(ratio - BESIDE_MAP) < abs(ratio - PAIR) else PAIR


def _sight(desk: Desk, file: str, shapes: tuple[Shape, ...], measured: tuple[Measurement, ...] = ()) -> Sight | None:
    facts, scale = desk.facts(file), desk.scale(file)
    if facts is None:
        return None
    x, y = (scale.x_um, scale.y_um) if isinstance(scale, Scale) else (1.0, 1.0)
    frame = facts.upright
    middle = (frame.width / 2, frame.height / 2)
    covers = extent(shapes, measured) or Rect(*middle, *middle)
    return Sight(file, frame, x, y, anchor(shapes) or covers.centre, covers, feature(shapes, measured) or covers)


def _samples(desk: Desk, assessment: Assessment) -> Iterator[tuple[LimitSample, SamplePicture]]:
    for sample in _beside(desk, assessment):
        if sample.pictures:
            yield sample, best_picture(desk, sample)


def _beside(desk: Desk, assessment: Assessment) -> tuple[LimitSample, ...]:
    """The limit samples that the criterion names; for a side that it doesn't name, the one that was kept last.

    One that shows the finding's own picture isn't put beside it.
    """
    if assessment.applied is None:
        return ()
    named, known = assessment.applied.criterion, desk.site.catalogue.limit_samples
    found = {known[name].side: known[name] for name in named.sample_ids if name in known}
    for sample in desk.site.catalogue.samples_for(assessment.part, named):
        if sample.expires is None or sample.expires >= desk.site.as_of:
            found.setdefault(sample.side, sample)
    facts = desk.site.facts.get(assessment.picture)
    own = facts.sha256 if isinstance(facts, PictureFacts) else None
    kept = (found[side] for side in Side if side in found)
    return tuple(each for each in kept if own not in {picture.sha256 for picture in each.pictures})


def best_picture(desk: Desk, sample: LimitSample) -> SamplePicture:
    """The sample's first picture with a scale, else its first."""
    scaled = (each for each in sample.pictures if has_scale(desk, sample_file(sample, each)))
    return next(scaled, sample.pictures[0])


def sample_sight(desk: Desk, sample: LimitSample, picture: SamplePicture) -> Sight | None:
    """The sight of a limit sample's picture; None where it can't be shown."""
    return _sight(desk, sample_file(sample, picture), picture.shapes)


def has_scale(desk: Desk, file: str) -> bool:
    """Whether sizes can be told of a picture."""
    return isinstance(desk.scale(file), Scale)


def _sample_cut(
    sample: LimitSample, sight: Sight | None, field: Rect, same: bool, aspect: float
) -> tuple[LimitSample, Cut | None, bool]:
    if sight is None:
        return sample, None, False
    return sample, cut(sight, field if same else whole_field(sight, aspect=aspect)), same
