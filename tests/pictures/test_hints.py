"""Numbers about a picture: what they measure, held against another library and against pictures of known fault."""

import json
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageFilter
from scipy import ndimage

from portal.model.picture import Hints, PictureFacts
from portal.pictures import looks as comparing
from portal.pictures.derive import Derived, Hinted, Whole, derive
from portal.pictures.hints import hints_of, laplacian
from portal.pictures.looks import apart, nearest
from portal.pictures.mask import Masks, blacked
from portal.site.hints import ALIKE
from tests.pictures.make import derived, encoded, known, scene


def texture(width: int = 240, height: int = 160, seed: int = 1) -> Image.Image:
    """A surface of fine grain in even light."""
    codes = ndimage.gaussian_filter(np.random.default_rng(seed).normal(0, 40, (height, width)), 1.0) + 120
    return Image.fromarray(np.clip(codes, 0, 255).astype(np.uint8)).convert("RGB")


def test_the_laplacian_is_that_of_another_library() -> None:
    """Outside check: SciPy's, whose sign is the other one; its variance is the measure."""
    codes = np.asarray(scene().convert("L"), np.float32)
    theirs = -ndimage.laplace(codes)[1:-1, 1:-1]
    assert np.allclose(laplacian(codes), theirs)
    half = np.asarray(scene().convert("L").reduce(2), np.float32)
    expected = float(ndimage.laplace(half)[1:-1, 1:-1].var())
    assert hints_of(scene(), ()).sharpness == pytest.approx(expected, rel=1e-5)


def test_the_more_a_picture_is_blurred_the_smaller_is_its_sharpness() -> None:
    """Step by step, whatever the amount."""
    found = [hints_of(texture().filter(ImageFilter.GaussianBlur(r)), ()).sharpness for r in (0, 1, 2, 4)]
    assert all(one > 1.5 * other for one, other in zip(found, found[1:], strict=False))


def test_sharpness_is_that_of_what_was_drawn() -> None:
    """A picture that is sharp on the left only, measured on the left and on the right."""
    image = texture()
    image.paste(image.filter(ImageFilter.GaussianBlur(4)).crop((120, 0, 240, 160)), (120, 0))
    left, right, middle = (hints_of(image, boxes) for boxes in ([(10, 10, 110, 150)], [(130, 10, 230, 150)], ()))
    assert left.within and right.within and not middle.within
    assert left.sharpness > 10 * right.sharpness
    assert right.sharpness < middle.sharpness < left.sharpness


def test_clipped_is_the_share_at_the_top_in_the_worst_colour() -> None:
    """A quarter of the picture in one colour; code 253 isn't clipped."""
    codes = np.full((100, 100, 3), 253, np.uint8)
    codes[:50, :50, 2] = 255
    assert hints_of(Image.fromarray(codes), ()).clipped == 0.25
    assert hints_of(Image.fromarray(codes), [(0, 0, 50, 50)]).clipped == 1.0
    assert hints_of(Image.fromarray(codes[..., 0]), ()).clipped == 0.0


@pytest.mark.parametrize(("dark", "expected"), [(200, 1.0), (100, 0.5), (50, 0.25)])
def test_evenness_is_the_darkest_of_nine_fields_over_the_brightest(dark: int, expected: float) -> None:
    """Nine plain fields, one of them darker."""
    fields = np.full((3, 3), 200, np.uint8)
    fields[2, 0] = dark
    image = Image.fromarray(np.kron(fields, np.ones((80, 80), np.uint8)))
    assert hints_of(image, ()).evenness == pytest.approx(expected, abs=0.02)


def look(image: Image.Image, masks: Masks = ()) -> str:
    """What its brightness is compared by."""
    return hints_of(blacked(image.copy(), masks), (), masks).look


def saved(image: Image.Image, quality: int = 60) -> Image.Image:
    """The same as a JPEG of less quality."""
    return Image.open(BytesIO(encoded(image, "JPEG", quality=quality)))


