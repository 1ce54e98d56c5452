"""The cavity × view sheet: what was looked at in a trial, and what is still missing."""

from collections.abc import Collection

from portal.model.mould import Mould, Status, Trial
from portal.model.part import Part, View
from portal.model.picture import Picture
from portal.model.result import SheetFrame
from portal.model.say import Say
from portal.model.terms import Required


def sheet(
    part: Part, mould: Mould, trial: Trial, *, left_out: Collection[str] = (), movies: Collection[str] = ()
) -> tuple[SheetFrame, ...]:
    """One frame for each running cavity that makes the part and each of the part's views.

    `left_out` are files of pictures that show nothing: unreadable, or replaced since they were tagged. Shots are
    counted once, however many pictures they have; pictures that name no shot count as one together. A view that
    needs a picture always counts only what a picture shows; a movie, in which nothing is measured, tells no more than
    that somebody looked.
    """
    pictures = [each for each in trial.pictures if each.file not in left_out]
    return tuple(
        _frame(cavity, name, view, trial, pictures, movies)
        for cavity in running(part.id, mould)
        for name, view in part.views.items()
    )


def running(part: str, mould: Mould) -> tuple[str, ...]:
    """The cavities that make the part, by their marks, in the order of the mould."""
    return tuple(
        mark for mark, cavity in mould.cavities.items() if cavity.part == part and cavity.status is Status.RUNNING
    )


def blocked(part: str, mould: Mould) -> tuple[tuple[str, str | None], ...]:
    """The cavities of the part that are blocked, with the reason; the sheet leaves them out."""
    return tuple(
        (mark, cavity.reason)
        for mark, cavity in mould.cavities.items()
        if cavity.part == part and cavity.status is Status.BLOCKED
    )


def missing(frame: SheetFrame) -> Say | None:
    """What a frame still lacks, in words; None where it is complete."""
    if not frame.missing:
        return None
    return Say.of("missing.picture" if frame.reason == "picture" else "missing.shots", n=frame.missing)


def _frame(
    cavity: str, name: str, view: View, trial: Trial, pictures: list[Picture], movies: Collection[str]
) -> SheetFrame:
    shown = [each for each in pictures if each.tag and each.tag.cavity == cavity and each.tag.view == name]
    looked = [each for each in trial.looked if each.cavity == cavity and each.view == name]
    always = view.picture is Required.ALWAYS
    still = [each for each in shown if each.file not in movies]
    shots = {each.tag.shot for each in (still if always else shown) if each.tag}
    if not always:
        shots |= {each.shot for each in looked}
    # A trial that asks for no shot at all would conform unseen.
    required = max(1, trial.shots.required)
    return SheetFrame(
        cavity=cavity,
        view=name,
        required=required,
        pictures=tuple(each.file for each in shown),
        looked=tuple(each.file for each in looked),
        findings=_findings(shown),
        missing=max(0, required - len(shots)),
        reason="picture" if always and not still else "",
    )


def _findings(pictures: list[Picture]) -> tuple[str, ...]:
    ids: dict[str, None] = {}
    for picture in pictures:
        if picture.tag:
            ids.update((finding.id, None) for finding in picture.tag.findings)
            ids.update((more.finding, None) for more in picture.tag.also)
    return tuple(ids)
