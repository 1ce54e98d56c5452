"""What moulds and trials name: parts, cavities, standards in force, conditions, people."""

from portal.catalog.links.point import parts_of, revisions, to_one_of, to_person, to_record, to_revision
from portal.catalog.shelf import Shelf, TrialFolder
from portal.catalog.wording import near
from portal.model.mould import Looked, Mould, Piece, Trial
from portal.model.part import Part
from portal.model.slug import slug
from portal.model.tag import Tag
from portal.problem import FieldPath


def check_mould(shelf: Shelf, mould: Mould) -> None:
    """The part of each cavity."""
    for mark, cavity in mould.cavities.items():
        to_record(shelf, mould.file, ("cavities", mark, "part"), "part", cavity.part, shelf.parts)


def check_trial(shelf: Shelf, folder: TrialFolder) -> None:
    """A trial and its looked-at files."""
    mould = shelf.moulds.get(folder.mould)
    trial = folder.trial
    if trial is not None:
        _check_standards(shelf, trial, mould)
        if trial.checked is not None:
            to_person(shelf, trial.file, ("checked", "by"), trial.checked.by)
        for index, piece in enumerate(trial.pieces):
            _check_piece(shelf, trial, mould, ("pieces", str(index)), piece)
    for looked in folder.looked:
        _check_looked(shelf, looked, mould, trial)


def _check_piece(shelf: Shelf, trial: Trial, mould: Mould | None, path: FieldPath, piece: Piece) -> None:
    check_cavity(shelf, trial.file, (*path, "cavity"), mould, piece.cavity)
    check_shot(shelf, trial.file, (*path, "shot"), trial, piece.shot)


def check_cavity(shelf: Shelf, file: str, path: FieldPath, mould: Mould | None, cavity: str | None) -> str | None:
    """A cavity of the mould, by its mark; the cavity where nothing is wrong with it."""
    if mould is None or cavity is None:
        return cavity
    there = to_one_of(shelf, file, path, cavity, mould.cavities, f"no cavity of mould `{mould.id}`")
    return cavity if there else None


def check_shot(shelf: Shelf, file: str, path: FieldPath, trial: Trial | None, shot: int | None) -> int | None:
    """A shot that was kept; the shot where nothing is wrong with it."""
    if trial is None or shot is None:
        return shot
    kept = [str(each) for each in trial.shots.kept]
    return shot if to_one_of(shelf, file, path, str(shot), kept, "none of the shots that were kept") else None


def check_seen(shelf: Shelf, seen: Tag | Looked, mould: Mould | None, trial: Trial | None) -> None:
    """Which cavity, shot and piece a tag or a looked-at file is about, and that they belong together."""
    cavity = check_cavity(shelf, seen.file, ("cavity",), mould, seen.cavity)
    shot = check_shot(shelf, seen.file, ("shot",), trial, seen.shot)
    if trial is None or seen.piece is None:
        return
    pieces = {each.id: each for each in trial.pieces}
    if to_one_of(shelf, seen.file, ("piece",), seen.piece, pieces, f"no piece of trial `{trial.id}`"):
        known = pieces[seen.piece]
        said = f"piece `{seen.piece}` is from"
        if cavity is not None and cavity != known.cavity:
            shelf.say(seen.file, ("piece",), f"{said} cavity `{known.cavity}`, this file says `{cavity}`")
        elif shot is not None and shot != known.shot:
            shelf.say(seen.file, ("piece",), f"{said} shot {known.shot}, this file says {shot}")


def part_of(shelf: Shelf, mould: Mould | None, cavity: str | None) -> Part | None:
    """The part that a cavity makes, where it is known and sound."""
    if mould is None:
        return None
    if cavity is not None:
        return shelf.parts.get(mould.cavities[cavity].part) if cavity in mould.cavities else None
    parts = parts_of(shelf, mould)
    return parts[0] if parts and len(parts) == 1 else None


def _check_standards(shelf: Shelf, trial: Trial, mould: Mould | None) -> None:
    dangling = []
    for standard, revision in trial.standards.items():
        if not to_revision(shelf, trial.file, ("standards", standard), standard, revision):
            dangling.append(standard)
    parts = parts_of(shelf, mould) if mould is not None else None
    if parts is None or any(revisions(shelf, part.standards) is None for part in parts):
        return
    wanted = {standard: part for part in parts for standard in part.standards}
    for standard in trial.standards:
        if standard not in dangling:
            ids = ", ".join(f"`{part.id}`" for part in parts)
            what = f"no standard of part {ids}"
            to_one_of(shelf, trial.file, ("standards", standard), standard, wanted, what)
    for standard, part in wanted.items():
        if standard not in trial.standards and not any(near(each, [standard]) for each in dangling):
            message = f"the revision in force of `{standard}`, a standard of part `{part.id}`, is missing"
            shelf.say(trial.file, ("standards",), message)


def _check_looked(shelf: Shelf, looked: Looked, mould: Mould | None, trial: Trial | None) -> None:
    file = looked.file
    name = looked_name(looked.cavity, looked.view, looked.shot)
    if file.rpartition("/")[2] != name:
        shelf.say(file, (), f"by its cavity, view and shot this file's name is `{name}`", "rename it, or correct it")
    check_seen(shelf, looked, mould, trial)
    part = part_of(shelf, mould, looked.cavity)
    if part is not None:
        to_one_of(shelf, file, ("view",), looked.view, part.views, f"no view of part `{part.id}`")
    every = revisions(shelf, trial.standards) if trial is not None else None
    if every is not None and trial is not None:
        in_force = [each for each in every if trial.standards[each.id] == each.revision]
        known = dict.fromkeys(name for each in in_force for name in each.conditions)
        to_one_of(shelf, file, ("condition",), looked.condition, known, "no condition of the standards in force")
    to_person(shelf, file, ("by",), looked.by)


def looked_name(cavity: str, view: str, shot: int) -> str:
    """The name of the file that says a cavity was looked at in a view and a shot, and nothing seen."""
    return f"{slug(cavity)}-{slug(view)}-{shot}.yaml"