COPIES: dict[str, Callable[[Image.Image], Image.Image]] = {
    "the same": lambda image: image,
    "saved anew": saved,
    "smaller": lambda image: image.resize((480, 320), Image.Resampling.BOX),
    "brighter": lambda image: image.point(lambda code: code + 12),
    "of more contrast": lambda image: image.point(lambda code: round(code * 1.05)),
    "cut": lambda image: image.crop((3, 2, 960, 640)),
    "all of these": lambda image: saved(image.crop((3, 2, 960, 640)).point(lambda code: round(code * 1.05))),
}


@pytest.mark.parametrize("how", COPIES)
def test_a_copy_looks_the_same(how: str) -> None:
    """Whatever its light is, and though it was shifted a little; both ways."""
    own, other = look(scene(960, 640)), look(COPIES[how](scene(960, 640)))
    for one, two in ((own, other), (other, own)):
        far = apart(one, two)
        assert far is not None and far < ALIKE


def test_another_piece_does_not_look_the_same() -> None:
    """Something else on it, the negative, nothing at all; plain ones differ by how bright they are."""
    image = scene(960, 640)
    changed = scene(960, 640, seed=2)
    changed.paste((40, 40, 40), (400, 240, 520, 360))
    for other in (changed, image.transpose(Image.Transpose.ROTATE_180), image.point(lambda code: 255 - code)):
        far = apart(look(image), look(other))
        assert far is None or far > 2 * ALIKE
    plain, lighter = (look(Image.new("RGB", (96, 64), (code, code, code))) for code in (90, 92))
    assert apart(plain, plain) == 0 and apart(plain, lighter) == 0.08
    assert apart(look(image), plain) is apart(plain, look(image)) is None


def test_what_was_blacked_out_of_one_doesnt_count() -> None:
    """The copy is found though a corner of it is black, and two pieces aren't alike since both are black there."""
    image, mask = scene(960, 640), square(0, 0, 480, 330)
    far = apart(look(image, [mask]), look(saved(image)))
    assert far is not None and far < ALIKE
    other = image.copy()
    other.paste((40, 40, 40), (700, 440, 860, 600))
    for masks in ([mask], [square(0, 0, 650, 640)]):
        far = apart(look(image, masks), look(other, masks))
        assert far is None or far > ALIKE
    hidden = look(image, [square(0, 0, 960, 600)])
    assert apart(hidden, hidden) is None, "too little of it is seen"


