"""The derived files: what they show, how large they are, when they are the same."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures import upright as turning
from portal.pictures.derive import Crop, Derived, Want, Whole, decoded, derive, frame_of, verify, want_key
from portal.pictures.upright import Upright
from tests.pictures.make import derived, dirty_jpeg, encoded, exif, fault, known, pixels, scene, tiff


def all_names(folder: Path) -> list[str]:
    """The files of the folder `out`."""
    return sorted(path.name for path in (folder / "out").iterdir())


@pytest.mark.parametrize(
    "options",
    [
        {"quality": 85},
        {"quality": 95, "subsampling": 0},
        {"progressive": True},
        {"optimize": True, "restart_marker_rows": 1},
        {"keep_rgb": True},
    ],
    ids=lambda options: ",".join(options),
)
def test_a_jpeg_that_needs_no_change_keeps_its_coded_pixels(options: dict[str, int], tmp_path: Path) -> None:
    """Its full-size file decodes to exactly the pixels of the original."""
    content = dirty_jpeg(scene(101, 67), **options)
    (full,) = derived(tmp_path, content, Whole())
    assert np.array_equal(pixels(tmp_path / "out" / full.name), pixels(tmp_path / "picture"))
    assert (full.width, full.height, full.divide, full.box) == (101, 67, 1, (0, 0, 101, 67))
    assert full.bytes < len(content)


def test_a_grey_jpeg_stays_grey(tmp_path: Path) -> None:
    """One component in, one component out, the same pixels."""
    (full,) = derived(tmp_path, encoded(scene().convert("L"), "JPEG"), Whole())
    with Image.open(tmp_path / "out" / full.name) as image:
        assert image.mode == "L"
    assert np.array_equal(pixels(tmp_path / "out" / full.name), pixels(tmp_path / "picture"))


def test_dividing_takes_the_mean_of_each_square(tmp_path: Path) -> None:
    """The mean of 4 x 4 pixels, within what coding as JPEG may change."""
    content = encoded(scene(96, 64), "PNG")
    (found,) = derived(tmp_path, content, Whole(4))
    source = np.asarray(scene(96, 64), dtype=np.float64)
    means = source.reshape(16, 4, 24, 4, 3).mean(axis=(1, 3))
    assert np.abs(pixels(tmp_path / "out" / found.name) - means).mean() < 2.5


def test_a_size_that_is_no_multiple_ends_in_squares_of_what_is_left(tmp_path: Path) -> None:
    """101 x 67 divided by 8 is 13 x 9; all but the last column and row stand for 8 pixels."""
    pixels_in = np.full((67, 101), 40, np.uint8)
    pixels_in[:, 96:] = 200
    (found,) = derived(tmp_path, encoded(Image.fromarray(pixels_in), "PNG"), Whole(8))
    assert (found.width, found.height) == (13, 9)
    row = pixels(tmp_path / "out" / found.name)[4].astype(int)
    assert abs(row[12] - 200) < 12 and abs(row[8] - 40) < 12


@pytest.mark.parametrize("orientation", [1, 6])
def test_a_crop_is_cut_from_the_upright_picture(orientation: int, tmp_path: Path) -> None:
    """Its box is in upright pixels, whatever way the file is stored."""
    content = encoded(scene(96, 64), "PNG", exif=exif(orientation))
    box = (8, 16, 40, 48)
    (found,) = derived(tmp_path, content, Crop(box))
    turned = scene(96, 64).transpose(Image.Transpose.ROTATE_270) if orientation == 6 else scene(96, 64)
    difference = pixels(tmp_path / "out" / found.name).astype(int) - np.asarray(turned.crop(box)).astype(int)
    assert np.abs(difference).mean() < 2.5
    assert (found.width, found.height, found.box) == (32, 32, box)


@pytest.mark.parametrize(
    ("box", "inside"),
    [
        ((-10, -10, 20, 20), (0, 0, 20, 20)),
        ((80, 50, 500, 500), (80, 50, 96, 64)),
        ((-5, -5, 500, 500), (0, 0, 96, 64)),
        ((200, 200, 300, 300), (95, 63, 96, 64)),
        ((20, 20, 10, 10), (20, 20, 21, 21)),
    ],
)
def test_a_box_is_held_within_the_picture(
    box: tuple[int, int, int, int], inside: tuple[int, int, int, int], tmp_path: Path
) -> None:
    """What is outside is left out; of a box with nothing inside, the nearest pixel stays."""
    (found,) = derived(tmp_path, encoded(scene(96, 64), "PNG"), Crop(box))
    assert found.box == inside
    assert (found.width, found.height) == (inside[2] - inside[0], inside[3] - inside[1])


def test_a_divided_crop_says_its_box_and_its_size(tmp_path: Path) -> None:
    """A box of 30 x 21 divided by 4 is 8 x 6 pixels."""
    (found,) = derived(tmp_path, encoded(scene(96, 64), "PNG"), Crop((10, 10, 40, 31), divide=4))
    assert (found.width, found.height, found.divide, found.box) == (8, 6, 4, (10, 10, 40, 31))


@pytest.mark.parametrize("size", [(96, 64), (102, 66), (101, 64), (96, 67)])
@pytest.mark.parametrize("divide", [2, 3, 4, 8, 12])
def test_a_mean_taken_from_the_half_is_the_mean(size: tuple[int, int], divide: int) -> None:
    """Within a code of the mean over each square, the last column and row being means over what is left."""
    image = Image.fromarray(np.random.default_rng(3).integers(0, 256, (size[1], size[0]), np.uint8))
    found = np.asarray(Upright(image).divided(divide), np.float64)
    assert found.shape == (-(-size[1] // divide), -(-size[0] // divide))
    codes = np.asarray(image, np.float64)
    for row, column in np.ndindex(found.shape):
        square = codes[row * divide : (row + 1) * divide, column * divide : (column + 1) * divide]
        assert abs(found[row, column] - square.mean()) <= 1


@pytest.mark.parametrize("size", [(96, 64), (101, 67)])
def test_what_else_is_wanted_changes_no_byte(size: tuple[int, int], tmp_path: Path) -> None:
    """An eighth beside a half, a quarter and the whole is the same file as an eighth alone."""
    content = encoded(scene(*size), "PNG")
    (alone,) = derived(tmp_path, content, Whole(8))
    *_, among = derived(tmp_path, content, Whole(2), Whole(), Whole(4), Whole(8))
    assert alone == among


def test_a_crop_of_everything_is_the_whole_file(tmp_path: Path) -> None:
    """The same pixels are never kept twice."""
    whole, crop = derived(tmp_path, dirty_jpeg(scene()), Whole(), Crop((0, 0, 96, 64)))
    assert whole.name == crop.name
    assert all_names(tmp_path) == [whole.name]


def test_a_picture_of_one_pixel_has_all_its_files(tmp_path: Path) -> None:
    """Small pictures go the same way as large ones."""
    found = derived(tmp_path, encoded(Image.new("RGB", (1, 1), "red"), "JPEG", exif=exif(6)), Whole(), Whole(8))
    assert [(each.width, each.height) for each in found] == [(1, 1), (1, 1)]


@pytest.mark.parametrize("orientation", [1, 6])
def test_its_own_output_comes_out_unchanged(orientation: int, tmp_path: Path) -> None:
    """What was made upright and clean once is the same file when it is made so again."""
    (first,) = derived(tmp_path, dirty_jpeg(scene(), orientation=orientation), Whole())
    (second,) = derived(tmp_path, (tmp_path / "out" / first.name).read_bytes(), Whole())
    assert second == first


def test_the_same_picture_gives_the_same_bytes_and_writes_nothing_twice(tmp_path: Path) -> None:
    """Two runs give the same records, and a file that is there already isn't touched."""
    content = dirty_jpeg(scene(), orientation=8)
    wants = (Whole(), Whole(2), Crop((3, 3, 40, 40)))
    first = derived(tmp_path, content, *wants)
    before = {path.name: path.stat().st_mtime_ns for path in (tmp_path / "out").iterdir()}
    assert derived(tmp_path, content, *wants) == first
    assert {path.name: path.stat().st_mtime_ns for path in (tmp_path / "out").iterdir()} == before


