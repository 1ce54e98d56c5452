"""What of an earlier build still holds, so that it needn't be drawn again."""

from collections.abc import Callable
from dataclasses import dataclass

from portal.site.thread import Thread


class Reuse:
    """Asked before something is drawn; this one knows of nothing."""

    parts: frozenset[str] = frozenset()
    """Parts of which every page holds."""

    def picture(self, file: str) -> bool:
        """Whether the page of a picture holds."""
        return False

    def card(self, picture: str, finding: str, thread: Thread | None) -> "Markings | None":
        """What gives the card of a finding with that thread, as it was drawn, if it holds."""
        return None


Markings = Callable[[], bytes]
"""Gives a card's bytes when its page is written: a page of thousands never holds all of them beside itself."""


@dataclass(frozen=True, slots=True)
class DrawnCard:
    """A card that was drawn before."""

    markings: Markings

    def html(self) -> bytes:
        """The card as it was drawn."""
        return self.markings()
