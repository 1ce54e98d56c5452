"""Numbers of pictures for the inspector: on the shop's pages, never on a customer's; what is cheap, by `check`."""

import shutil
from pathlib import Path

import pytest
from PIL import Image, ImageFilter

from tests.tasks.small import SPECK, TRIAL, add_picture, small_catalogue
from tests.tasks.two import OURS, change, two_customers
from tests.tasks.typed import typed

REVIEW, PICTURE = "parts/P-0001/M-001-T1.html", "pictures/M-001/T1/c1_top2.jpg.html"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue with two more pictures of one view, of which the last is a blurred copy of the first."""
    made = small_catalogue(tmp_path / "c")
    for number in (2, 3):
        speck = SPECK.replace("7K3F", f"7K3{number}")
        add_picture(made, f"c1_top{number}.jpg", view="top", findings=speck, seed=10 + number)
    images = made / TRIAL / "images"
    with Image.open(images / "c1_top.jpg") as image:
        image.filter(ImageFilter.GaussianBlur(3)).save(images / "c1_top4.jpg")
    return made


def text(folder: Path, page: str, site: str = "shop") -> str:
    """A page as text, a number and its unit on one line."""
    return (folder / "site" / site / page).read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")


def test_the_review_shows_the_numbers_beside_those_of_the_others(folder: Path) -> None:
    """A row for each picture; a copy is told with how far it is apart, also a blurred one."""
    assert typed("build", folder, "--jobs", "1").code == 0
    table = text(folder, REVIEW).partition('<section class="hints">')[2].partition("</section>")[0]
    assert table.count("<tr>") == 1 + 5
    assert "<td>c1_top.jpg <small>" in table and "<td>c1_top4.jpg <small>" in table and "of its contrast" in table
    assert table.count("<small>others ") >= 9 and "no other of this view" in table
    assert "conform" not in table


def test_a_pictures_page_shows_its_own(folder: Path) -> None:
    """Within what was drawn on it."""
    assert typed("build", folder, "--jobs", "1").code == 0
    page = text(folder, PICTURE)
    assert "Sharpness within what was drawn" in page and "Evenness of light" in page


def test_a_customer_sees_none(tmp_path: Path) -> None:
    """And no file of them is among those of the site."""
    folder = two_customers(tmp_path / "c")
    assert typed("build", folder, "--for", OURS, "--jobs", "1").code == 0
    pages = [each.read_text(encoding="utf-8") for each in (folder / "site" / OURS).rglob("*.html")]
    assert pages and not [page for page in pages if "Evenness" in page or 'class="hints"' in page]
    assert not list((folder / "site" / OURS / "assets").glob("*.json"))


def test_they_are_worked_out_again_only_where_something_changed(folder: Path, tmp_path: Path) -> None:
    """What was drawn is moved: that picture's alone; the site equals a clean one."""
    assert typed("build", folder, "--jobs", "1").code == 0
    assets = folder / "site/shop/assets"
    before = {each.name for each in assets.glob("*.json")}
    change(folder, f"{TRIAL}/tags/c1_top2.jpg.yaml", '"100,100 120,100', '"90,100 120,100')
    assert typed("build", folder, "--jobs", "1").code == 0
    after = {each.name for each in assets.glob("*.json")}
    assert len(before - after) == len(after - before) == 1
    assert typed("build", folder, "--jobs", "1", "--out", tmp_path / "clean").code == 0
    assert {each.name for each in (tmp_path / "clean/assets").glob("*.json")} == after
    assert (tmp_path / "clean" / REVIEW).read_bytes() == (folder / "site/shop" / REVIEW).read_bytes()


def test_check_tells_of_a_copy_and_of_another_frame(folder: Path) -> None:
    """Both are hints: the exit code stays 0."""
    images = folder / TRIAL / "images"
    assert "hint:" not in typed("check", folder).out
    shutil.copyfile(images / "c1_top.jpg", images / "copy.jpg")
    with Image.open(images / "c1_top2.jpg") as image:
        image.resize((160, 120)).save(images / "c1_top2.jpg")
    checked = typed("check", folder)
    assert f"hint: {TRIAL}/images/copy.jpg: the same file as c1_top.jpg" in checked.out
    other = "160x120 pixels, 2 others of its view and setting are 320x240"
    assert f"hint: {TRIAL}/images/c1_top2.jpg: {other}" in checked.out
