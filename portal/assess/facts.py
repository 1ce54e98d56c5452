"""What is known of the files of pictures, by file."""

from collections.abc import Mapping

from portal.model.picture import Facts, PictureUnreadable

FactsByFile = Mapping[str, Facts]


def facts_of(file: str, facts: FactsByFile) -> Facts:
    """What is known of a picture; one that nobody looked at counts as unreadable."""
    return facts.get(file, PictureUnreadable("its file is not there"))
