"""A shift's check and a calibration in Chromium, as a person makes them: newest picture proposed, told, written."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from queue import Queue
from typing import Any

import pytest
from axe_core_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from portal.bench.run import run_bench
from portal.catalog import read
from portal.model.scope import Setting
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.test_shiftcheck import graticule

PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A bench over a catalogue from which a review was sent."""
    folder = ready_catalogue(tmp_path_factory.mktemp("scales") / "c")
    assert pack(folder).code == 0
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    return folder, said.get(timeout=60)


def opened(served: tuple[Path, str], chromium: Browser, width: int, scheme: Any) -> tuple[Page, list[str]]:
    """The page of scales, with somebody at it and a trial chosen."""
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    context.set_default_timeout(PATIENCE_MS)
    page, told = context.new_page(), []
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto(served[1])
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.click("#to-scales")
    return page, told


@pytest.fixture
def page(served: tuple[Path, str], chromium: Browser) -> Iterator[Page]:
    """The same at 1280 pixels; nothing is said on the console."""
    found, told = opened(served, chromium, 1280, "light")
    yield found
    assert told == []
    found.context.close()


def lay(folder: Path, name: str, division: float) -> None:
    """A picture that the camera program writes into the trial."""
    graticule(folder / TRIAL / "images" / name, division)


def setting(folder: Path, within: int) -> Setting:
    """The setting once it has so many checks and calibrations together."""
    for _ in range(200):
        catalogue = read(folder).catalogue
        assert catalogue is not None
        found = catalogue.scopes["bench-1"].settings["zoom-2-adapter-0.5"]
        if len(found.checks) + len(found.calibrations) == within:
            return found
        time.sleep(0.05)
    raise AssertionError(found)


def until(page: Page, held: list[Route]) -> None:
    """Once something is asked that is held back."""
    for _ in range(500):
        if held:
            return
        page.wait_for_timeout(20)
    raise AssertionError("nothing was asked")


def ends(page: Page) -> int:
    """How many points are drawn on the picture; all are one path, a ring each."""
    drawn = page.locator("#scale-ink .vertex")
    return sum((drawn.nth(each).get_attribute("d") or "").count("M") for each in range(drawn.count()))


