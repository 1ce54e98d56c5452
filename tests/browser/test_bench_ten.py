"""Ten findings on five pictures, as a person makes them: by mouse, by touch, by keyboard alone.

The tag files say what was drawn within half a pixel of the screen, in every way of drawing there is.
"""

import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from portal.catalog import read
from portal.model.tag import BaseAndPoint, Finding, Shape
from tests.browser.benched import PATIENCE, At, near, serve
from tests.tasks.small import TRIAL, small_catalogue

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class Wanted:
    """A finding to be drawn: what is measured, with which shape, where; of a base the last point is the farthest."""

    measured: str
    shape: str
    points: Points


TEN = [
    Wanted("count", "point", [(60.0, 60.0)]),
    Wanted("length", "line", [(40.0, 100.0), (90.0, 130.0)]),
    Wanted("width", "rectangle", [(40.0, 40.0), (100.0, 44.0), (70.0, 80.0)]),
    Wanted("mean diameter", "ellipse", [(150.0, 100.0), (200.0, 100.0), (175.0, 130.0)]),
    Wanted("area", "outline", [(60.0, 60.0), (120.0, 58.0), (140.0, 100.0), (100.0, 130.0), (64.0, 104.0)]),
    Wanted("length", "line", [(200.0, 40.0), (230.0, 80.0), (280.0, 90.0)]),
    Wanted("height", "base and point", [(40.0, 150.0), (90.0, 150.0), (140.0, 152.0), (90.0, 110.0)]),
    Wanted("length", "rectangle", [(200.0, 150.0), (260.0, 150.0), (230.0, 190.0)]),
    Wanted("length", "ellipse", [(60.0, 120.0), (120.0, 120.0), (90.0, 150.0)]),
    Wanted("perimeter", "outline", [(180.0, 60.0), (240.0, 60.0), (240.0, 110.0), (180.0, 110.0)]),
]


def catalogue(top: Path) -> Path:
    """Five new pictures beside the two that are tagged."""
    folder = small_catalogue(top / "c")
    content = (folder / TRIAL / "images/c1_top.jpg").read_bytes()
    for number in range(5):
        (folder / TRIAL / f"images/p{number}.jpg").write_bytes(content)
    return folder


def found_in(at: At, count: int) -> list[list[Finding]]:
    """What the tag files of the five say once there are so many findings."""
    for _ in range(300):
        reading = read(at.folder)
        if reading.catalogue and not reading.problems:
            pictures = {each.name: each for _, trial in reading.catalogue.trials() for each in trial.pictures}
            tags = [pictures[f"p{number}.jpg"].tag for number in range(5)]
            found = [list(tag.findings) if tag else [] for tag in tags]
            if sum(map(len, found)) == count:
                return found
        time.sleep(0.05)
    raise AssertionError((found, reading.problems, at.said))


def points_of(shape: Shape) -> tuple[tuple[float, float], ...]:
    """All points, of a base the farthest last."""
    return shape.base.xy + shape.point.xy if isinstance(shape, BaseAndPoint) else shape.points.xy


