"""Time what `portal build` makes of large JPEGs beside pyvips making the same; the memory that one vast picture takes.

    pip install "pyvips[binary]"
    python tests/benchmarks/pictures.py --number 60 --rounds 5
    python tests/benchmarks/pictures.py --vast 200 [--kind tiff16]

Each picture of 12 megapixels becomes itself divided by 2, by 8, and a crop at native scale, as JPEG of quality 90
without colour subsampling and without metadata; both sides work in two processes that were started alike, in turns,
on the same pictures. Told are pictures a second, and the processor's time that the working processes spent for each
picture with all their threads: on a machine that others use too only that is steady, since a process with more threads
is given more of it. The program's side is all that a build does to a picture: reading its facts and hash, decoding it
within bounds of time and memory, naming files by their hashes.

pyvips is tried with one thread for each process and in each of these forms: every file from its own sequential load,
shrunk while loading where its loader can; one sequential load into memory; a load shrunk by 2 into memory for both
divided files, another for the crop; the same with means over squares. Where its loader shrinks, it leaves out high
frequencies instead of taking the mean over squares that the program promises: on a rendered picture these pixels
differ by a third of a code in the root mean square and by five at most. Ratios are of neighbouring rounds.

Without pyvips only our own is timed. Measures, never passes or fails. `PORTAL_BENCH_PICTURES` names a folder in which
the pictures are kept.
"""

import argparse
import os
import shutil
import statistics
import struct
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

os.environ.setdefault("VIPS_CONCURRENCY", "1")  # processes are what runs beside each other, on both sides
TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "sample_catalog")]

import numpy as np  # noqa: E402 - the checkout's own folders come first
from PIL import Image, ImageCms  # noqa: E402 - the checkout's own folders come first

from portal.model.picture import PictureUnreadable  # noqa: E402
from portal.pictures.derive import QUALITY, Crop, Want, Whole  # noqa: E402
from portal.pictures.facts import read_facts  # noqa: E402
from portal.pictures.jobs import LOADS, Job, do_job, jobs_for  # noqa: E402
from portal.pictures.many import facts_many  # noqa: E402
from portal.pictures.pool import run_all  # noqa: E402
from portal.site.tiles import sizes  # noqa: E402
from render import bench_picture  # noqa: E402

SIZE = (4000, 3000)
RENDERED = 20
TILE, THIN = 240, 60
"""The sides of tiles, and the rows of strips, of a vast TIFF: parts of the rows that are made at once."""
BOX = (1500, 1000, 2600, 1733)
WANTS: tuple[Want, ...] = (Whole(2), Whole(8), Crop(BOX))
PROCESSES = 2
SAVED = {"Q": QUALITY, "subsample_mode": "off", "keep": "none"}

Way = Callable[[Sequence[Path], Path], float]
"""Makes all files of these pictures in a folder; gives the seconds of processor time that it took."""


