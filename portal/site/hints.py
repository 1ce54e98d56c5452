"""For the inspector: numbers of a trial's pictures beside each other, so that one that is out of line stands out.

They are hints and no verdicts: each stands beside what the other pictures of the same view and setting come to.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from portal.model.mould import Mould, Trial
from portal.model.picture import Hints, Picture
from portal.model.result import TrialResult
from portal.model.say import Figure, Say
from portal.model.tag import BaseAndPoint, Shape
from portal.pictures.derive import Box, Hinted, Want
from portal.pictures.looks import nearest
from portal.site.address import asset
from portal.site.desk import Desk

ALIKE = 0.04
"""Two pictures that are less than this share of their contrast apart are told as alike. Chosen from what the sample and
some other people's pictures come to: 149 pairs of two pieces in the same view are at least 0.052 apart. Of 51 copies
each all are found that were saved anew (quality 60), made half as large, or cut by a quarter of a hundredth of their
side; 50 that are brighter by 12 codes, 43 cut by half a hundredth, 36 that are it, saved anew and brighter by a tenth,
20 cut by a hundredth. No source."""
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
    known = tuple(_known(desk, result, mould, trial))
    kinds = _kinds(desk, known)
    looks = nearest([hints.look for _, hints in known], within=ALIKE)
    return tuple(
        _row(desk, picture, hints, kinds.get(_kind(picture)), _alike(near, known))
        for (picture, hints), near in zip(known, looks, strict=True)
    )


Known = Sequence[tuple[Picture, Hints]]
Kind = tuple[str | None, ...] | None


def _known(desk: Desk, result: TrialResult, mould: Mould, trial: Trial) -> Iterator[tuple[Picture, Hints]]:
    for picture in trial.pictures:
        cavity = picture.tag.cavity if picture.tag else None
        want = hint_want(desk, picture)
        if want is None or desk.site.catalogue.part_of(mould, cavity) not in (result.part.id, None):
            continue
        derived = desk.derived.get(picture.file, {}).get(want)
        if derived is not None and derived.hints is not None:
            yield picture, derived.hints


def _kind(picture: Picture) -> Kind:
    """The view and the setting; None of a picture without a tag, which is like no other."""
    tag = picture.tag
    return (tag.view, tag.scope, tag.setting) if tag else None


@dataclass(frozen=True)
class _OfKind:
    """What all pictures of a view and setting come to, so that each is told beside the others at once."""

    frames: Counter[str]
    numbers: Mapping[bool, tuple[list[float], list[float], list[float]]]
    """By whether they were measured within what was drawn: sharpness, clipped, evenness, each in order."""

    def usual_frame(self, own: str) -> str | None:
        """That of more than half of the others, where it is another."""
        others = self.frames.total() - 1
        return next((each for each, count in self.frames.items() if each != own and 2 * count > others), None)

    def usual(self, own: Hints) -> tuple[Figure, Figure, Figure] | None:
        """The middle of what the others come to; None without any."""
        sharpness, clipped, evenness = self.numbers[own.within]
        if len(sharpness) < 2:
            return None
        return (
            _sharpness(middle_without(sharpness, own.sharpness)),
            _percent(middle_without(clipped, own.clipped)),
            _evenness(middle_without(evenness, own.evenness)),
        )


def _kinds(desk: Desk, known: Known) -> dict[Kind, _OfKind]:
    of: dict[Kind, list[tuple[Picture, Hints]]] = {}
    for picture, hints in known:
        if (kind := _kind(picture)) is not None:
            of.setdefault(kind, []).append((picture, hints))
    return {kind: _of_kind(desk, many) for kind, many in of.items()}


def _of_kind(desk: Desk, many: Known) -> _OfKind:
    alike = {within: [each for _, each in many if each.within == within] for within in (False, True)}
    numbers = {
        within: (
            sorted(each.sharpness for each in of),
            sorted(each.clipped for each in of),
            sorted(each.evenness for each in of),
        )
        for within, of in alike.items()
    }
    return _OfKind(Counter(_frame(desk, picture) for picture, _ in many), numbers)


def middle_without(values: Sequence[float], own: float) -> float:
    """The median of values in order without one of them."""
    left, at = len(values) - 1, bisect_left(values, own)
    upper, lower = (values[place + (place >= at)] for place in (left // 2, (left - 1) // 2))
    return upper if left % 2 else (lower + upper) / 2


def _row(desk: Desk, picture: Picture, hints: Hints, kind: _OfKind | None, alike: tuple[str, Figure] | None) -> HintRow:
    frame = _frame(desk, picture)
    return HintRow(
        name=picture.name,
        address=desk.addresses.picture(picture.file),
        view=picture.tag.view if picture.tag else None,
        frame=frame,
        frame_usual=kind.usual_frame(frame) if kind else None,
        sharpness=_sharpness(hints.sharpness),
        clipped=_percent(hints.clipped),
        evenness=_evenness(hints.evenness),
        within=hints.within,
        usual=kind.usual(hints) if kind else None,
        alike=alike,
    )


def _frame(desk: Desk, picture: Picture) -> str:
    facts = desk.facts(picture.file)
    return str(facts.stored) if facts else ""


def _alike(near: tuple[float, tuple[int, ...]] | None, known: Known) -> tuple[str, Figure] | None:
    """The nearest by its name; of several the first by name."""
    if near is None:
        return None
    return min(known[place][0].name for place in near[1]), _percent(near[0])


def _sharpness(value: float) -> Figure:
    return Figure(f"{value:.3g}")


def _percent(share: float) -> Figure:
    return Figure(f"{100 * share:.2f} %")


def _evenness(share: float) -> Figure:
    return Figure(f"{share:.2f}")


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
        (Say.of("hint.sharpness_of", where=where), _sharpness(derived.hints.sharpness)),
        (Say.of("hint.clipped_of", where=where), _percent(derived.hints.clipped)),
        (Say.of("hint.evenness"), _evenness(derived.hints.evenness)),
    )
    return OwnNumbers(lines, asset(derived.name))