def held_against(at: At, drawn: list[Points]) -> None:
    """Each finding is where it was drawn, on its picture, with what it was drawn for."""
    found = found_in(at, len(TEN))
    for number, wanted in enumerate(TEN):
        finding = found[number // 2][number % 2]
        (shape,) = finding.shapes
        assert shape.shape == wanted.shape.replace(" ", "-")
        near(points_of(shape), drawn[number], at.half_pixel)
        assert finding.by == "first-inspector"


def opened(chromium: Browser, folder: Path, **options: Any) -> At:
    """The bench's first page."""
    context = chromium.new_context(**options)
    context.set_default_timeout(PATIENCE)
    at = At(folder, context.new_page())
    at.page.on("console", lambda message: at.said.append(message.text))
    at.page.on("pageerror", lambda error: at.said.append(str(error)))
    at.page.goto(serve(folder))
    return at


def current(page: Page, name: str) -> None:
    """Wait until that picture is open."""
    page.wait_for_selector(f"#strip [aria-current=true]:has-text('{name}')")


def drawn_by(
    at: At, press: Callable[[str], None], set_point: Callable[[float, float], None], finish: Callable[[], None]
) -> list[Points]:
    """Draw the ten; `press` takes the text of a button."""
    for number, wanted in enumerate(TEN):
        if number % 2 == 0:
            press(f"p{number // 2}.jpg")
            current(at.page, f"p{number // 2}.jpg")
        press(wanted.measured)
        press(wanted.shape)
        base = wanted.points[:-1] if wanted.shape == "base and point" else wanted.points
        for x, y in base:
            set_point(x, y)
        if wanted.shape in {"line", "outline", "base and point"}:
            finish()
        for x, y in wanted.points[len(base) :]:
            set_point(x, y)
        found_in(at, number + 1)
    return [each.points for each in TEN]


def button(page: Page, text: str) -> Any:
    """A choice by its name: a picture, what is measured, a shape; unfolded where it comes into question seldom."""
    if text.endswith(".jpg"):
        return page.locator("#strip button").filter(has_text=text)
    choices = page.locator("#shapes button, #characteristics button, #others button")
    found = choices.filter(has_text=re.compile(rf"^{re.escape(text)}( |$)")).first
    others = page.locator("#more-characteristics summary")
    if not found.is_visible() and others.is_visible():
        (others.tap if page.evaluate("'ontouchstart' in window") else others.click)()
    return found


def test_by_mouse(chromium: Browser, tmp_path: Path) -> None:
    """Clicks alone."""
    at = opened(chromium, catalogue(tmp_path), viewport={"width": 1280, "height": 800})
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.wait_for_selector("#strip [aria-current=true]")
    drawn = drawn_by(
        at, lambda text: button(at.page, text).click(), at.click, lambda: at.page.click("[data-do=finish]")
    )
    held_against(at, drawn)
    assert at.said == []
    at.page.context.close()


def test_by_touch(chromium: Browser, tmp_path: Path) -> None:
    """Taps alone, on a tablet."""
    at = opened(chromium, catalogue(tmp_path), viewport={"width": 1180, "height": 820}, has_touch=True)
    at.page.tap("[data-by=first-inspector]")
    at.page.tap("#trial-list button")
    at.page.wait_for_selector("#strip [aria-current=true]")

    def tap(x: float, y: float) -> None:
        at.page.touchscreen.tap(*at.screen(x, y))

    drawn = drawn_by(at, lambda text: button(at.page, text).tap(), tap, lambda: at.page.tap("[data-do=finish]"))
    held_against(at, drawn)
    assert at.said == []
    at.page.context.close()


def tab_to(page: Page, selector: str) -> None:
    """Tab until that has the focus."""
    for _ in range(60):
        if page.evaluate(
            "wanted => Boolean(document.activeElement && document.activeElement.matches(wanted))", selector
        ):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} can't be reached")


def test_by_keyboard_alone(chromium: Browser, tmp_path: Path) -> None:
    """From the first page on: the cross goes by arrows, to the pixel of the screen with Shift."""
    at = opened(chromium, catalogue(tmp_path), viewport={"width": 1280, "height": 800})
    keys = at.page.keyboard
    for selector in ("[data-by=first-inspector]", "#trial-list button"):
        at.page.wait_for_selector(selector)
        tab_to(at.page, selector)
        keys.press("Enter")
    at.page.wait_for_selector("#strip [aria-current=true]")
    current(at.page, "p0.jpg")
    drawn: list[Points] = []
    for number, wanted in enumerate(TEN):
        if number and number % 2 == 0:
            keys.press("n")
            current(at.page, f"p{number // 2}.jpg")
        at.pick(wanted.measured)
        shapes = at.page.locator("#shapes button")
        for _ in range(shapes.count()):
            if shapes.filter(has_text=re.compile(rf"^{wanted.shape}( |$)")).get_attribute("aria-pressed") == "true":
                break
            keys.press("x")
        drawn.append([])
        base = wanted.points[:-1] if wanted.shape == "base and point" else wanted.points
        for x, y in base:
            drawn[-1].append(by_arrows(at, x, y))
        if wanted.shape in {"line", "outline", "base and point"}:
            keys.press("Enter")
        for x, y in wanted.points[len(base) :]:
            drawn[-1].append(by_arrows(at, x, y))
        found_in(at, number + 1)
    held_against(at, drawn)
    assert at.said == []
    at.page.context.close()


