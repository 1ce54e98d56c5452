"""From a field to what it names: there, broken (its problem is noted already), or not there."""

import re
from collections.abc import Collection, Iterator
from posixpath import normpath

from portal.catalog.shelf import Shelf
from portal.catalog.wording import near
from portal.model.mould import Mould
from portal.model.part import Part
from portal.model.slug import natural
from portal.model.standard import VisualStandard
from portal.problem import FieldPath, did_you_mean

_SAID = {"defect": "defect class"}


def to_record(shelf: Shelf, file: str, path: FieldPath, kind: str, id_: str, known: Collection[str]) -> bool:
    """Whether a record of that kind is there; a problem where neither it nor a broken one is."""
    if id_ in known:
        return True
    if not shelf.is_broken(kind, id_):
        shelf.say(file, path, f"there is no {_SAID.get(kind, kind)} `{id_}`", did_you_mean(id_, known))
    return False


def to_one_of(shelf: Shelf, file: str, path: FieldPath, id_: str, known: Collection[str], what: str) -> bool:
    """Whether a name is among those that a record holds; `what` says of what it should be one."""
    if id_ in known:
        return True
    listed = f" ({', '.join(known)})" if 0 < len(known) <= 20 else ""
    shelf.say(file, path, f"`{id_}` is {what}{listed}", near(id_, known))
    return False


def to_person(shelf: Shelf, file: str, path: FieldPath, id_: str) -> None:
    """A person of the shop, by the key among `people`."""
    if shelf.shop is not None:
        to_one_of(shelf, file, path, id_, shelf.shop.people, "none of the `people` in catalog.yaml")


def to_customer(shelf: Shelf, file: str, path: FieldPath, id_: str, *, or_shop: bool = False) -> None:
    """A customer, or the word `shop`."""
    if not (or_shop and id_ == "shop"):
        to_record(shelf, file, path, "customer", id_, shelf.customers)


def to_standard(shelf: Shelf, file: str, path: FieldPath, id_: str) -> bool:
    """A standard with at least one sound revision."""
    return _has_broken_revision(shelf, id_) or to_record(shelf, file, path, "standard", id_, shelf.standards)


def to_revision(shelf: Shelf, file: str, path: FieldPath, id_: str, revision: str) -> bool:
    """One revision of a standard."""
    if not to_standard(shelf, file, path, id_) or shelf.is_broken("standard", f"{id_}/{revision}"):
        return False
    if revision in shelf.standards.get(id_, {}):
        return True
    there = [*shelf.standards.get(id_, {}), *_broken_revisions(shelf, id_)]
    listed = ", ".join(sorted(there, key=natural))
    shelf.say(file, path, f"standard `{id_}` has no revision `{revision}` ({listed})", near(revision, there))
    return False


def to_picture(shelf: Shelf, file: str, path: FieldPath, named: str) -> None:
    """A file that is named relative to the folder of the file that names it."""
    home = file.rpartition("/")[0]
    target = normpath(f"{home}/{named}")
    if "\\" in named:
        shelf.say(file, path, f"`{named}` has a backslash", f"write `{named.replace(chr(92), '/')}`")
    elif named.startswith("/") or re.match(r"[A-Za-z]:", named) or target.startswith(".."):
        shelf.say(file, path, f"`{named}` leads out of the catalogue's folder", f"name a file below `{home}`")
    elif not (shelf.folder.root / target).is_file():
        if target not in shelf.folder.refused:
            shelf.say(file, path, f"there is no file `{target}`")
    elif not shelf.folder.is_inside(target):
        shelf.say(file, path, f"`{named}` is a link out of the catalogue's folder", "put the file itself there")


def revisions(shelf: Shelf, standards: Collection[str]) -> tuple[VisualStandard, ...] | None:
    """Every revision of those standards, or None where one of them is missing or broken."""
    if any(id_ not in shelf.standards or _has_broken_revision(shelf, id_) for id_ in standards):
        return None
    return tuple(each for id_ in standards for each in shelf.standards[id_].values())


def newest(shelf: Shelf, standard: str) -> VisualStandard:
    """The revision of a standard that took effect last."""
    return max(shelf.standards[standard].values(), key=lambda each: (each.effective, natural(each.revision)))


def parts_of(shelf: Shelf, mould: Mould) -> tuple[Part, ...] | None:
    """The parts that a mould makes, or None where one of them is missing or broken."""
    ids = sorted({cavity.part for cavity in mould.cavities.values()}, key=natural)
    found = tuple(shelf.parts[id_] for id_ in ids if id_ in shelf.parts)
    return found if len(found) == len(ids) else None


def _broken_revisions(shelf: Shelf, standard: str) -> Iterator[str]:
    for kind, id_ in shelf.broken:
        if kind == "standard" and id_.startswith(f"{standard}/"):
            yield id_.removeprefix(f"{standard}/")


def _has_broken_revision(shelf: Shelf, standard: str) -> bool:
    return any(True for _ in _broken_revisions(shelf, standard))
