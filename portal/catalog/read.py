"""A catalogue's folder to records, problems and places."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from portal.catalog.folder import Folder
from portal.catalog.kinds import read_parts, read_shop, read_small
from portal.catalog.links import check_links
from portal.catalog.renamed import note_renamed
from portal.catalog.shelf import HOMES, Shelf
from portal.catalog.trials import Memory, Reader, read_moulds
from portal.model.catalogue import Catalogue
from portal.pause import no_collection
from portal.problem import Places, Problem


@dataclass(frozen=True, slots=True)
class Reading:
    """What a folder says; `catalogue` is None only where `catalog.yaml` can't be read."""

    catalogue: Catalogue | None
    problems: tuple[Problem, ...]
    places: Places
    digests: Mapping[str, str]
    """The SHA-256 of every file that was read, by its path."""


def read(folder: Path, *, single: Reader | None = None, memory: Memory | None = None) -> Reading:
    """Read a catalogue folder: everything that is sound, and every problem, in the order of files and lines.

    Where tags and what was looked at are known by `single`, what is wrong with these isn't told, nor what names
    something that isn't there. `memory` knows those in which nothing was wrong.
    """
    shelf = Shelf(Folder(folder))
    with no_collection():
        read_shop(shelf)
        read_small(shelf)
        read_parts(shelf)
        read_moulds(shelf, single, memory)
        _note_refused(shelf)
        if single is None:
            note_renamed(shelf)
            check_links(shelf)
    problems = sorted(set(shelf.problems), key=lambda problem: problem.order)
    return Reading(_catalogue(shelf), tuple(problems), shelf.places, shelf.folder.digests)


def _note_refused(shelf: Shelf) -> None:
    """What a refused file or folder would have been is broken, not missing."""
    for path in shelf.folder.refused:
        for kind, home in HOMES.items():
            if path.startswith(f"{home}/"):
                name, *below = path.removeprefix(f"{home}/").split("/")
                if kind in ("defect", "scope", "customer"):
                    name = PurePosixPath(name).stem
                if kind == "standard" and below:
                    name = f"{name}/{PurePosixPath(below[0]).stem}"
                if not below or kind == "standard":
                    shelf.broken.setdefault((kind, name), path)


def _catalogue(shelf: Shelf) -> Catalogue | None:
    if shelf.shop is None:
        return None
    return Catalogue(
        shop=shelf.shop,
        defects=shelf.defects,
        standards=shelf.standards,
        scopes=shelf.scopes,
        limit_samples=shelf.limit_samples,
        customers=shelf.customers,
        parts=shelf.parts,
        moulds=shelf.moulds,
        broken=shelf.broken,
    )
