"""A movie on a page: the movie itself with the frame that stands for it, and a strip of its frames."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Movie, Picture
from portal.model.result import TrialResult
from portal.model.say import Figure, Say
from portal.pictures.derive import Derived, Play, Still, Want, Whole
from portal.site.address import asset
from portal.site.desk import Desk, Image

STILLS = 6
"""Frames of a strip."""
_POSTER_PIXELS = 960
MOVIE_TYPES = {".mp4": "video/mp4", ".webm": "video/webm"}
"""Of what browsers play, by ending; any other is a file to take away."""


@dataclass(frozen=True, slots=True)
class StillFrame:
    """One frame of the strip."""

    image: Image
    second: Say
    alt: Say


@dataclass(frozen=True, slots=True)
class MovieFigure:
    """All that a page says of a movie."""

    name: str
    address: str | None
    """The page of its own."""
    place: tuple[Say, ...]
    caption: str | None
    findings: tuple[str, ...]
    """Those that are written under it."""
    length: Say
    alt: Say
    width: int
    height: int
    poster: Image | None
    path: str | None
    type: str | None
    """None of a file that can only be taken away."""
    stills: tuple[StillFrame, ...]
    notes: tuple[Say, ...]
    why: Say | str | None
    """Why it can't be played."""


def poster_want(desk: Desk, file: str) -> Whole:
    """The frame that stands for it, in the size of a figure."""
    facts = desk.facts(file)
    return Whole(max(1, facts.upright.width // _POSTER_PIXELS)) if facts else Whole()


def still_wants(movie: Movie) -> tuple[Still, ...]:
    """The frames of its strip."""
    many = max(1, min(STILLS, movie.frames))
    return tuple(Still(number, many) for number in range(many))


def movie_wants(desk: Desk, file: str) -> Iterator[tuple[str, Want]]:
    """What a page needs to show a movie; nothing of what is no movie."""
    movie = desk.movie(file)
    if movie is not None:
        wants: tuple[Want, ...] = (poster_want(desk, file), *still_wants(movie), Play())
        yield from ((file, want) for want in wants)


def movie_figure(desk: Desk, picture: Picture) -> MovieFigure | None:
    """A movie of a trial; None of what is no movie, or one of which nothing can be shown."""
    movie, facts = desk.movie(picture.file), desk.facts(picture.file)
    if movie is None or facts is None:
        return None
    tag = picture.tag
    played = desk.derived.get(picture.file, {}).get(Play())
    second = Figure(f"{movie.poster_second:.1f}")
    return MovieFigure(
        name=picture.name,
        address=desk.addresses.picture(picture.file),
        place=tuple(place_of(picture)),
        caption=tag.caption if tag else None,
        findings=findings_of(picture),
        length=length_of(movie),
        alt=Say.of("movie.alt", name=picture.name, second=second),
        width=facts.upright.width,
        height=facts.upright.height,
        poster=desk.image(picture.file, poster_want(desk, picture.file)),
        path=asset(played.name) if played else None,
        type=MOVIE_TYPES.get(played.ending) if played else None,
        stills=tuple(_stills(desk, picture, movie)),
        notes=played.notes if played else (),
        why=why_not(desk, picture.file, played),
    )


def movies_of(desk: Desk, result: TrialResult) -> Iterator[MovieFigure]:
    """The movies of a trial that show the part, or nobody knows what."""
    mould, trial = desk.mould(result), desk.trial(result)
    for picture in shown_movies(desk, result.part, mould, trial):
        figure = movie_figure(desk, picture)
        if figure is not None:
            yield figure


def shown_movies(desk: Desk, part: Part, mould: Mould, trial: Trial) -> Iterator[Picture]:
    """The movies of a trial that show the part, or nobody knows what, as far as they can be read."""
    for picture in trial.pictures:
        cavity = picture.tag.cavity if picture.tag else None
        if desk.movie(picture.file) and desk.site.catalogue.part_of(mould, cavity) in (part.id, None):
            yield picture


def sent_movies(desk: Desk, result: TrialResult, asked: Collection[str | None]) -> tuple[Picture, ...]:
    """The movies that a review of a trial takes along: those whose files are asked about, those that show a finding."""
    written = {each.finding for each in result.assessments}
    return tuple(
        each
        for each in shown_movies(desk, result.part, desk.mould(result), desk.trial(result))
        if each.file in asked or written.intersection(findings_of(each))
    )


def findings_of(picture: Picture) -> tuple[str, ...]:
    """The findings that are written under a picture, and those of which more is written there."""
    tag = picture.tag
    if tag is None:
        return ()
    return tuple(dict.fromkeys([*(each.id for each in tag.findings), *(each.finding for each in tag.also)]))


def length_of(movie: Movie) -> Say:
    """How long it is."""
    return Say.of("movie.length", seconds=Figure(f"{movie.seconds:.1f}"), n=movie.frames)


def second_of(movie: Movie, want: Still) -> Say:
    """When a frame of the strip is shown."""
    return Say.of("movie.second", second=Figure(f"{movie.second_of(want.number, want.of):.1f}"))


def place_of(picture: Picture) -> Iterator[Say]:
    """What it shows, in short."""
    tag = picture.tag
    if tag and tag.cavity:
        yield Say.of("card.cavity", cavity=tag.cavity)
    if tag and tag.shot is not None:
        yield Say.of("card.shot", shot=tag.shot)
    if tag and tag.view:
        yield Say.of("movie.view", view=tag.view)


def why_not(desk: Desk, file: str, played: Derived | None) -> Say | str | None:
    """Why a movie can't be played here; None where it can, or where what is played says it itself."""
    if played is not None:
        return None
    known = desk.unplayable.get(file)
    return known.reason if known else Say.of("movie.not_made")


def _stills(desk: Desk, picture: Picture, movie: Movie) -> Iterator[StillFrame]:
    for want in still_wants(movie):
        image = desk.image(picture.file, want)
        if image is not None:
            second = second_of(movie, want)
            yield StillFrame(image, second, Say.of("movie.still_alt", name=picture.name, second=second))
