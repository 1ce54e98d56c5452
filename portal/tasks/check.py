"""`portal check`: what is wrong, with file and line, and what is still missing.

Here stand the checks that need two rooms, such as a point outside its picture.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from portal.model.picture import Picture, PictureFacts, PictureUnreadable
from portal.model.scalars import Frame, Points
from portal.model.tag import BaseAndPoint, Shape
from portal.problem import FieldPath, Problem
from portal.tasks.fitting import of_people, of_samples
from portal.tasks.gather import Surveyed, Unreadable, survey
from portal.tasks.guarding import of_guards
from portal.tasks.hinting import hints
from portal.tasks.lookback import look_back
from portal.tasks.pending import pending
from portal.tasks.recorded import recorded
from portal.tasks.telling import counted


@dataclass(frozen=True)
class Checked:
    """Problems, which make a check fail, and gaps, which are work."""

    problems: tuple[Problem, ...]
    gaps: tuple[str, ...]
    summary: str = ""
    hints: tuple[str, ...] = ()
    """What an inspector may want to look at again."""

    @property
    def exit_code(self) -> int:
        """1 where a file is wrong; gaps and warnings are 0."""
        return 1 if any(not problem.warning for problem in self.problems) else 0


def check(folder: Path, *, processes: int = 1) -> Checked:
    """Every problem and every gap of a catalogue folder."""
    try:
        gathered = survey(folder, processes=processes, ranges=False)
    except Unreadable as unreadable:
        return Checked(unreadable.reading.problems, ())
    record = recorded(gathered, processes=processes)
    problems = (*problems_of(gathered), *record.problems, *look_back(gathered, record))
    in_order = tuple(sorted(problems, key=lambda problem: problem.order))
    return Checked(in_order, tuple(pending(gathered, record)), _summary(gathered), tuple(hints(gathered)))


def problems_of(gathered: Surveyed) -> tuple[Problem, ...]:
    """All problems once, by file and line."""
    found = {
        *gathered.reading.problems,
        *_of_picture_files(gathered),
        *_of_tags(gathered),
        *_of_views(gathered),
        *_of_limit_samples(gathered),
        *of_guards(gathered),
        *of_people(gathered),
        *of_samples(gathered),
    }
    return tuple(sorted(found, key=lambda problem: problem.order))


def _of_picture_files(gathered: Surveyed) -> Iterator[Problem]:
    for file, facts in gathered.facts.items():
        if isinstance(facts, PictureUnreadable):
            yield Problem(file, 0, "", f"can't be shown: {facts.reason}", hint=facts.to_do)


def _of_tags(gathered: Surveyed) -> Iterator[Problem]:
    for _, trial in gathered.catalogue.trials():
        for picture in trial.pictures:
            facts = gathered.facts.get(picture.file)
            if picture.tag and isinstance(facts, PictureFacts):
                yield from _of_tag(gathered, picture, facts)


def _of_tag(gathered: Surveyed, picture: Picture, facts: PictureFacts) -> Iterator[Problem]:
    tag = picture.tag
    if tag is None:
        return

    def problem(path: FieldPath, message: str, hint: str | None = None) -> Problem:
        return Problem(tag.file, gathered.reading.places.line(tag.file, path), ".".join(path), message, hint)

    if tag.picture.sha256 != facts.sha256:
        yield problem(
            ("picture", "sha256"),
            f"`{picture.name}` was replaced since it was tagged; nothing on it is measured",
            f"confirm the new picture with its SHA-256: {facts.sha256}",
        )
        return
    if tag.picture.stored != facts.stored:
        yield problem(("picture", "stored"), f"says {tag.picture.stored}, the picture's stored frame is {facts.stored}")
    if tag.movie is not None and facts.movie is None:
        yield problem(("movie",), f"`{picture.name}` is no movie", "take `movie` away")
    poster = tag.movie.poster if tag.movie else None
    if poster is not None and facts.movie is not None and poster.value > facts.movie.seconds:
        said = f"{poster.text} is past the end of the movie, which lasts {facts.movie.seconds:g} s"
        yield problem(("movie", "poster"), said)
    for path, points in every_drawn(picture):
        for x, y in points.xy:
            if not is_inside(x, y, facts.upright):
                yield problem(path, f"{x:g},{y:g} is outside the picture, which is {facts.upright} upright")
                break


def every_drawn(picture: Picture) -> Iterator[tuple[FieldPath, Points]]:
    """All that is drawn on a picture, each with where it stands in its tag."""
    tag = picture.tag
    if tag is None:
        return
    for number, finding in enumerate(tag.findings):
        yield from _of_shapes(("findings", str(number), "shapes"), finding.shapes)
    for number, more in enumerate(tag.also):
        yield from _of_shapes(("also", str(number), "shapes"), more.shapes)
    for number, mask in enumerate(tag.masks):
        yield ("masks", str(number)), mask
    for key, known in (("known", tag.known), ("reference", tag.reference), ("burned_in_bar", tag.burned_in_bar)):
        if known is not None:
            yield (key, "points"), known.points


def _of_shapes(path: FieldPath, shapes: tuple[Shape, ...]) -> Iterator[tuple[FieldPath, Points]]:
    for number, shape in enumerate(shapes):
        if isinstance(shape, BaseAndPoint):
            yield (*path, str(number), "base"), shape.base
            yield (*path, str(number), "point"), shape.point
        else:
            yield (*path, str(number), "points"), shape.points


def is_inside(x: float, y: float, frame: Frame) -> bool:
    """Whether a point lies on a picture of that size, its border included."""
    return 0 <= x <= frame.width and 0 <= y <= frame.height


def _of_views(gathered: Surveyed) -> Iterator[Problem]:
    for part in gathered.catalogue.parts.values():
        for name, view in part.views.items():
            facts = gathered.facts.get(f"parts/{part.id}/{view.reference}")
            if not isinstance(facts, PictureFacts):
                continue
            for zone, sees in view.sees.items():
                outside = [xy for xy in (sees.outline.xy if sees.outline else ()) if not is_inside(*xy, facts.upright)]
                if outside:
                    path = ("views", name, "sees", zone, "outline")
                    line = gathered.reading.places.line(part.file, path)
                    x, y = outside[0]
                    yield Problem(
                        part.file,
                        line,
                        ".".join(path),
                        f"{x:g},{y:g} is outside the reference picture, which is {facts.upright} upright",
                    )


def _of_limit_samples(gathered: Surveyed) -> Iterator[Problem]:
    for sample in gathered.catalogue.limit_samples.values():
        for number, picture in enumerate(sample.pictures):
            facts = gathered.facts.get(f"{sample.folder}/{picture.file}")
            if isinstance(facts, PictureFacts) and facts.sha256 != picture.sha256:
                path = ("pictures", str(number), "sha256")
                yield Problem(
                    sample.file,
                    gathered.reading.places.line(sample.file, path),
                    ".".join(path),
                    f"`{picture.file}` was replaced since it was agreed",
                    f"its SHA-256 is now {facts.sha256}",
                )


def _summary(gathered: Surveyed) -> str:
    findings = sum(1 for _ in gathered.catalogue.findings())
    pictures = sum(len(trial.pictures) for _, trial in gathered.catalogue.trials())
    many = ((len(gathered.catalogue.parts), "part"), (pictures, "picture"), (findings, "finding"))
    return ", ".join(counted(number, noun) for number, noun in many)
