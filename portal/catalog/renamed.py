"""Tags whose picture isn't there: was it renamed? Only then are pictures hashed."""

import hashlib
from collections.abc import Mapping, Sequence

from portal.catalog.folder import composed
from portal.catalog.shelf import Shelf
from portal.model.picture import Picture
from portal.model.tag import Tag


def note_renamed(shelf: Shelf) -> None:
    """The same in every trial."""
    for folder in shelf.trials:
        tags = {composed(each.file.rpartition("/")[2].removesuffix(".yaml")): each for each in folder.tags}
        note_orphans(shelf, folder.pictures, tags)


def note_orphans(shelf: Shelf, pictures: Sequence[Picture], tags: Mapping[str, Tag]) -> None:
    """Note each sound tag without a picture, with the untagged picture of the same bytes, if there is one."""
    there = {composed(picture.name) for picture in pictures}
    orphans = {name: tag for name, tag in tags.items() if name not in there and not _is_refused(shelf, tag, name)}
    if not orphans:
        return
    untagged = [picture for picture in pictures if picture.tag is None and picture.tag_broken is None]
    by_hash = {_sha256(shelf, picture.file): picture.name for picture in untagged}
    for name, tag in orphans.items():
        now = by_hash.get(tag.picture.sha256)
        hint = f"was it renamed to `{now}`?" if now else "bring the picture back, or take the tag away"
        shelf.folder.note(tag.file, f"there is no picture `{name}` in `images`", hint)


def _is_refused(shelf: Shelf, tag: Tag, name: str) -> bool:
    images = f"{tag.file.rpartition('/tags/')[0]}/images"
    return images in shelf.folder.refused or any(
        composed(path) == composed(f"{images}/{name}") for path in shelf.folder.refused
    )


def _sha256(shelf: Shelf, path: str) -> str:
    try:
        with (shelf.folder.root / path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""
