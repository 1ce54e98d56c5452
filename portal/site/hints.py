"""For the inspector: numbers of a trial's pictures beside each other, so that one that is out of line stands out.

They are hints and no verdicts: each stands beside what the other pictures of the same view and setting come to.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from portal.model.mould import Mould, Trial
from portal.model.picture import Hints, Picture
from portal.model.result import TrialResult
from portal.model.say import Figure, Say
from portal.model.tag import BaseAndPoint, Shape
from portal.pictures.derive import Box, Hinted, Want
from portal.pictures.hints import apart
from portal.site.address import asset
from portal.site.desk import Desk

ALIKE = 1.0
"""Two pictures whose brightness is less than so many codes apart are told as alike. Tried on the sample: pictures of
two pieces are at least 2.5 apart, one that was saved anew or made smaller at most 0.4; no source."""
_MARGIN_PX = 12


@dataclass(frozen=True, slots=True)
class HintRow:
    """One picture's numbers, each with what it stands beside."""

    name: str
    address: str | None
    view: str | None
    frame: str
    frame_usual: str | None
    """That of most pictures of the view and setting, where it is another."""
    sharpness: Figure
    clipped: Figure
    evenness: Figure
    within: bool
    usual: tuple[Figure, Figure, Figure] | None
    """The middle of what the others of the view and setting come to that were measured alike; None without any."""
    alike: tuple[str, Figure] | None
    """Another picture of the trial that looks the same, and how far apart both are."""


def hint_want(desk: Desk, picture: Picture) -> Hinted | None:
    """What is wanted of a trial's picture; nothing of a movie, and nothing for anybody but the shop."""
    if not desk.for_shop or desk.facts(picture.file) is None or desk.movie(picture.file):
        return None
    tag = picture.tag
    shapes = [*(each.shapes for each in tag.findings), *(each.shapes for each in tag.also)] if tag else []
    return Hinted(tuple(dict.fromkeys(_around(shape) for many in shapes for shape in many)))


def hint_wants(desk: Desk, picture: Picture) -> Iterator[tuple[str, Want]]:
    """The same with the file."""
    want = hint_want(desk, picture)
    if want is not None:
        yield picture.file, want


def hint_rows(desk: Desk, result: TrialResult) -> tuple[HintRow, ...]:
    """A row for each picture of the trial that shows the part, or nobody knows what; none but for the shop."""
    if not desk.for_shop:
        return ()
    mould, trial = desk.mould(result), desk.trial(result)
    known = dict(_known(desk, result, mould, trial))
    return tuple(_row(desk, picture, hints, known) for picture, hints in known.values())


Known = Mapping[str, tuple[Picture, Hints]]


def _known(desk: Desk, result: TrialResult, mould: Mould, trial: Trial) -> Iterator[tuple[str, tuple[Picture, Hints]]]:
    for picture in trial.pictures:
        cavity = picture.tag.cavity if picture.tag else None
        want = hint_want(desk, picture)
        if want is None or desk.site.catalogue.part_of(mould, cavity) not in (result.part.id, None):
            continue
        derived = desk.derived.get(picture.file, {}).get(want)
        if derived is not None and derived.hints is not None:
            yield picture.file, (picture, derived.hints)


def _row(desk: Desk, picture: Picture, hints: Hints, known: Known) -> HintRow:
    others = [each for each in known.values() if each[0].file != picture.file]
    of_kind = [each for each in others if _same_kind(picture, each[0])]
    beside = [each for _, each in of_kind if each.within == hints.within]
    usual = tuple(_figures(beside)) if beside else ()
    frame, frames = str(_frame(desk, picture)), [str(_frame(desk, each)) for each, _ in of_kind]
    most = max(dict.fromkeys(frames), key=frames.count) if frames else frame
    return HintRow(
        name=picture.name,
        address=desk.addresses.picture(picture.file),
        view=picture.tag.view if picture.tag else None,
        frame=frame,
        frame_usual=most if most != frame and 2 * frames.count(most) > len(frames) else None,
        sharpness=_sharpness([hints]),
        clipped=_percent([hints]),
        evenness=_evenness([hints]),
        within=hints.within,
        usual=(usual[0], usual[1], usual[2]) if usual else None,
        alike=_alike(hints, others),
    )


def _same_kind(one: Picture, other: Picture) -> bool:
    """Whether both are of the same view and setting."""
    a, b = one.tag, other.tag
    return a is not None and b is not None and (a.view, a.scope, a.setting) == (b.view, b.scope, b.setting)


def _frame(desk: Desk, picture: Picture) -> object:
    facts = desk.facts(picture.file)
    return facts.stored if facts else ""


def _alike(hints: Hints, others: Sequence[tuple[Picture, Hints]]) -> tuple[str, Figure] | None:
    near = min(((apart(hints.look, each.look), picture.name) for picture, each in others), default=None)
    return (near[1], Figure(f"{near[0]:.1f}")) if near and near[0] < ALIKE else None


def _figures(many: Sequence[Hints]) -> Iterator[Figure]:
    yield _sharpness(many)
    yield _percent(many)
    yield _evenness(many)


def _sharpness(many: Sequence[Hints]) -> Figure:
    return Figure(f"{median(each.sharpness for each in many):.3g}")


def _percent(many: Sequence[Hints]) -> Figure:
    return Figure(f"{100 * median(each.clipped for each in many):.2f} %")


def _evenness(many: Sequence[Hints]) -> Figure:
    return Figure(f"{median(each.evenness for each in many):.2f}")


def _around(shape: Shape) -> Box:
    """The box around what was drawn, with the edge on both sides of it."""
    points = [*shape.base.xy, *shape.point.xy] if isinstance(shape, BaseAndPoint) else [*shape.points.xy]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (
        round(min(xs)) - _MARGIN_PX,
        round(min(ys)) - _MARGIN_PX,
        round(max(xs)) + _MARGIN_PX,
        round(max(ys)) + _MARGIN_PX,
    )


@dataclass(frozen=True, slots=True)
class OwnNumbers:
    """A picture's own numbers, for its page."""

    lines: tuple[tuple[Say, Figure], ...]
    path: str
    """The same as data: a file that no page names doesn't stay."""


def own_numbers(desk: Desk, picture: Picture) -> OwnNumbers | None:
    """A picture's own numbers; None but for the shop."""
    want = hint_want(desk, picture)
    derived = desk.derived.get(picture.file, {}).get(want) if want else None
    if derived is None or derived.hints is None:
        return None
    where = Say.of("hint.in_outline" if derived.hints.within else "hint.in_middle")
    lines = (
        (Say.of("hint.sharpness_of", where=where), _sharpness([derived.hints])),
        (Say.of("hint.clipped_of", where=where), _percent([derived.hints])),
        (Say.of("hint.evenness"), _evenness([derived.hints])),
    )
    return OwnNumbers(lines, asset(derived.name))
