"""Show what becomes of every file of a folder: a table, and sheets on which each lies beside another reader's picture.

    apt-get install imagemagick ffmpeg
    python tests/benchmarks/strangers.py FOLDER [--out OUT]

The files are put into the trial of a catalogue as `portal new` makes it, each with a tag that names no microscope, so
that only the file itself can give a scale; the catalogue is built. Told of each file are whether its page shows it,
else the reason, the scale, what the page says of how its pixels became those shown, and the seconds that it takes
alone:
to be read, and to be made into itself, itself divided by 2 and, of a movie, the movie, in a process started for it.

Pictures are compared with ImageMagick's conversion to sRGB, upright and on white; of a movie the frame that stands for
it with FFmpeg's of the same second. Told are the mean and the 99th percentile of the colour differences over all
pixels, and the mean over squares of 8 by 8 pixels, in which grain that was coded coarser has no part: CIEDE2000 by
scikit-image, which `tests/outside/test_colour_difference.py` holds against the published pairs.
A difference isn't a fault by itself: 16-bit samples that stand for less than 16 bits are stretched here and not there,
and a movie's frame may be the one before.

Measures, never passes or fails.
"""

import argparse
import hashlib
import html
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "sample_catalog")]

import numpy as np  # noqa: E402 - the checkout's own folders come first
from numpy.typing import NDArray  # noqa: E402
from PIL import Image, ImageCms, ImageDraw  # noqa: E402
from skimage.color import deltaE_ciede2000, rgb2lab  # noqa: E402

from portal.model.picture import Facts, PictureFacts, PictureUnreadable  # noqa: E402
from portal.pictures.derive import Derived, Play, Want, Whole  # noqa: E402
from portal.pictures.jobs import derive_many, jobs_for  # noqa: E402
from portal.pictures.many import facts_many  # noqa: E402
from portal.tasks.build import build  # noqa: E402
from portal.tasks.new import new  # noqa: E402

TRIAL = "moulds/M-001/trials/T1"
CELL, ACROSS, DOWN, WORDS = 220, 6, 4, 34
CONVERTERS = ("convert-im6.q16", "magick", "convert")
_GAP = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class Row:
    """What became of one file."""

    name: str
    state: str
    said: str
    scale: str
    seconds: float
    difference: str
    ours: Image.Image | None
    other: Image.Image | None


def main() -> None:
    """Build, print the table, write the sheets."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, help="where the sheets and the built catalogue are kept")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        out = asked.out or Path(scratch)
        rows = list(strangers(asked.folder, out))
        for row in rows:
            print(f"{row.name} | {row.state} | {row.said} | {row.scale} | {row.seconds:.1f} s | {row.difference}")
        shown = sum(row.state == "shown" for row in rows)
        print(f"{len(rows)} files: {shown} shown, {len(rows) - shown} refused")
        for number, sheet in enumerate(sheets(rows), start=1):
            sheet.save(out / f"sheet-{number}.png")
            if asked.out:
                print(out / f"sheet-{number}.png")


def strangers(folder: Path, out: Path) -> Iterator[Row]:
    """What becomes of each file of a folder and of those within."""
    catalogue = out / "catalogue"
    if catalogue.exists():
        shutil.rmtree(catalogue)
    new(catalogue)
    files = [path for path in sorted(folder.rglob("*")) if path.is_file() and path.suffix != ".csv"]
    names = _copied(files, catalogue / TRIAL / "images")
    known = facts_many([catalogue / TRIAL / "images" / name for name in names], threads=2)
    for name, facts in zip(names, known, strict=True):
        _tag(catalogue, name, facts)
    started = time.monotonic()
    built = build(catalogue, out=None, as_of=date(2026, 3, 1), processes=2)
    print(f"built in {time.monotonic() - started:.1f} s, exit {built.exit_code}", flush=True)
    pages = _pages(catalogue / "site/shop")
    for name, facts in zip(names, known, strict=True):
        yield _row(catalogue, name, facts, pages.get(name, ""), out / "scratch")


def _copied(files: Sequence[Path], images: Path) -> list[str]:
    """The files under their own names, numbered where two folders have the same."""
    names: list[str] = []
    for path in files:
        name = path.name if path.name not in names else f"{len(names)}-{path.name}"
        shutil.copyfile(path, images / name)
        names.append(name)
    return names


def _tag(catalogue: Path, name: str, facts: Facts) -> None:
    if isinstance(facts, PictureFacts):
        digest = hashlib.sha256((catalogue / TRIAL / "images" / name).read_bytes()).hexdigest()
        text = f"format: 1\npicture: {{sha256: {digest}, stored: {facts.stored}}}\n"
        (catalogue / TRIAL / "tags" / f"{name}.yaml").write_text(text, encoding="utf-8")


def _pages(site: Path) -> dict[str, str]:
    """The pages of pictures by the name in their heading."""
    texts = (path.read_text(encoding="utf-8") for path in (site / "pictures").rglob("*.html"))
    return {html.unescape(found[1]): text for text in texts if (found := re.search(r"<h1[^>]*>(.*?)</h1>", text))}


def _row(catalogue: Path, name: str, facts: Facts, page: str, scratch: Path) -> Row:
    path = catalogue / TRIAL / "images" / name
    started = time.monotonic()
    ours, why = _ours(path, scratch)
    seconds = time.monotonic() - started
    refused = re.search(r'<p class="warn">.*?<span dir="auto">(.*?)</span>', page)
    state = "refused" if refused else "shown" if "viewer" in page or "<video" in page else "no page"
    if state == "refused" or ours is None or not isinstance(facts, PictureFacts):
        return Row(name, state, _plain(refused[1] if refused else why), "none", seconds, "-", None, None)
    shown = re.findall(r"<dt>Shown(?:</dt>)?<dd[^>]*>(.*?)(?=</?d[dtli])", page)
    said = "; ".join(_plain(each) for each in shown) or "as it is"
    scale = re.search(r"<dt>[^<]*ixel[^<]*(?:</dt>)?<dd[^>]*>([^<]*µm[^<]*)<", page)
    scaleless = re.search(r">\s*(no scale[^<]*?)\s*<", page)
    other = _other(path, facts, scratch)
    return Row(
        name, state, said, _plain(scale[1] if scale else scaleless[1] if scaleless else "?"), seconds,
        _difference(ours, other), ours, other,
    )  # fmt: skip


def _plain(text: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", "", text)).replace(_GAP, " ").strip().rstrip(".")


def _ours(path: Path, scratch: Path) -> tuple[Image.Image | None, str]:
    """The picture as it is derived for pages, or why there is none."""
    (facts,) = facts_many([path], threads=1)
    if isinstance(facts, PictureUnreadable):
        return None, facts.reason
    wants: tuple[Want, ...] = (Whole(1), Whole(2), *((Play(),) if facts.movie else ()))
    found = derive_many(jobs_for(path, facts, wants, scratch / "ours"), processes=1)
    for each in found:
        if isinstance(each, PictureUnreadable):
            return None, each.reason
    first = found[0]
    assert not isinstance(first, PictureUnreadable)
    return _opened(scratch / "ours" / _first(first).name), ""


def _first(derived: Sequence[Derived]) -> Derived:
    return next(each for each in derived if each.want == Whole(1))


def _opened(path: Path) -> Image.Image:
    with Image.open(path) as image:
        return image.convert("RGB")


def _other(path: Path, facts: PictureFacts, scratch: Path) -> Image.Image | None:
    """The same picture as another reader gives it; None where that is missing or can't read it."""
    scratch.mkdir(parents=True, exist_ok=True)
    target = scratch / "other.png"
    target.unlink(missing_ok=True)
    if facts.movie:
        tool, second = shutil.which("ffmpeg"), str(facts.movie.poster_second)
        how = [tool, "-v", "error", "-ss", second, "-i", str(path), "-frames:v", "1", "-y", str(target)]
    else:
        profile = scratch / "srgb.icc"
        profile.write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
        tool = next((found for each in CONVERTERS if (found := shutil.which(each))), None)
        how = [tool, f"{path}[0]", "-auto-orient", *_to_srgb(tool, path, profile)]
        how += ["-background", "white", "-alpha", "remove", "-alpha", "off", "-strip", "-depth", "8", f"PNG24:{target}"]
    if tool is None:
        return None
    subprocess.run([each for each in how if each], capture_output=True, timeout=120, check=False)
    return _opened(target) if target.is_file() else None