def main() -> None:
    """Read what is asked for and print it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=60)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--vast", type=float, help="megapixels of one picture of which only the peak of memory is told")
    parser.add_argument("--kind", choices=[*VAST], default="jpeg", help="of that picture")
    parser.add_argument("--derive", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        if asked.derive:
            derive_vast(asked.derive, Path(scratch))
        elif asked.vast:
            vast(asked.vast, Path(scratch), kind=asked.kind)
        else:
            kept = Path(os.environ.get("PORTAL_BENCH_PICTURES", Path(scratch) / "pictures"))
            beside([picture(kept, seed) for seed in range(asked.number)], Path(scratch), rounds=asked.rounds)


def picture(folder: Path, seed: int) -> Path:
    """A picture of 12 megapixels; beyond the rendered ones, one of those shifted, so that each is another file."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"p{seed:04d}.jpg"
    if not path.is_file():
        if seed < RENDERED:
            pixels = bench_picture(seed, SIZE)
        else:
            with Image.open(picture(folder, seed % RENDERED)) as rendered:
                pixels = np.roll(np.asarray(rendered), seed // RENDERED, axis=(0, 1))
        Image.fromarray(pixels).save(path, quality=88)
    return path


def beside(pictures: Sequence[Path], scratch: Path, *, rounds: int) -> None:
    """Time each way in turns, and print pictures a second and ratios."""
    ways: dict[str, Way] = {"portal": ours, **theirs()}
    print(f"{processor()}, {PROCESSES} processes, {len(pictures)} pictures of {SIZE[0]} x {SIZE[1]}")
    took: dict[str, list[tuple[float, float]]] = {name: [] for name in ways}
    for number in range(rounds + 1):
        order = list(ways) if number % 2 else list(reversed(ways))
        for name in order:
            out = scratch / "out"
            out.mkdir()
            begun = time.perf_counter()
            busy = ways[name](pictures if number else pictures[:4], out)
            seconds = time.perf_counter() - begun
            if not number:
                check(name, out, 4)
                size = sum(each.stat().st_size for each in out.iterdir()) / 4
                print(f"{name:26}  {size / 1000:6.0f} kB a picture")
            else:
                took[name].append((seconds, busy))
            shutil.rmtree(out)
    report(took, len(pictures))


def check(name: str, out: Path, number: int) -> None:
    """Every file there, of the sizes that were asked for."""
    found = []
    for each in out.iterdir():
        with Image.open(each) as image:
            found.append(image.size)
    wanted = [(2000, 1500), (500, 375), (BOX[2] - BOX[0], BOX[3] - BOX[1])]
    if sorted(found) != sorted(wanted * number):
        raise SystemExit(f"{name} made other sizes: {sorted(set(found))}")


def report(took: dict[str, list[tuple[float, float]]], number: int) -> None:
    """Print what each way took, and how ours compares round by round."""
    for name, all_of in took.items():
        best, middle = (number / pick([wall for wall, _ in all_of]) for pick in (min, statistics.median))
        busy = statistics.median(busy for _, busy in all_of) / number * 1000
        print(
            f"{name:26} {best:6.2f} pictures/s at best, {middle:6.2f} in the middle, {busy:4.0f} ms of processor each"
        )
    own = took.pop("portal")
    if not took:
        print("pyvips isn't installed: nothing to compare with")
    for name, all_of in took.items():
        walls = [other[0] / mine[0] for mine, other in zip(own, all_of, strict=True)]
        busy = statistics.median(other[1] / mine[1] for mine, other in zip(own, all_of, strict=True))
        print(
            f"portal / {name:26}  {statistics.median(walls):.2f} in the middle of the rounds ({min(walls):.2f} to "
            f"{max(walls):.2f}) by the clock, {busy:.2f} by processor time"
        )


def _timed(work: Callable[[Any], Any], thing: Any) -> float:
    begun = time.process_time()
    if isinstance(found := work(thing), PictureUnreadable):
        raise SystemExit(found.reason)
    return time.process_time() - begun


def ours(pictures: Sequence[Path], out: Path) -> float:
    """What a build does."""
    begun = time.process_time()
    known = facts_many(pictures, threads=PROCESSES)
    jobs: list[Job] = []
    for path, facts in zip(pictures, known, strict=True):
        if isinstance(facts, PictureUnreadable):
            raise SystemExit(facts.reason)
        jobs += jobs_for(path, facts, WANTS, out)
    here = time.process_time() - begun
    work = partial(_timed, do_job)
    return here + sum(run_all(work, jobs, processes=PROCESSES, died=_died, apart=True, loads=LOADS))


def theirs() -> dict[str, Way]:
    """The forms of pyvips that are tried; none where it isn't installed."""
    try:
        import pyvips  # type: ignore[import-not-found, unused-ignore]
    except (ImportError, OSError):
        return {}
    print(f"pyvips {pyvips.__version__} with libvips {pyvips.version(0)}.{pyvips.version(1)}.{pyvips.version(2)}")
    forms = {"pyvips, shrunk on load": on_load, "pyvips, one load": at_once, "pyvips, two loads": in_two}
    forms["pyvips, two loads, means"] = in_means
    return {name: partial(_vips, form) for name, form in forms.items()}


def _vips(form: Callable[..., None], pictures: Sequence[Path], out: Path) -> float:
    work = partial(_timed, partial(form, out=out))
    return sum(run_all(work, pictures, processes=PROCESSES, died=_died, apart=True))


def _died(thing: object) -> float:
    raise SystemExit(f"a process died on {thing}")


def on_load(path: Path, out: Path) -> None:
    """Each file from its own load, shrunk by the decoder."""
    for divide in (2, 8):
        _load(path, shrink=divide).jpegsave(str(out / f"{path.stem}-{divide}.jpg"), **SAVED)
    _crop(_load(path)).jpegsave(str(out / f"{path.stem}-crop.jpg"), **SAVED)


def at_once(path: Path, out: Path) -> None:
    """One sequential load into memory, box means of it."""
    image = _load(path).copy_memory()
    for divide in (2, 8):
        image.shrink(divide, divide).jpegsave(str(out / f"{path.stem}-{divide}.jpg"), **SAVED)
    _crop(image).jpegsave(str(out / f"{path.stem}-crop.jpg"), **SAVED)


def in_two(path: Path, out: Path) -> None:
    """One load shrunk by 2 into memory for both divided files, another for the crop."""
    half = _load(path, shrink=2).copy_memory()
    half.jpegsave(str(out / f"{path.stem}-2.jpg"), **SAVED)
    half.shrink(4, 4).jpegsave(str(out / f"{path.stem}-8.jpg"), **SAVED)
    _crop(_load(path)).jpegsave(str(out / f"{path.stem}-crop.jpg"), **SAVED)


def in_means(path: Path, out: Path) -> None:
    """One load whose means over squares go into memory for both divided files, another for the crop."""
    half = _load(path).shrink(2, 2).copy_memory()
    half.jpegsave(str(out / f"{path.stem}-2.jpg"), **SAVED)
    half.shrink(4, 4).jpegsave(str(out / f"{path.stem}-8.jpg"), **SAVED)
    _crop(_load(path)).jpegsave(str(out / f"{path.stem}-crop.jpg"), **SAVED)


def _load(path: Path, **more: int) -> Any:
    import pyvips

    return pyvips.Image.jpegload(str(path), access="sequential", **more)


def _crop(image: Any) -> Any:
    left, top, right, bottom = BOX
    return image.crop(left, top, right - left, bottom - top)


def vast(megapixels: float, scratch: Path, *, kind: str) -> None:
    """Make one picture of so many megapixels, and tell what its files and tiles take in a process of their own."""
    height = int((megapixels * 1e6 * 3 / 4) ** 0.5)
    width = int(megapixels * 1e6 / height)
    path = scratch / "vast"
    with path.open("wb") as file:
        VAST[kind](file, _Rows(bench_picture(0, (1600, 1200)), width, height))
    command = [sys.executable, __file__, "--derive", str(path)]
    print(f"{processor()}, {kind}, {path.stat().st_size / 1e6:.0f} MB:", end=" ")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as work:
        most = 0
        while work.poll() is None:
            most = max(most, _bounded(work.pid))
            time.sleep(0.01)
        told, wrong = work.communicate()
    print(told.strip() or (wrong.splitlines() or ["it died"])[-1], f"({most / 1024:.0f} MiB of what bounds count)")


def _bounded(process: int) -> int:
    """The kibibytes of a process that a bound of its memory counts, which leaves out what several may share."""
    try:
        lines = Path(f"/proc/{process}/status").read_text(encoding="ascii", errors="replace").splitlines()
    except OSError:
        return 0
    return next((int(each.split()[1]) for each in lines if each.startswith("VmData:")), 0)


class _Rows:
    """A picture that is a smaller one again and again, some rows at a time."""

    def __init__(self, part: Any, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._wide = np.tile(part, (1, width // part.shape[1] + 1, 1))[:, :width]

    def bands(self) -> Iterator[Any]:
        """Its rows from above, colours of 8 bits."""
        for top in range(0, self.height, len(self._wide)):
            yield self._wide[: min(len(self._wide), self.height - top)]

    def samples(self, *, colours: int, bits: int) -> Iterator[Any]:
        """The same with one grey, three colours or transparency as well, of 8 bits, of 12 in 16, or as reals."""
        for band in self.bands():
            few = band if colours == 3 else band[..., :1] if colours == 1 else np.dstack([band, 255 - band[..., :1]])
            if bits == 32:
                yield few.astype(np.float32) / np.float32(300)
            else:
                yield few if bits == 8 else few.astype(np.uint16) * np.uint16(16)


def _jpeg(file: BinaryIO, rows: _Rows, **options: Any) -> None:
    _by_library(file, rows, "JPEG", quality=90, **options)


def _by_library(file: BinaryIO, rows: _Rows, form: str, *, mode: str = "RGB", **options: Any) -> None:
    """As the reading library writes it, all at once."""
    image = Image.fromarray(np.concatenate([*rows.bands()]))
    (image if mode == "RGB" else image.convert(mode)).save(file, form, **options)


def _heic(file: BinaryIO, rows: _Rows) -> None:
    """In tiles of 512 to a side, as telephones write it."""
    import pillow_heif

    pillow_heif.options.DISABLE_SECURITY_LIMITS = True  # which are for what is read
    made = pillow_heif.from_pillow(Image.fromarray(np.concatenate([*rows.bands()])))
    pillow_heif.options.GRID_TILE_SIZE = 512
    made.save(file, quality=60, enc_params={"preset": "ultrafast"})


def _interlaced(file: BinaryIO, rows: _Rows, *, bits: int) -> None:
    """A PNG in seven passes of an eighth to all of its pixels, each of which is a picture by itself."""
    whole = np.concatenate([*rows.bands()])
    _png_start(file, rows, colours=3, bits=bits, interlaced=1)
    packing = zlib.compressobj(1)
    for left, top, across, down in _ADAM7:
        for row in whole[top::down, left::across]:
            deep = row.astype(">u2") * np.uint16(16) if bits == 16 else row
            _chunk(file, b"IDAT", packing.compress(b"\0" + deep.astype(">u2" if bits == 16 else np.uint8).tobytes()))
    _chunk(file, b"IDAT", packing.flush())
    _chunk(file, b"IEND", b"")


_ADAM7 = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
"""Of each pass the first column and row, and the steps between them. PNG specification, third edition, section 8."""


def _turned() -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = 6
    return exif


def _profile() -> bytes:
    """As wide as no screen: sRGB's own with red and green for each other."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, green = made.index(b"rXYZ"), made.index(b"gXYZ")
    made[red], made[green] = made[green], made[red]
    return bytes(made)


def _png(file: BinaryIO, rows: _Rows, *, colours: int, bits: int) -> None:
    _png_start(file, rows, colours=colours, bits=bits, interlaced=0)
    packing = zlib.compressobj(1)
    for band in rows.samples(colours=colours, bits=bits):
        data = band.astype(">u2").reshape(len(band), -1).view(np.uint8) if bits == 16 else band.reshape(len(band), -1)
        _chunk(file, b"IDAT", packing.compress(np.pad(data, ((0, 0), (1, 0))).tobytes()))
    _chunk(file, b"IDAT", packing.flush())
    _chunk(file, b"IEND", b"")


def _png_start(file: BinaryIO, rows: _Rows, *, colours: int, bits: int, interlaced: int) -> None:
    file.write(b"\x89PNG\r\n\x1a\n")
    form = {1: 0, 3: 2, 4: 6}[colours]
    _chunk(file, b"IHDR", struct.pack(">IIBBBBB", rows.width, rows.height, bits, form, 0, 0, interlaced))


def _chunk(file: BinaryIO, name: bytes, data: bytes) -> None:
    if data or name == b"IEND":
        file.write(len(data).to_bytes(4) + name + data + zlib.crc32(name + data).to_bytes(4))


def _tiff(
    file: BinaryIO,
    rows: _Rows,
    *,
    colours: int = 3,
    bits: int = 16,
    packing: int = 1,
    is_tiled: bool = False,
    in_planes: bool = False,
    in_one: bool = False,
    kind: int | None = None,
) -> None:
    """Strips of as many rows as come at once, or tiles, and then a directory of what has to stand there."""
    file.write(bytes(8))
    starts, sizes = [], []
    for plane in range(colours) if in_planes else [None]:
        bands = rows.samples(colours=colours, bits=bits)
        for band in [np.concatenate([*bands])] if in_one else bands:
            samples = band if plane is None else band[..., plane : plane + 1]
            for part in _tiles(samples) if is_tiled else [samples] if in_one else _thin(samples):
                starts.append(file.tell())
                sizes.append(file.write(_packed(part.tobytes(), packing)))
    kind = kind or {1: 1, 3: 2, 4: 2}[colours]
    tags: dict[int, Sequence[int]] = {256: [rows.width], 257: [rows.height], 258: [bits] * colours, 259: [packing]}
    tags |= {262: [kind], 277: [colours], 284: [2 if in_planes else 1]}
    tags |= {322: [TILE], 323: [TILE], 324: starts, 325: sizes} if is_tiled else {273: starts, 279: sizes}
    tags |= {} if is_tiled else {278: [rows.height if in_one else THIN]}
    tags |= ({338: [2]} if colours == 4 and kind == 2 else {}) | ({339: [3]} if bits == 32 else {})
    begin = file.tell() + file.tell() % 2
    beyond = begin + 2 + 12 * len(tags) + 4
    entries, values = [], []
    for tag, numbers in sorted(tags.items()):
        value = struct.pack(f"<{len(numbers)}I", *numbers)
        entries.append(
            struct.pack("<HHI", tag, 4, len(numbers)) + (value if len(value) == 4 else beyond.to_bytes(4, "little"))
        )
        if len(value) > 4:
            values.append(value)
            beyond += len(value)
    file.seek(begin)
    file.write(struct.pack("<H", len(tags)) + b"".join(entries) + bytes(4) + b"".join(values))
    file.seek(0)
    file.write(struct.pack("<2sHI", b"II", 42, begin))


def _thin(samples: Any) -> Iterator[Any]:
    for top in range(0, len(samples), THIN):
        yield samples[top : top + THIN]


def _tiles(samples: Any) -> Iterator[Any]:
    height, width = samples.shape[:2]
    whole = np.pad(samples, ((0, -height % TILE), (0, -width % TILE), (0, 0)))
    for top in range(0, height, TILE):
        for left in range(0, width, TILE):
            yield whole[top : top + TILE, left : left + TILE]


def _packed(samples: bytes, packing: int) -> bytes:
    """As it is, by Deflate, or by the LZW of the library that pictures are read with."""
    if packing == 1:
        return samples
    if packing == 8:
        return zlib.compress(samples, 1)
    buffer = BytesIO()
    Image.frombytes("L", (len(samples), 1), samples).save(buffer, "TIFF", compression="tiff_lzw")
    with Image.open(BytesIO(buffer.getvalue())) as made:
        tags: Any = made.tag_v2  # type: ignore[attr-defined]  # only TIFFs have them
        (start,), (size,) = tags[273], tags[279]
    return buffer.getvalue()[start : start + size]


VAST: dict[str, Callable[[BinaryIO, _Rows], None]] = {
    "jpeg": _jpeg,
    "turnedjpeg": partial(_jpeg, exif=_turned()),
    "profiledjpeg": partial(_jpeg, icc_profile=_profile()),
    "progressivejpeg": partial(_jpeg, progressive=True),
    "inksjpeg": partial(_jpeg, mode="CMYK"),
    "webp": partial(_by_library, form="WEBP", quality=20, method=0),
    "losslesswebp": partial(_by_library, form="WEBP", lossless=True, quality=0, method=0),
    "avif": partial(_by_library, form="AVIF", quality=60, speed=10),
    "heic": _heic,
    "bmp": partial(_by_library, form="BMP"),
    "interlacedpng8": partial(_interlaced, bits=8),
    "interlacedpng16": partial(_interlaced, bits=16),
    "png8": partial(_png, colours=3, bits=8),
    "clearpng8": partial(_png, colours=4, bits=8),
    "png16": partial(_png, colours=3, bits=16),
    "clearpng16": partial(_png, colours=4, bits=16),
    "greypng16": partial(_png, colours=1, bits=16),
    "tiff8": partial(_tiff, bits=8),
    "planartiff8": partial(_tiff, bits=8, in_planes=True),
    "tiff16": _tiff,
    "lzwtiff16": partial(_tiff, packing=5),
    "deflatetiff16": partial(_tiff, packing=8),
    "tiledtiff16": partial(_tiff, is_tiled=True),
    "tiledlzwtiff16": partial(_tiff, is_tiled=True, packing=5),
    "cleartiff16": partial(_tiff, colours=4),
    "planartiff16": partial(_tiff, in_planes=True),
    "onestriptiff16": partial(_tiff, packing=8, in_one=True),
    "onestriptiff8": partial(_tiff, bits=8, packing=8, in_one=True),
    "labtiff8": partial(_tiff, bits=8, kind=8),
    "inkstiff8": partial(_tiff, colours=4, bits=8, kind=5),
    "jpegtiff": partial(_by_library, form="TIFF", compression="jpeg"),
    "greytiff16": partial(_tiff, colours=1),
    "realtiff": partial(_tiff, colours=1, bits=32),
}
"""Of each kind of vast picture what writes it; deep samples use 12 bits of 16, which no file declares. Clear ones
have transparency."""


def derive_vast(path: Path, out: Path) -> None:
    """Derive all that the page of a picture wants, and print the peak of memory of this process (Linux only)."""
    facts = read_facts(path)
    if isinstance(facts, PictureUnreadable):
        raise SystemExit(facts.reason)
    wants = tuple(dict.fromkeys((*(want for size in sizes(facts.upright) for want in size.wants()), Whole())))
    begun = time.perf_counter()
    (made,) = map(do_job, jobs_for(path, facts, wants, out))
    seconds = time.perf_counter() - begun
    if isinstance(made, PictureUnreadable):
        raise SystemExit(made.reason)
    peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM:"))
    held = int(peak.split()[1]) / 1024
    print(f"{facts.upright}: {len(made)} files in {seconds:.1f} s, peak of memory {held:.0f} MiB")


def processor() -> str:
    """What the system calls its processor."""
    try:
        text = Path("/proc/cpuinfo").read_text(encoding="utf-8")
    except OSError:
        return "an unnamed processor"
    return next((line.partition(":")[2].strip() for line in text.splitlines() if line.startswith("model name")), "?")


if __name__ == "__main__":
    main()
