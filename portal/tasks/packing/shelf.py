"""Where what sent reviews showed is kept, found as it was sent."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from portal.model.logstate import ReviewState

SHOWN, PICTURES, CARRIERS = "shown.json", "pictures", "carriers"


@dataclass(frozen=True, slots=True)
class Lost:
    """What a sent review showed isn't there as it was sent."""

    file: str
    """Within the catalogue: the file that has to be put back, or the folder in which it was kept."""
    is_changed: bool
    """Whether it was changed; else it isn't there."""

    @property
    def why(self) -> str:
        """In words."""
        return "was changed since it was sent" if self.is_changed else "isn't kept any more"


def find_store(root: Path, part: str, review: ReviewState) -> Path | Lost:
    """The folder of a sent review with what it showed, unchanged."""
    within = f"parts/{part}/reviews"
    found = sorted((root / within).glob(f"*-{review.code}"))
    for folder in found:
        shown = folder / SHOWN
        if shown.is_file() and hashlib.sha256(shown.read_bytes()).hexdigest() == review.digest:
            return folder
    if not found:
        return Lost(within, is_changed=False)
    file = f"{within}/{found[0].name}/{SHOWN}"
    return Lost(file, is_changed=(root / file).is_file())