def _to_srgb(tool: str | None, path: Path, profile: Path) -> list[str]:
    """By the file's profile where it has one; a profile that is given to a file without one would only be attached."""
    asked = [str(tool), f"{path}[0]", "-format", "%[profile:icc]", "info:"]
    told = subprocess.run(asked, capture_output=True, timeout=120, check=False) if tool else None
    return ["-profile", str(profile)] if told and told.stdout.strip() else ["-colorspace", "sRGB"]


def _difference(ours: Image.Image, other: Image.Image | None) -> str:
    if other is None:
        return "the other reader can't read it"
    if ours.size != other.size:
        return f"{ours.size[0]}x{ours.size[1]} here, {other.size[0]}x{other.size[1]} there"
    found = differences(np.asarray(ours), np.asarray(other))
    coarse = differences(np.asarray(ours.reduce(8)), np.asarray(other.reduce(8))).mean()
    return f"mean {found.mean():.2f}, 99 % {np.percentile(found, 99):.2f}, squares {coarse:.2f}"


def differences(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> NDArray[np.float64]:
    """CIEDE2000 of each pixel of two pictures in sRGB, in strips, as they are taken as real numbers."""
    rows = max(1, 2_000_000 // one.shape[1])
    strips = [
        deltaE_ciede2000(rgb2lab(one[at : at + rows]), rgb2lab(other[at : at + rows]))  # type: ignore[no-untyped-call]
        for at in range(0, len(one), rows)
    ]
    return np.concatenate(strips)


def sheets(rows: Sequence[Row]) -> Iterator[Image.Image]:
    """Ours at the left, the other reader's at the right, the name below; those that are refused have none."""
    for start in range(0, len(rows), ACROSS // 2 * DOWN):
        sheet = Image.new("RGB", (ACROSS * CELL, DOWN * (CELL + WORDS)), "white")
        pen = ImageDraw.Draw(sheet)
        for number, row in enumerate(rows[start : start + ACROSS // 2 * DOWN]):
            x, y = number % (ACROSS // 2) * 2 * CELL, number // (ACROSS // 2) * (CELL + WORDS)
            for side, image in enumerate((row.ours, row.other)):
                if image is not None:
                    small = image.copy()
                    small.thumbnail((CELL - 8, CELL - 8))
                    sheet.paste(small, (x + side * CELL, y))
            pen.text((x, y + CELL - 4), f"{row.name}: {row.state}", fill="black")
            pen.text((x, y + CELL + 10), (row.said if row.ours is None else row.difference)[:70], fill="black")
        yield sheet


if __name__ == "__main__":
    main()