def by_arrows(at: At, x: float, y: float) -> tuple[float, float]:
    """Move the cross near an image point and set one there; gives where the cross then is, by the page's view."""
    keys, cross = at.page.keyboard, at.page.locator("#ink path.cross")
    if cross.count() == 0:
        keys.press("ArrowRight")
    for way, back, axis in (("Right", "Left", 0), ("Down", "Up", 1)):
        far = wanted_on(at, x, y)[axis] - cross_at(at)[axis]
        for _ in range(int(abs(far) // 12)):
            keys.press(f"Arrow{way if far > 0 else back}")
        rest = wanted_on(at, x, y)[axis] - cross_at(at)[axis]
        for _ in range(round(abs(rest))):
            keys.press(f"Shift+Arrow{way if rest > 0 else back}")
    where = cross_at(at)
    keys.press(" ")
    data: Any = at.page.evaluate("() => ({ ...document.querySelector('#window').dataset })")
    zoom, ratio = float(data["zoom"]), float(data["ratio"])
    made = (float(data["x"]) + where[0] / zoom, float(data["y"]) + where[1] / (zoom * ratio))
    assert abs(made[0] - x) <= 1.5 * 2 * at.half_pixel and abs(made[1] - y) <= 1.5 * 2 * at.half_pixel
    return made


def wanted_on(at: At, x: float, y: float) -> tuple[float, float]:
    """Where an image point is in the picture's window."""
    box = at.page.locator("#window").bounding_box()
    assert box
    left, top = at.screen(x, y)
    return left - box["x"], top - box["y"]


def cross_at(at: At) -> tuple[float, float]:
    """Where the cross is in the picture's window."""
    d = at.page.locator("#ink path.cross").get_attribute("d") or ""
    match = re.match(r"M(-?[\d.]+) (-?[\d.]+)h", d)
    assert match
    return float(match[1]) + 16, float(match[2])


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_has_the_focus_is_seen(chromium: Browser, tmp_path: Path, scheme: Any) -> None:
    """A ring round each thing that the Tab key reaches on the desk, and each is at least 44 px high or wide to hit."""
    at = opened(chromium, catalogue(tmp_path), viewport={"width": 1280, "height": 800}, color_scheme=scheme)
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.wait_for_selector("#classes button")
    seen: dict[str, str] = {}
    for _ in range(90):
        at.page.keyboard.press("Tab")
        told: Any = at.page.evaluate(
            """() => { const one = document.activeElement, own = getComputedStyle(one);
                 const style = own.outlineStyle === "none" ? getComputedStyle(one, "::after") : own;
                 const box = one.getBoundingClientRect();
                 return { name: one.id || one.textContent.trim().slice(0, 40), outline: style.outlineStyle,
                   wide: parseFloat(style.outlineWidth), height: box.height, width: box.width, tag: one.tagName }; }"""
        )
        if told["tag"] == "BODY" or told["name"] in seen:
            break
        seen[told["name"]] = told["tag"]
        assert told["outline"] == "solid" and told["wide"] >= 2, told
        if told["tag"] in {"BUTTON", "SELECT", "INPUT", "SUMMARY", "A"} and told["name"] != "Skip to the content":
            assert told["height"] >= 43.5, told
    assert len(seen) > 25
    at.page.context.close()
