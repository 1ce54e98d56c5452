"""Smaller catalogues: all that one thing is worked out from, and nothing else, so that nothing else can change it."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture


def clusters(pictures: Iterable[Picture]) -> tuple[tuple[Picture, ...], ...]:
    """The pictures of a trial by what hangs together: those that show the same finding, and what hangs on these."""
    pictures = tuple(pictures)
    above = {each.file: each.file for each in pictures}

    def top(file: str) -> str:
        while above[file] != file:
            above[file] = above[above[file]]
            file = above[file]
        return file

    shows: dict[str, list[str]] = {}
    for picture in pictures:
        for finding in {more.finding for more in (picture.tag.also if picture.tag else ())}:
            shows.setdefault(finding, []).append(picture.file)
    for picture in pictures if shows else ():
        for own in picture.tag.findings if picture.tag else ():
            for other in shows.get(own.id, ()):
                above[top(other)] = top(picture.file)
    for files in shows.values():
        for other in files[1:]:
            above[top(other)] = top(files[0])
    found: dict[str, list[Picture]] = {}
    for picture in pictures:
        found.setdefault(top(picture.file), []).append(picture)
    return tuple(tuple(each) for each in found.values())


def only_pictures(catalogue: Catalogue, mould: Mould, trial: Trial, pictures: Iterable[Picture]) -> Catalogue:
    """What the findings on some pictures of a trial are judged by: these, their mould's parts, what all parts share."""
    head = trial.but(pictures=tuple(pictures), looked=())
    return _with(catalogue, made_by(mould, catalogue), {mould.id: mould.but(trials={trial.id: head})})


def only_parts(catalogue: Catalogue, parts: Collection[str]) -> Catalogue:
    """Some parts with the moulds that make them, and what all parts share."""
    moulds = {id_: each for id_, each in catalogue.moulds.items() if not parts_of(each).isdisjoint(parts)}
    return _with(catalogue, {id_: part for id_, part in catalogue.parts.items() if id_ in parts}, moulds)


def kin(catalogue: Catalogue) -> tuple[frozenset[str], ...]:
    """The parts by what hangs together: those that come out of the same mould, and what hangs on these."""
    found: list[frozenset[str]] = [frozenset({each}) for each in catalogue.parts]
    of = {part: each for each in found for part in each}
    for mould in catalogue.moulds.values():
        made = {of[part] for part in parts_of(mould) if part in of}
        if len(made) > 1:
            joined = frozenset().union(*made)
            of.update(dict.fromkeys(joined, joined))
    return tuple(dict.fromkeys(of[part] for part in catalogue.parts))


def parts_of(mould: Mould) -> frozenset[str]:
    """The parts that a mould makes, by id."""
    return frozenset(cavity.part for cavity in mould.cavities.values())


def made_by(mould: Mould, catalogue: Catalogue) -> dict[str, Part]:
    """The parts that a mould makes, as far as they are in the catalogue, in its order."""
    made = parts_of(mould)
    return {id_: part for id_, part in catalogue.parts.items() if id_ in made} if len(made) > 1 else {
        id_: catalogue.parts[id_] for id_ in made if id_ in catalogue.parts
    }  # fmt: skip


def _with(catalogue: Catalogue, parts: dict[str, Part], moulds: dict[str, Mould]) -> Catalogue:
    return replace(catalogue, parts=parts, moulds=moulds)