def test_the_name_is_made_of_the_hash_of_the_file(tmp_path: Path) -> None:
    """The first twenty digits, and nothing else lies in the folder."""
    (found,) = derived(tmp_path, dirty_jpeg(scene()), Whole())
    assert found.name == f"{found.sha256[:20]}.jpg"
    assert all_names(tmp_path) == [found.name]
    assert (tmp_path / "out" / found.name).stat().st_size == found.bytes


def test_a_file_of_other_bytes_under_the_name_is_replaced(tmp_path: Path) -> None:
    """A half-written file of a killed build heals."""
    content = dirty_jpeg(scene())
    (found,) = derived(tmp_path, content, Whole())
    target = tmp_path / "out" / found.name
    good = target.read_bytes()
    for bad in (good[:100], good[:-100] + bytes(100)):
        target.write_bytes(bad)
        derived(tmp_path, content, Whole())
        assert target.read_bytes() == good


def test_keys_differ_wherever_the_bytes_may() -> None:
    """Source, mask, shown range, kind of want, box and divisor each make another key; the same ones make the same."""
    wants: list[Want] = [Whole(), Whole(2), Crop((0, 0, 2, 2)), Crop((0, 0, 2, 3)), Crop((0, 0, 2, 2), 2)]
    frame = Frame(8, 8)
    region = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0))
    plain, other = (PictureFacts(letter * 64, frame) for letter in "ab")
    sources = [plain, other, PictureFacts("a" * 64, frame, masks=(region,))]
    sources += [PictureFacts("a" * 64, frame, shown_bits=bits) for bits in (12, 14)]
    keys = {want_key(source, want) for source in sources for want in wants}
    assert len(keys) == 25
    assert want_key(plain, Crop((0, 0, 2, 2))) == want_key(plain, Crop((0, 0, 2, 2)))


