"""The files of each kind: where they lie, and which id their place gives them."""

from collections.abc import Iterator
from typing import TypeVar

from portal.catalog.folder import Entry
from portal.catalog.record import Broken, read_page, read_record
from portal.catalog.shelf import Shelf
from portal.model.base import Record
from portal.model.part import Part
from portal.model.sample import LimitSample
from portal.model.scope import Scope
from portal.model.shop import Customer, Shop
from portal.model.standard import DefectClass, VisualStandard

R = TypeVar("R", bound=Record)


def read_shop(shelf: Shelf) -> None:
    """`catalog.yaml`."""
    named = {entry.name for entry in shelf.folder.files("")}
    if "catalog.yaml" in named:
        shop = read_record(shelf, Shop, "catalog.yaml")
        shelf.shop = shop if isinstance(shop, Shop) else None
    elif "catalog.yaml" not in shelf.folder.refused:
        hint = "rename `catalog.yml`" if "catalog.yml" in named else "`portal new DIR` makes a catalogue to start from"
        shelf.folder.note("catalog.yaml", "there is no such file; a catalogue's folder has one", hint)


def read_small(shelf: Shelf) -> None:
    """Defect classes, standards, scopes and customers: one file each."""
    for entry in written(shelf, "defects", ".md"):
        id_ = entry.name.removesuffix(".md")
        keep(shelf, "defect", id_, read_page(shelf, DefectClass, entry.path, id=id_), shelf.defects)
    for entry in written(shelf, "scopes", ".yaml"):
        id_ = entry.name.removesuffix(".yaml")
        keep(shelf, "scope", id_, read_record(shelf, Scope, entry.path, id=id_), shelf.scopes)
    for entry in written(shelf, "customers", ".yaml"):
        id_ = entry.name.removesuffix(".yaml")
        keep(shelf, "customer", id_, read_record(shelf, Customer, entry.path, id=id_), shelf.customers)
    for folder in homes(shelf, "standards", None, "standard"):
        _read_standard(shelf, folder)


def _read_standard(shelf: Shelf, folder: Entry) -> None:
    revisions: dict[str, VisualStandard] = {}
    entries = list(written(shelf, folder.path, ".yaml"))
    if not entries:
        shelf.folder.refuse(folder.path, "no revision in this folder; one is a file as `1.yaml`")
        shelf.broken["standard", folder.name] = folder.path
    for entry in entries:
        revision = entry.name.removesuffix(".yaml")
        made = read_record(shelf, VisualStandard, entry.path, id=folder.name, revision=revision)
        if isinstance(made, Broken):
            shelf.broken["standard", f"{folder.name}/{revision}"] = made.where
        else:
            revisions[revision] = made
    if revisions:
        shelf.standards[folder.name] = revisions


def read_parts(shelf: Shelf) -> None:
    """Parts and limit samples: a folder each."""
    for folder in homes(shelf, "parts", "part.yaml", "part"):
        part = read_record(shelf, Part, f"{folder.path}/part.yaml", id=folder.name)
        keep(shelf, "part", folder.name, part, shelf.parts)
    for folder in homes(shelf, "limit-samples", "sample.yaml", "limit sample"):
        file = f"{folder.path}/sample.yaml"
        sample = read_record(shelf, LimitSample, file, id=folder.name, folder=folder.path)
        keep(shelf, "limit sample", folder.name, sample, shelf.limit_samples)


def keep(shelf: Shelf, kind: str, id_: str, made: R | Broken, into: dict[str, R]) -> None:
    """Put a record where it belongs, or note that it is broken."""
    if isinstance(made, Broken):
        shelf.broken[kind, id_] = made.where
    else:
        into[id_] = made


def written(shelf: Shelf, path: str, ending: str) -> Iterator[Entry]:
    """The files with that ending in a folder; a near ending and such files further down are problems."""
    for entry in shelf.folder.entries(path):
        if entry.is_folder:
            if entry.name.endswith(ending) or _holds(shelf, entry.path, ending):
                message = f"not read: files ending in `{ending}` lie in `{path.rpartition('/')[2]}` itself"
                shelf.folder.refuse(entry.path, message, "move them up")
        elif entry.name.endswith(ending):
            yield entry
        elif entry.name.lower().endswith((".yaml", ".yml", ".md", ".markdown")) and "readme" not in entry.name.lower():
            shelf.folder.refuse(entry.path, f"not read: names of files in this folder end in `{ending}`", "rename it")


def _holds(shelf: Shelf, path: str, ending: str) -> bool:
    return any(entry.name.endswith(ending) for entry in shelf.folder.files(path))


def homes(shelf: Shelf, path: str, file: str | None, kind: str, *, within: str = "") -> Iterator[Entry]:
    """The folders in a folder that hold that file; one without it is a problem and broken."""
    entries = shelf.folder.entries(path)
    for entry in entries:
        if not entry.is_folder:
            if entry.name.lower().endswith((".yaml", ".yml")):
                shelf.folder.refuse(entry.path, f"not read: each {kind} has a folder of its own in `{path}`")
        elif file is None or _has(shelf, f"{entry.path}/{file}"):
            yield entry
        else:
            shelf.broken[kind, within + entry.name] = entry.path


def _has(shelf: Shelf, path: str) -> bool:
    home, _, name = path.rpartition("/")
    names = {entry.name for entry in shelf.folder.entries(home)}
    if name in names:
        return True
    if path not in shelf.folder.refused:
        near = name.removesuffix(".yaml") + ".yml"
        shelf.folder.note(path, "there is no such file", f"rename `{near}`" if near in names else None)
    return False
