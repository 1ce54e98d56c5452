"""The pictures last opened, decoded ahead of the first search for an edge or tile of them, within so much memory."""

import contextlib
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock, Thread, Timer

from portal.bench.greys import Colours, Greys
from portal.bench.refused import Refused, unreadable
from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.derive import decoded
from portal.pictures.upright import Upright
from portal.problem import PortalError
from portal.site.tiles import is_large

MOST_PIXELS = 50_000_000
"""Of which so many are kept: two pictures of 24 megapixels as grey codes of a byte, or one that is larger, whatever it
has, as colours of four bytes: its codes would be a fifth more. Of a smaller one the colours lie beside them a moment
longer than it is decoded, in memory that is kept a while for the next (`greys.py`)."""
AFTER_S = 0.3
"""How long nothing else is opened before a picture is decoded ahead: who pages on waits for none."""

AGAIN_S = 10.0
"""How long a picture on which somebody draws isn't decoded again."""


@dataclass(frozen=True, slots=True)
class Pixels:
    """A decoded picture: its grey codes, upright; and itself where it comes in tiles."""

    codes: Greys
    whole: Upright | None


@dataclass
class Decoding:
    """Decodes each picture once while it is worked on."""

    _known: "OrderedDict[str, tuple[int, Future[Pixels]]]" = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)
    _large: Lock = field(default_factory=Lock)
    """Of those that take much memory one is decoded at a time."""
    _colours: Colours = field(default_factory=Colours)
    _ahead: Timer | None = None
    _tried: dict[str, float] = field(default_factory=dict)

    def of(self, path: Path, facts: PictureFacts) -> Pixels:
        """A picture's pixels; who asks while they are decoded waits for them. PortalError where it is damaged."""
        if facts.movie:
            raise Refused("refused.movie", hint="refused.take_picture")
        with self._lock:
            known = self._known.get(facts.sha256)
            own: Future[Pixels] = known[1] if known else Future()
            if known is None:
                self._make_room(facts)
                self._known[facts.sha256] = (_count(facts), own)
            self._known.move_to_end(facts.sha256)
        if known is None:
            self._decode(path, facts, own)
        return own.result()

    def has(self, facts: PictureFacts) -> bool:
        """Whether a picture is there without waiting."""
        with self._lock:
            known = self._known.get(facts.sha256)
        return known is not None and known[1].done()

    def ahead(self, path: Path, facts: PictureFacts) -> None:
        """Decode a picture that was opened, unless another one is opened right after it."""
        with self._lock:
            if self._ahead is not None:
                self._ahead.cancel()
            if facts.movie or facts.sha256 in self._known:
                return
            self._ahead = Timer(AFTER_S, _quietly, (self.of, path, facts))
            self._ahead.daemon = True
            self._ahead.start()

    def at_once(self, path: Path, facts: PictureFacts) -> None:
        """Decode a picture on which somebody draws: it may have gone for those of others, or its opening was long ago.

        One that is damaged, or goes again for those of others, isn't tried with each move of a hand.
        """
        now = time.monotonic()
        with self._lock:
            tried = self._tried.get(facts.sha256, now - AGAIN_S)
            if facts.movie or facts.sha256 in self._known or now - tried < AGAIN_S:
                return
            self._tried[facts.sha256] = now
        Thread(target=_quietly, args=(self.of, path, facts), daemon=True).start()

    def _make_room(self, facts: PictureFacts) -> None:
        """Before it is decoded, so that a large one is never held beside others."""
        while self._known and sum(count for count, _ in self._known.values()) + _count(facts) > MOST_PIXELS:
            self._known.popitem(last=False)

    def _decode(self, path: Path, facts: PictureFacts, own: "Future[Pixels]") -> None:
        try:
            if is_large(facts.upright):
                with self._large:
                    whole = _upright(path, facts)
                own.set_result(Pixels(Greys(whole.image), Upright(whole.image, whole.notes)))
            else:
                own.set_result(Pixels(self._colours.greys(lambda: _upright(path, facts).image), None))
        except BaseException as error:
            own.set_exception(error)
            with self._lock:
                self._known.pop(facts.sha256, None)


def _upright(path: Path, facts: PictureFacts) -> Upright:
    found = decoded(path, facts, beside=True)
    if isinstance(found, PictureUnreadable):
        raise unreadable(found)
    return found


def _count(facts: PictureFacts) -> int:
    return facts.upright.width * facts.upright.height


def _quietly(work: Callable[[Path, PictureFacts], object], path: Path, facts: PictureFacts) -> None:
    """What is wrong with a picture is told to whom asks for it."""
    with contextlib.suppress(PortalError, OSError):
        work(path, facts)
