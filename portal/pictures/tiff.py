"""What a TIFF's first full-size page says before any pixel. Tags: TIFF revision 6.0."""

from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.exif import ORIENTATION, Exif, exif_of
from portal.pictures.ifd import (
    MOST_DIRECTORIES,
    MOST_ENTRIES,
    BrokenDirectory,
    Directory,
    EndlessChain,
    all_directories,
)
from portal.pictures.kinds import AS_WHAT, PIXEL
from portal.pictures.source import Data, held
from portal.problem import PortalError

_SUBFILE, _WIDTH, _HEIGHT, _BITS, _PHOTOMETRIC = 254, 256, 257, 258, 262
_COLOURS, _PLANES, _PROFILE = 277, 284, 34675
_STRIPS, _STRIP_BYTES, _TILES, _TILE_BYTES = 273, 279, 324, 325
_TILE_WIDTH, _TILE_HEIGHT = 322, 323
_PACKING, _STRIP_ROWS, _UNPACKED = 259, 278, 1
_TWICE = 1.75
"""Deep colours are decoded for each of their bytes; measured."""
_REDUCED = 1
_MOST_PARTS = 300_000
"""The largest picture that is read has 60,000 tiles of 64 by 64; the reading library takes its time for each."""


@dataclass(frozen=True, slots=True)
class Tiff:
    """The page that is the picture: the first that is no reduced copy of another."""

    directory: Directory
    page: int
    """Its index among `pages`."""
    pages: int

    @property
    def stored(self) -> Frame:
        """Its frame as stored."""
        return Frame(self.directory.number(_WIDTH, 0), self.directory.number(_HEIGHT, 0))

    @property
    def tile(self) -> Frame:
        """The frame of one tile, 0x0 where it has none."""
        return Frame(self.directory.number(_TILE_WIDTH, 0), self.directory.number(_TILE_HEIGHT, 0))

    @property
    def bits(self) -> int:
        """Bits of one sample, as the file declares them."""
        return self.directory.number(_BITS, 1)

    @property
    def white_is_zero(self) -> bool:
        """Whether the smallest value is white."""
        return self.directory.number(_PHOTOMETRIC, 1) == 0

    @property
    def has_profile(self) -> bool:
        """Whether its colours have a profile."""
        return _PROFILE in self.directory.entries

    @property
    def in_planes(self) -> bool:
        """Whether each of several colours is stored by itself."""
        return self.directory.number(_PLANES, 1) == 2 and self.directory.number(_COLOURS, 1) > 1

    @property
    def bytes_a_pixel(self) -> float:
        """The memory that its pixels take while they are decoded, with the samples of a strip or a row of tiles."""
        page = self.directory
        rows = self.tile.height or page.number(_STRIP_ROWS, self.stored.height)
        is_parted = page.number(_PACKING, _UNPACKED) == _UNPACKED and not self.tile.height
        share = 0 if is_parted else min(1, rows / max(1, self.stored.height))
        samples = page.number(_COLOURS, 1)
        return PIXEL + share * samples * self.bits / 8 * (_TWICE if self.bits > 8 and samples > 1 else 1)

    @property
    def exif(self) -> Exif:
        """What its tags and its Exif directory say."""
        return exif_of(self.directory)

    def ends_early(self) -> bool:
        """Whether some of its pixels are said to lie past the end of the file."""
        return self.pixels_end > len(self.directory.data)

    @property
    def pixels_end(self) -> int:
        """Where the last of its pixels is said to end."""
        d = self.directory
        starts = d.numbers(_STRIPS) or d.numbers(_TILES)
        sizes = d.numbers(_STRIP_BYTES) or d.numbers(_TILE_BYTES)
        return max((at + size for at, size in zip(starts, sizes, strict=False)), default=0)

    def unturned(self) -> bytes:
        """The file with orientation 1 in this page, so that the reading library doesn't turn it by itself.

        One colour by itself is the same as all together, which that library doesn't know.
        """
        wrong = [(ORIENTATION, self.exif.orientation != 1)]
        wrong.append((_PLANES, self.directory.number(_PLANES, 1) != 1 and not self.in_planes))
        entries = [entry for tag, is_wrong in wrong if is_wrong and (entry := self.directory.entries.get(tag))]
        if not entries:
            return held(self.directory.data)
        changed = bytearray(held(self.directory.data))
        for entry in entries:
            size = entry.size // entry.count
            changed[entry.at : entry.at + size] = (1).to_bytes(size, self.directory.order)
        return bytes(changed)


def read_tiff(data: Data) -> Tiff:
    """Read the pages of a TIFF; PortalError where there is none with a size."""
    try:
        pages = all_directories(data)
    except BrokenDirectory as error:
        raise PortalError(f"damaged file: {error}") from error
    except EndlessChain as error:
        what = f"a TIFF of more than {MOST_DIRECTORIES} pages, or of more than {MOST_ENTRIES} tags in them"
        raise PortalError(f"{what}, which isn't read", hint="save the page to be shown by itself") from error
    full = (n for n, page in enumerate(pages) if not page.number(_SUBFILE, 0) & _REDUCED)
    page = next(full, 0)
    if sum(entry.size for entry in pages[page].entries.values()) > len(data) + 4096:
        raise PortalError("damaged file: its tags say they are larger than the file")
    parts = max((pages[page].entries[tag].count for tag in (_STRIPS, _TILES) if tag in pages[page].entries), default=0)
    if parts > _MOST_PARTS:
        raise PortalError(f"a TIFF of {parts} strips or tiles, more than the {_MOST_PARTS} that are read", hint=AS_WHAT)
    return Tiff(pages[page], page, len(pages))