@pytest.mark.parametrize("at_once", [1, 5, 64])
def test_the_nearest_of_many_is_what_comparing_each_with_each_finds(
    at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Copies with some grain, some of them equal or in part blacked out, among others that are far off."""
    monkeypatch.setattr(comparing, "_AT_ONCE", at_once)
    rng = np.random.default_rng(7)
    kinds = ndimage.gaussian_filter(rng.integers(0, 250, (6, 16, 16)).astype(float), (0, 2, 2)).reshape(6, 256) * 1.5
    codes = [np.clip(kinds[number % 6] + rng.integers(0, 1 + number % 4, 256), 0, 255) for number in range(40)]
    looks = [each.astype(np.uint8).tobytes().hex() for each in (*codes, *codes[:3])]
    looks += ["--" * 32 + each[64:] for each in looks[:4]]
    for own, found in enumerate(nearest(looks, within=0.05)):
        others = {
            at: far for at, each in enumerate(looks) if at != own and (far := apart(looks[own], each)) is not None
        }
        least = min(others.values(), default=1.0)
        expected = (least, tuple(at for at, far in others.items() if far == least)) if least < 0.05 else None
        assert found == expected
    assert any(each is None for each in nearest(looks, within=0.01))
    assert any(each is not None and len(each[1]) > 1 for each in nearest(looks, within=0.05))
    assert nearest(looks[:1], within=1.0) == [None]


@pytest.mark.parametrize("boxes", [[(-50, -50, 3, 3)], [(5000, 5000, 6000, 6000)], [(10, 10, 12, 90)]])
def test_regions_that_say_nothing_leave_the_middle(boxes: list[tuple[int, int, int, int]]) -> None:
    """Outside the picture, or narrower than what has inner pixels."""
    assert hints_of(texture(), boxes).sharpness == hints_of(texture(), ()).sharpness


@pytest.mark.parametrize("size", [(1, 1), (3, 2), (9, 400), (400, 1)])
def test_no_size_is_too_small(size: tuple[int, int]) -> None:
    """Nothing to say is no failure."""
    found = hints_of(Image.new("RGB", size, (9, 9, 9)), ())
    assert found.sharpness == 0 or np.isfinite(found.sharpness)


def test_they_are_kept_as_a_file_like_all_that_is_derived(tmp_path: Path) -> None:
    """With the picture decoded once for both."""
    whole, hinted = derived(tmp_path, encoded(texture(), "PNG"), Whole(), Hinted(((0, 0, 60, 60),)))
    assert whole.hints is None and hinted.hints is not None
    kept = json.loads((tmp_path / "out" / hinted.name).read_bytes())
    assert Hints(**kept) == hinted.hints == hints_of(texture(), [(0, 0, 60, 60)])


def test_what_was_blacked_out_is_no_uneven_light(tmp_path: Path) -> None:
    """A whole field and a part of another, with their edges; light that is uneven beside them still is."""
    masks = (((0.0, 0.0), (140.0, 0.0), (140.0, 110.0), (0.0, 110.0)),)
    path = tmp_path / "a.png"
    found = []
    for dark in (200, 100):
        fields = np.full((300, 300), 200, np.uint8)
        fields[200:, 200:] = dark
        path.write_bytes(encoded(Image.fromarray(fields), "PNG"))
        (hinted,) = derive_all(path, replace(known(path), masks=masks))
        assert hinted.hints is not None
        found.append(hinted.hints.evenness)
    assert found == [pytest.approx(1.0, abs=0.06), pytest.approx(0.5, abs=0.06)]


def derive_all(path: Path, facts: PictureFacts) -> tuple[Derived, ...]:
    """Its numbers alone."""
    found = derive(path, facts, (Hinted(()),), path.parent / "out")
    assert isinstance(found, tuple)
    return found


def test_of_a_picture_that_is_all_black_nothing_is_said() -> None:
    """Nothing is seen of it, so nothing is uneven."""
    corners = ((0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0))
    assert hints_of(Image.new("L", (80, 80)), (), (corners,)).evenness == 1.0


def test_evenness_is_that_of_means_worked_out_by_another_library() -> None:
    """Outside check: SciPy's means over nine fields of a picture of a size that nine divides evenly."""
    grey = texture(360, 240).convert("L")
    y, x = np.mgrid[0:240, 0:360]
    codes = np.asarray(grey, np.float64)
    means = ndimage.mean(codes, y // 80 * 3 + x // 120, range(9))
    assert hints_of(grey, ()).evenness == pytest.approx(min(means) / max(means), abs=0.01)


def test_the_two_highest_codes_are_clipped() -> None:
    """The coding of a JPEG may lower the last by one."""
    codes = np.full((40, 40), 253, np.uint8)
    codes[:10], codes[10:20] = 254, 255
    assert hints_of(Image.fromarray(codes), ()).clipped == 0.5


def test_a_small_region_is_measured_at_full_size_and_a_larger_one_at_half() -> None:
    """Of a part of less than 16 pixels the half would have hardly any inside."""
    codes = np.asarray(texture().convert("L"), np.float32)
    image = Image.fromarray(codes.astype(np.uint8))
    small = float(ndimage.laplace(codes[20:32, 30:42])[1:-1, 1:-1].var())
    assert hints_of(image, [(30, 20, 42, 32)]).sharpness == pytest.approx(small, rel=1e-5)
    half = np.asarray(image.crop((30, 20, 46, 36)).reduce(2), np.float32)
    expected = float(ndimage.laplace(half)[1:-1, 1:-1].var())
    assert hints_of(image, [(30, 20, 46, 36)]).sharpness == pytest.approx(expected, rel=1e-5)


def test_without_a_region_the_middle_is_measured_and_no_more() -> None:
    """2000 pixels of it: what is sharp or bright beside them counts neither way."""
    codes = np.full((24, 2400), 100, np.uint8)
    codes[::2, :199] = codes[::2, 2201:] = 255
    found = hints_of(Image.fromarray(codes), ())
    assert (found.sharpness, found.clipped) == (0.0, 0.0)
    codes[::2, 202:240] = 255
    assert hints_of(Image.fromarray(codes), ()).clipped == pytest.approx(19 / 2000)


def square(left: float, top: float, right: float, bottom: float) -> tuple[tuple[float, float], ...]:
    """A mask."""
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def test_what_was_blacked_out_counts_neither_for_sharpness_nor_for_clipping() -> None:
    """A blurred surface, bright as can be at its right, with a black field: the numbers are those of what is seen."""
    codes = np.array(texture(400, 300).filter(ImageFilter.GaussianBlur(3)))
    codes[:, 350:] = 255
    bare = hints_of(Image.fromarray(codes), [(0, 0, 400, 300)])
    mask = square(60, 40, 260, 240)
    masked = blacked(Image.fromarray(codes), [mask])
    found = hints_of(masked, [(0, 0, 400, 300)], [mask])
    seen = np.asarray(blacked(Image.new("L", (400, 300), 255), [mask])) == 255
    assert found.clipped == pytest.approx(50 * 300 / seen.sum()) and bare.clipped == pytest.approx(50 / 400)
    left = hints_of(Image.fromarray(codes), [(0, 0, 340, 300)]).sharpness
    kept = hints_of(masked, [(0, 0, 340, 300)], [mask]).sharpness
    counted = hints_of(masked, [(0, 0, 340, 300)]).sharpness
    assert kept == pytest.approx(left, rel=0.1) and counted > 10 * left


def test_sharpness_beside_a_mask_is_that_of_the_same_pixels_by_another_library() -> None:
    """Outside check: SciPy's Laplacian, of the pixels whose neighbours are all seen."""
    mask = square(31, 21, 90, 77)
    image = blacked(texture(), [mask])
    half = np.asarray(image.convert("L").reduce(2), np.float32)
    seen = np.asarray(blacked(Image.new("L", image.size, 255), [mask]).reduce(2)) == 255
    inner = ndimage.binary_erosion(seen)
    inner[0], inner[-1], inner[:, 0], inner[:, -1] = False, False, False, False
    assert hints_of(image, (), [mask]).sharpness == pytest.approx(float(ndimage.laplace(half)[inner].var()), rel=1e-5)


def test_a_region_of_which_nothing_is_seen_leaves_the_others_and_else_the_middle() -> None:
    """A picture that is black altogether says nothing, and fails at nothing."""
    mask = square(0, 0, 120, 160)
    image = blacked(texture(), [mask])
    hidden, plain = (20, 20, 100, 100), (140, 20, 220, 100)
    both, one = (hints_of(image, boxes, [mask]) for boxes in ([hidden, plain], [plain]))
    assert (both.sharpness, both.clipped, both.within) == (one.sharpness, one.clipped, True)
    alone = hints_of(image, [hidden], [mask])
    assert not alone.within and alone.sharpness == hints_of(image, (), [mask]).sharpness > 0
    all_of_it = square(0, 0, 240, 160)
    black = hints_of(blacked(texture(), [all_of_it]), [hidden], [all_of_it])
    assert (black.sharpness, black.clipped, black.within) == (0.0, 0.0, False)