def test_a_setting_is_checked_and_fails_with_what_to_look_back_at(served: tuple[Path, str], page: Page) -> None:
    """The picture appears by itself and is proposed; axe finds nothing on the page of the list."""
    lay(served[0], "IMG_1.jpg", 26.5)
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_1.jpg")
    page.fill("#scale [name=pitch]", "25 um")
    page.keyboard.press("Enter")
    expect(page.locator("#scale-told")).to_contain_text("The scale does not hold.")
    assert ends(page) == 2
    expect(page.locator("#scale-write-check")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#scale-backs")).to_contain_text("7K3G")
    expect(page.locator("#scale-backs")).to_contain_text("review 1")
    expect(page.locator("#scale-backs [data-count]")).to_contain_text("2 left")
    found = setting(served[0], 2)
    assert found.checks[-1].by == "first-inspector"
    expect(page.locator("#scale-none")).to_be_visible()
    assert told_by_axe(page) == []


def test_what_is_in_doubt_is_gone_through_by_keys(served: tuple[Path, str], chromium: Browser) -> None:
    """Same by one key, the next comes by itself; changed opens the finding, and stays left; all of it is closed."""
    page, said = opened(served, chromium, 1280, "light")
    expect(page.locator("#scale-backs .again li")).to_have_count(2)
    first, second = (page.locator("#scale-backs .again li").nth(each) for each in (0, 1))
    changed = second.get_attribute("data-finding") or ""
    first.locator("button").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("s")
    expect(first).to_have_attribute("data-left", "no")
    expect(first.locator(".said")).to_contain_text("Same: ")
    expect(second.locator("[data-again=same]")).to_be_focused()
    page.keyboard.press("c")
    expect(page.locator("#desk")).to_be_visible()
    expect(page.locator("#finding-name")).to_contain_text(changed)
    expect(page.locator("#in-doubt")).to_contain_text("zoom-2-adapter-0.5")
    page.click("#to-backs")
    expect(page.locator("#scale-backs [data-count]")).to_contain_text("1 left")
    expect(second.locator("[data-again=same]")).to_be_focused()
    page.click("#scale-backs [data-close]")
    expect(page.locator("#scale-backs .warn")).to_contain_text(f"{changed} is still left")
    page.locator("#scale-backs .again li").nth(1).locator("[data-again=same]").focus()
    page.keyboard.press("s")
    expect(page.locator("#scale-backs [data-close]")).to_be_focused()
    assert told_by_axe(page) == []
    page.keyboard.press("Enter")
    expect(page.locator("#scale-backs")).to_be_empty()
    assert setting(served[0], 2).checks[-1].looked_back is not None
    page.click("#to-scales")
    expect(page.locator("#desk")).to_be_visible()
    expect(page.locator("#in-doubt")).to_be_hidden()
    assert [each for each in said if "422" not in each] == [], "the browser tells of the refusal"
    page.context.close()


def test_the_division_is_remembered_and_the_next_check_is_one_key(served: tuple[Path, str], page: Page) -> None:
    """Told once for a setting, it stands there; the newest picture is measured as the page opens."""
    page.fill("#scale [name=pitch]", "25 um")
    lay(served[0], "IMG_2.jpg", 25.0)
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_2.jpg")
    page.click("#scale-check")
    expect(page.locator("#scale-told")).to_contain_text("The scale holds.")
    page.click("#to-scales")
    page.click("#to-scales")
    expect(page.locator("#scale-told")).to_contain_text("The scale holds.")
    expect(page.locator("#scale-write-check")).to_be_focused()
    before = len(setting(served[0], 2).checks)
    page.keyboard.press("Enter")
    assert len(setting(served[0], 3).checks) == before + 1


def test_a_line_is_drawn_over_a_known_length(served: tuple[Path, str], page: Page) -> None:
    """By two clicks, or the keys alone; the ends can be drawn anew."""
    lay(served[0], "IMG_3.jpg", 25.0)
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_3.jpg")
    page.check("#scale [name=how][value=line]")
    page.click("#scale-check")
    page.fill("#scale [name=stated]", "0.2 mm")
    page.click("#scale-check")
    expect(page.locator("#scale-refused")).to_contain_text("both ends")
    box = page.locator("#scale-window").bounding_box()
    data = page.locator("#scale-window").evaluate("each => ({...each.dataset})")
    assert box is not None
    zoom, x, y = (float(data[name]) for name in ("zoom", "x", "y"))
    for at in (40.0, 240.0):
        page.mouse.click(box["x"] + (at - x) * zoom, box["y"] + (120 - y) * zoom)
    page.click("#scale-check")
    expect(page.locator("#scale-told")).to_contain_text("The scale holds.")
    page.focus("#scale-window")
    page.keyboard.press("Space")
    assert ends(page) == 1
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    assert ends(page) == 2
    expect(page.locator("#scale-write")).to_be_hidden()


def test_a_setting_is_calibrated(served: tuple[Path, str], page: Page) -> None:
    """Value, uncertainty, what limits it and each mark are shown; what is written is what was shown."""
    lay(served[0], "IMG_4.jpg", 25.0)
    page.click("[data-mode=calibrate]")
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_4.jpg")
    page.fill("#scale [name=pitch]", "25 um")
    page.fill("#scale [name=u]", "0.2 um")
    page.click("#scale-read")
    expect(page.locator("#scale-told")).to_contain_text("What limits the uncertainty")
    assert page.locator("#scale-told .dots circle").count() >= 6
    before = setting(served[0], 3)
    page.click("#scale-write-calibration")
    expect(page.locator("#state")).to_contain_text("written")
    expect(page.locator("#scale [name=picture] option").first).to_be_attached()
    expect(page.locator("#scale [name=picture]")).to_have_value("")  # no other one is named beside what is still shown
    after = setting(served[0], 4)
    assert len(after.calibrations) == len(before.calibrations) + 1
    assert after.calibrations[-1].x.um == pytest.approx(1.0, rel=5e-4)


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_axe_finds_nothing_and_nothing_sticks_out(
    served: tuple[Path, str], chromium: Browser, width: int, scheme: Any
) -> None:
    """Before and after a reading, in both modes."""
    lay(served[0], f"IMG_{width}.jpg", 25.0)
    page, said = opened(served, chromium, width, scheme)
    expect(page.locator("#scale [name=picture]")).to_contain_text(f"IMG_{width}.jpg")
    page.fill("#scale [name=pitch]", "25 um")
    page.click("#scale-check")
    expect(page.locator("#scale-told .verdictline")).to_be_visible()
    assert told_by_axe(page) == []
    page.click("[data-mode=calibrate]")
    page.fill("#scale [name=u]", "0.2 um")
    page.click("#scale-read")
    expect(page.locator("#scale-told .axis").first).to_be_visible()
    assert told_by_axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert said == []
    page.context.close()


def told_by_axe(page: Page) -> list[tuple[str, list[str]]]:
    """What axe-core finds wrong."""
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
    return [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found["violations"]]


def test_a_line_drawn_anew_is_not_told_by_the_reading_of_the_last_one(
    served: tuple[Path, str], chromium: Browser
) -> None:
    """What could be written would be the line that is no longer there."""
    lay(served[0], "IMG_8.jpg", 25.0)
    page, told = opened(served, chromium, 1280, "light")
    expect(page.locator("#scale [name=picture] option:checked")).to_contain_text("IMG_8.jpg")
    page.check("#scale [name=how][value=line]")
    page.fill("#scale [name=stated]", "0.2 mm")
    page.focus("#scale-window")
    for key in ("Space", "ArrowRight", "Space"):
        page.keyboard.press(key)
    held: list[Route] = []
    page.route("**/api/check**", lambda route: held.append(route))
    page.click("#scale-check")
    until(page, held)
    page.focus("#scale-window")
    page.keyboard.press("Space")
    assert ends(page) == 1
    held[0].continue_()
    page.unroute("**/api/check**")
    expect(page.locator("#state")).to_be_empty()
    expect(page.locator("#scale-write")).to_be_hidden()
    assert page.inner_html("#scale-told") == ""
    assert told == []
    page.context.close()


def test_who_goes_on_while_a_trial_comes_stays_where_he_went(served: tuple[Path, str], chromium: Browser) -> None:
    """The trial is there once it has come, and takes nobody away from the page of scales."""
    page, told = opened(served, chromium, 1280, "light")
    page.click("#to-trials")
    page.evaluate("document.querySelector('#strip').replaceChildren()")
    held: list[Route] = []
    page.route("**/api/trial/**", lambda route: held.append(route))
    page.click("#trial-list button")
    page.click("#to-scales")
    expect(page.locator("#scales")).to_be_visible()
    for each in held:
        each.continue_()
    page.unroute("**/api/trial/**")
    expect(page.locator("#strip li")).not_to_have_count(0)
    page.wait_for_timeout(500)
    expect(page.locator("#scales")).to_be_visible()
    expect(page.locator("#desk")).to_be_hidden()
    assert told == []
    page.context.close()


def test_what_was_typed_before_the_list_came_stays(served: tuple[Path, str], chromium: Browser) -> None:
    """On a slow machine the page is there before its list; nobody types a division twice."""
    lay(served[0], "IMG_5.jpg", 25.0)
    page, told = opened(served, chromium, 1280, "light")
    page.click("#to-scales")
    expect(page.locator("#scales")).to_be_hidden()
    held: list[Route] = []
    page.route("**/api/scales**", lambda route: held.append(route))
    page.click("#to-scales")
    page.fill("#scale [name=pitch]", "25 um")
    page.click("#scale-check")
    until(page, held)
    held[0].continue_()
    page.unroute("**/api/scales**")
    expect(page.locator("#scale-told")).to_contain_text("The scale holds.")
    assert page.input_value("#scale [name=pitch]") == "25 um"
    assert told == []
    page.context.close()


def test_a_reading_that_comes_late_is_not_shown_beside_another_picture(
    served: tuple[Path, str], chromium: Browser
) -> None:
    """What could be written would be of the picture that is no longer shown."""
    lay(served[0], "IMG_6.jpg", 25.0)
    page, told = opened(served, chromium, 1280, "light")
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_6.jpg")
    page.fill("#scale [name=pitch]", "25 um")
    held: list[Route] = []
    page.route("**/api/check**", lambda route: held.append(route))
    page.click("#scale-check")
    expect(page.locator("#state")).not_to_be_empty()
    until(page, held)
    lay(served[0], "IMG_7.jpg", 25.0)
    expect(page.locator("#scale [name=picture] option:checked")).to_contain_text("IMG_7.jpg")
    held[0].continue_()
    page.unroute("**/api/check**")
    expect(page.locator("#state")).to_be_empty()
    expect(page.locator("#scale-write")).to_be_hidden()
    assert page.inner_html("#scale-told") == ""
    assert told == []
    page.context.close()


def test_a_picture_of_a_piece_is_chosen_by_a_person_and_never_proposed(chromium: Browser, tmp_path: Path) -> None:
    """With a division known it isn't measured either; one with divisions on it is proposed as it comes."""
    folder = ready_catalogue(tmp_path / "c")
    images = folder / TRIAL / "images"
    (images / "piece.jpg").write_bytes((images / "c1_top.jpg").read_bytes())
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    page, told = opened((folder, said.get(timeout=60)), chromium, 1280, "light")
    expect(page.locator("#scale-none")).to_contain_text("No picture here is seen to be of a stage micrometer")
    expect(page.locator("#scale [name=picture]")).to_have_value("")
    page.fill("#scale [name=pitch]", "25 um")
    page.keyboard.press("Enter")
    assert page.inner_text("#scale-told") == "" and page.is_hidden("#scale-window")
    page.select_option("#scale [name=picture]", index=1)
    expect(page.locator("#scale-none")).to_be_hidden()
    expect(page.locator("#scale-window")).to_be_visible()
    lay(folder, "MICROMETER.jpg", 25.0)
    expect(page.locator("#scale [name=picture] option:checked")).to_contain_text("MICROMETER.jpg")
    assert told == []
    page.context.close()
