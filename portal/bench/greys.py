"""The grey codes of decoded pictures: of their colours as far as they are asked for, until all are worked out."""

from collections.abc import Callable
from threading import Lock, Timer

import numpy as np
import numpy.typing as npt
from PIL import Image

from portal.pictures.memory import Kept, reused

Grey = npt.NDArray[np.uint8]

SETTLED_S = 0.2
"""How long a picture stays in its colours, so that who waited for it is answered before all of its codes are made."""
KEPT_S = 60.0
"""How long the memory of its colours is kept for the next one."""
_BAND = 64
"""Rows that are worked out at once: what they take on the way stays in the processor's cache."""


class Greys:
    """The grey codes of an upright picture, of which rows and columns are asked for as an array has them.

    Who looks for an edge needs a few thousand of them, and doesn't wait for those of the whole picture.
    """

    def __init__(self, image: Image.Image) -> None:
        self._image: Image.Image | None = image
        self._codes: Grey | None = None
        self._lock = Lock()
        self.shape: tuple[int, ...] = (image.height, image.width)

    def __getitem__(self, part: tuple[slice, slice], /) -> Grey:
        rows, columns = part
        with self._lock:  # until it has them: what the colours lie in is used again once they went
            if self._image is not None:
                return _grey(self._image, (columns.start, rows.start, columns.stop, rows.stop))
        assert self._codes is not None
        return self._codes[part]

    @property
    def is_settled(self) -> bool:
        """Whether it holds a byte a pixel, and no colours any more."""
        return self._image is None

    def settle(self) -> None:
        """Work out all of them, once, and let the colours go, which take four times as much memory."""
        image = self._image
        assert image is not None
        codes: Grey = np.empty((image.height, image.width), np.uint8)
        for top in range(0, image.height, _BAND):
            below = min(top + _BAND, image.height)
            codes[top:below] = _grey(image, (0, top, image.width, below))
        with self._lock:
            self._codes, self._image = codes, None


def _grey(image: Image.Image, box: tuple[int, int, int, int]) -> Grey:
    return np.asarray(image.crop(box).convert("L"))


class Colours:
    """Memory for the colours of one picture, used again for the next as soon as all codes of that one are made."""

    def __init__(self) -> None:
        self._kept, self._in_use = Kept(), Lock()
        self._going: Timer | None = None

    def greys(self, decode: Callable[[], Image.Image]) -> Greys:
        """The codes of the picture that is decoded; while another one lies in that memory it has some of its own."""
        if not self._in_use.acquire(blocking=False):
            made = Greys(decode())
            _after(SETTLED_S, made.settle)
            return made
        try:
            with reused(self._kept):
                made = Greys(decode())
        except BaseException:
            self._in_use.release()
            raise
        _after(SETTLED_S, lambda: self._settle(made))
        return made

    def _settle(self, made: Greys) -> None:
        made.settle()
        if self._going is not None:
            self._going.cancel()
        self._going = _after(KEPT_S, self._let_go)
        self._in_use.release()

    def _let_go(self) -> None:
        if self._in_use.acquire(blocking=False):
            self._kept = Kept()
            self._in_use.release()


def _after(seconds: float, work: Callable[[], None]) -> Timer:
    timer = Timer(seconds, work)
    timer.daemon = True
    timer.start()
    return timer
