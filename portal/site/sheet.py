"""The cavity × view sheet: a contact sheet that also shows what is missing."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.mould import Looked, Trial
from portal.model.part import Part
from portal.model.result import Assessment, SheetFrame, TrialResult
from portal.model.say import Figure, Say
from portal.model.slug import natural
from portal.pictures.derive import Want
from portal.site.card import anchor_of
from portal.site.desk import Desk, Image
from portal.site.marks import word_key
from portal.site.sights import thumb_want


@dataclass(frozen=True, slots=True)
class Thumb:
    """A small picture with the page it leads to."""

    image: Image | None
    address: str | None
    alt: Say
    name: str
    moving: Say | None = None
    """Of a movie: that it is one, and how long."""


@dataclass(frozen=True, slots=True)
class FindingMark:
    """A finding's mark in a frame."""

    finding: str
    word: str
    anchor: str


@dataclass(frozen=True, slots=True)
class FrameCell:
    """One frame of the sheet."""

    thumbs: tuple[Thumb, ...]
    marks: tuple[FindingMark, ...]
    looked: tuple[Say, ...]
    missing: Say | None


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One cavity."""

    cavity: str
    word: str | None
    sentence: Say | None
    cells: tuple[FrameCell, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet; columns are views, with whether a picture is always needed."""

    views: tuple[tuple[str, Say], ...]
    rows: tuple[SheetRow, ...]
    blocked: tuple[Say, ...]


def sheet_of(desk: Desk, result: TrialResult) -> Sheet:
    """The sheet of a trial."""
    part, trial = result.part, desk.trial(result)
    frames = {(each.cavity, each.view): each for each in result.sheet}
    views = list(dict.fromkeys([each.view for each in result.sheet]))
    marks = sorted({*result.cavities, *(cavity for cavity, _ in frames)}, key=natural)
    verdicts = {each.finding: each for each in result.assessments}
    rows = tuple(
        SheetRow(
            cavity=mark,
            word=word_key(result.cavities[mark].word) if mark in result.cavities else None,
            sentence=result.cavities[mark].sentence if mark in result.cavities else None,
            cells=tuple(_cell(desk, trial, frames.get((mark, view)), verdicts) for view in views),
        )
        for mark in marks
    )
    return Sheet(tuple((view, _needed(part, view)) for view in views), rows, tuple(_blocked(desk, result)))


def sheet_wants(desk: Desk, result: TrialResult) -> Iterator[tuple[str, Want]]:
    """The small pictures that the sheet needs."""
    for frame in result.sheet:
        for file in frame.pictures:
            want = thumb_want(desk, file)
            if want:
                yield file, want


def _needed(part: Part, view: str) -> Say:
    known = part.views.get(view)
    return Say.of(f"sheet.{known.picture.value.replace(' ', '-')}") if known else Say.of("sheet.unknown_view")


def _cell(desk: Desk, trial: Trial, frame: SheetFrame | None, verdicts: dict[str, Assessment]) -> FrameCell:
    if frame is None:
        return FrameCell((), (), (), None)
    looked = {each.file: each for each in trial.looked}
    return FrameCell(
        thumbs=tuple(thumb(desk, file) for file in frame.pictures),
        marks=tuple(
            FindingMark(name, word_key(verdicts[name].verdict.word), anchor_of(name))
            for name in frame.findings
            if name in verdicts
        ),
        looked=tuple(_looked(desk, looked[file]) for file in frame.looked if file in looked),
        missing=_missing(frame),
    )


def thumb(desk: Desk, file: str) -> Thumb:
    """A picture of a trial in small."""
    want = thumb_want(desk, file)
    name = file.rpartition("/")[2]
    image = desk.image(file, want) if want else None
    movie = desk.movie(file)
    moving = Say.of("movie.thumb", seconds=Figure(f"{movie.seconds:.1f}")) if movie else None
    return Thumb(image, desk.addresses.picture(file), Say.of("sheet.thumb_alt", name=name), name, moving)


def _looked(desk: Desk, looked: Looked) -> Say:
    return Say.of("sheet.looked", shot=looked.shot, by=desk.person(looked.by), day=looked.at.day)


def _missing(frame: SheetFrame) -> Say | None:
    if not frame.missing:
        return None
    return Say.of("missing.picture" if frame.reason == "picture" else "missing.shots", n=frame.missing)


def _blocked(desk: Desk, result: TrialResult) -> Iterator[Say]:
    for mark, cavity in desk.mould(result).cavities.items():
        if cavity.part == result.part.id and cavity.status.value == "blocked":
            yield Say.of("sheet.blocked", cavity=mark, reason=cavity.reason or Say.of("sheet.no_reason"))