def test_a_file_that_changed_since_its_facts_were_read_is_not_shown(tmp_path: Path) -> None:
    """Facts and pixels are always of the same bytes."""
    path = tmp_path / "picture"
    path.write_bytes(encoded(scene(), "PNG"))
    facts = known(path)
    path.write_bytes(encoded(scene(seed=2), "PNG"))
    found = derive(path, facts, (Whole(),), tmp_path / "out")
    assert isinstance(found, PictureUnreadable)
    assert found.reason == "the file changed while it was being read"
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("beside", [False, True])
@pytest.mark.parametrize("cut", [False, True])
def test_of_a_file_that_changed_nothing_else_is_told(cut: bool, beside: bool, tmp_path: Path) -> None:
    """Neither that it is damaged, nor pixels, though it is hashed beside its decoding."""
    path = tmp_path / "picture"
    path.write_bytes(encoded(scene(), "PNG"))
    facts, other = known(path), encoded(scene(seed=2), "PNG")
    assert isinstance(decoded(path, facts, beside=beside), Upright)
    path.write_bytes(other[:-30] if cut else other)
    found = decoded(path, facts, beside=beside)
    assert isinstance(found, PictureUnreadable)
    assert found.reason == "the file changed while it was being read"


@pytest.mark.parametrize("mode", ["RGB", "L"])
@pytest.mark.parametrize("orientation", range(2, 9))
def test_a_large_picture_is_turned_as_a_small_one(
    orientation: int, mode: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Colour by colour, or at once: the same pixels."""
    path = tmp_path / "picture"
    path.write_bytes(encoded(scene(33, 21).convert(mode), "JPEG", exif=exif(orientation)))
    at_once = decoded(path, known(path))
    monkeypatch.setattr(turning, "_TURNED_WHOLE", 33 * 21 - 1)
    by_colour = decoded(path, known(path))
    assert isinstance(at_once, Upright) and isinstance(by_colour, Upright)
    assert at_once.image.size == (known(path).upright.width, known(path).upright.height)
    assert at_once.image.mode == by_colour.image.mode == mode
    assert at_once.image.tobytes() == by_colour.image.tobytes()


def cut_webp() -> bytes:
    """A WebP of which the last third is missing."""
    content = encoded(scene(400, 300), "WEBP")
    return content[: 2 * len(content) // 3]


GREY = np.arange(64 * 64, dtype=np.uint16).reshape(64, 64)
CUT = {
    "JPEG, its end filled with zeros": (lambda c: c[: len(c) // 2] + bytes(len(c) // 2))(encoded(scene(), "JPEG")),
    "progressive JPEG": (lambda c: c[: len(c) // 2])(encoded(scene(), "JPEG", progressive=True)),
    "PNG without its last byte": encoded(scene(), "PNG")[:-1],
    "PNG whose pixels end early": (lambda c: c[: len(c) // 2] + c[-12:])(encoded(scene(), "PNG")),
    "TIFF": tiff(GREY)[:-100],
    "TIFF, packed": tiff(np.random.default_rng(1).integers(0, 9999, (64, 64)).astype(np.uint16), deflate=True)[:-900],
    "TIFF of 8 bits": tiff(GREY.astype(np.uint8))[:-100],
    "BMP": encoded(scene(), "BMP")[:-1000],
    "GIF": encoded(scene().quantize(200), "GIF")[:-1000],
}


@pytest.mark.parametrize("content", CUT.values(), ids=CUT)
def test_a_damaged_picture_is_never_shown(content: bytes, tmp_path: Path) -> None:
    """No grey or black remainder is published; nothing is written."""
    assert fault(tmp_path, content, Whole(), Whole(2)).reason == "damaged file: ends early"
    assert not (tmp_path / "out").exists()


def test_a_webp_that_ends_early_is_never_shown(tmp_path: Path) -> None:
    """Here only the reading library's own words tell."""
    assert fault(tmp_path, cut_webp(), Whole()).reason.startswith("damaged file")


def test_verify_decodes_to_the_end(tmp_path: Path) -> None:
    """A whole file has no fault, a cut one has, and nothing is written beside either."""
    whole, cut = tmp_path / "whole", tmp_path / "cut"
    whole.write_bytes(tiff(GREY))
    cut.write_bytes(tiff(GREY)[:-100])
    assert verify(whole) is None
    assert verify(cut) == PictureUnreadable("damaged file: ends early")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cut", "whole"]


def test_every_derived_record_tells_what_it_was_wanted_for(tmp_path: Path) -> None:
    """Wants come back in their order."""
    wants = (Whole(2), Crop((0, 0, 9, 9)), Whole())
    found: tuple[Derived, ...] = derived(tmp_path, dirty_jpeg(scene()), *wants)
    assert tuple(each.want for each in found) == wants


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize("size", [(96, 64), (97, 63), (5, 1)])
def test_the_size_of_a_file_is_known_before_a_pixel_is_touched(
    size: tuple[int, int], orientation: int, tmp_path: Path
) -> None:
    """Whole and divided, crops within the picture, across its border and outside of it."""
    boxes = ((3, 4, 40, 30), (-9, -9, 11, 5), (90, 50, 500, 500), (700, 700, 720, 720))
    wants: list[Whole | Crop] = [
        *(Whole(divide) for divide in (1, 2, 3, 8, 200)),
        *(Crop(box, divide) for box in boxes for divide in (1, 2, 5)),
    ]
    made = derived(tmp_path, encoded(scene(*size), "JPEG", exif=exif(orientation)), *wants)
    facts = known(tmp_path / "picture")
    assert [frame_of(facts, each) for each in wants] == [Frame(each.width, each.height) for each in made]


@pytest.mark.parametrize("want", [Whole(2), Crop((10, 8, 40, 30)), Crop((10, 8, 40, 30), 2)])
def test_only_a_jpeg_that_is_wanted_whole_is_copied(want: Want, tmp_path: Path) -> None:
    """A smaller one or a part of it has the pixels that its record says."""
    content = encoded(scene(), "JPEG")
    whole, part = derived(tmp_path, content, Whole(), want)
    assert part.sha256 != whole.sha256
    assert pixels(tmp_path / "out" / part.name).shape[:2] == (part.height, part.width)
