"""The bench in Chromium, as a person uses it: drawn by mouse and by keyboard, the tag file says what was drawn."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_core_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, expect

from portal.catalog import read
from portal.model.tag import BaseAndPoint, EllipseShape, LineShape, OutlineShape
from tests.browser.benched import PATIENCE, At, count, near


def test_a_finding_drawn_by_mouse_is_in_the_file_and_measured(at: At) -> None:
    """An ellipse by three clicks, zoomed in; value, ± and verdict stand beside it before it is saved."""
    before = count(at)
    at.page.mouse.move(*at.screen(160, 120))
    at.page.mouse.wheel(0, -500)
    at.pick("width")
    at.page.get_by_role("button", name="ellipse").click()
    points = [(120.0, 90.0), (180.0, 95.0), (150.0, 120.0)]
    for x, y in points:
        at.click(x, y)
    at.page.wait_for_selector("#state[data-kind=saved]")
    finding = at.saved(before + 1)[-1]
    shape = finding.shapes[0]
    assert isinstance(shape, EllipseShape)
    near(shape.points.xy, points, at.half_pixel)
    assert finding.by == "first-inspector" and finding.seen == "yes"
    assert "±" in at.page.inner_text("#answer")
    assert f"Finding {finding.id}" in at.page.inner_text("#finding-name")


def test_a_finding_drawn_by_keyboard_alone(at: At) -> None:
    """Class, zone and shape by one key each, the cross by arrows, points by the space bar, done by Enter."""
    before = count(at)
    at.pick("length")
    shapes = at.page.locator("#shapes button").all_inner_texts()
    for _ in range([each.split()[0] for each in shapes].index("line")):
        at.page.keyboard.press("x")
    at.page.keyboard.press("Shift+B")
    at.page.keyboard.press("ArrowRight")
    at.page.keyboard.press(" ")
    for _ in range(8):
        at.page.keyboard.press("ArrowRight")
    for _ in range(5):
        at.page.keyboard.press("Shift+ArrowDown")
    at.page.keyboard.press(" ")
    at.page.keyboard.press("Enter")
    finding = at.saved(before + 1)[-1]
    shape = finding.shapes[0]
    assert isinstance(shape, LineShape) and finding.zone == "B"
    zoom = float(at.page.get_attribute("#window", "data-zoom") or "nan")
    (ax, ay), (bx, by) = shape.points.xy
    near(((bx - ax, by - ay),), [(8 * 12 / zoom, 5 / zoom)], at.half_pixel)


def test_undo_takes_back_and_redo_brings_again(at: At) -> None:
    """What is in the file follows."""
    before = count(at)
    at.pick("area")
    at.page.get_by_role("button", name="outline").click()
    for x, y in ((60.0, 60.0), (90.0, 60.0), (90.0, 80.0)):
        at.click(x, y)
    at.page.keyboard.press("Enter")
    drawn = at.saved(before + 1)[-1].shapes[0]
    assert isinstance(drawn, OutlineShape) and len(drawn.points.xy) == 3
    at.page.mouse.move(*at.screen(90, 80))
    at.page.mouse.down()
    at.page.mouse.move(*at.screen(100, 95), steps=4)
    at.page.mouse.up()
    moved = at.saved(before + 1, unlike=drawn)[-1].shapes[0]
    assert isinstance(moved, OutlineShape)
    near(moved.points.xy[-1:], [(100.0, 95.0)], at.half_pixel)
    at.page.keyboard.press("Control+z")
    assert at.saved(before + 1, unlike=moved)[-1].shapes == (drawn,)
    at.page.keyboard.press("Control+y")
    assert at.saved(before + 1, unlike=drawn)[-1].shapes == (moved,)


def test_a_base_and_its_point_are_drawn_one_after_the_other(at: At) -> None:
    """Enter goes from the sound edge to the farthest point, whose click ends it."""
    before = count(at)
    at.page.click("#strip button:has-text('c1_gate')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_gate')")
    at.page.get_by_role("button", name="gate vestige").first.click()
    at.page.keyboard.press("Shift+B")
    at.pick("height")
    base = [(40.0, 200.0), (90.0, 200.0), (230.0, 201.0)]
    for x, y in base:
        at.click(x, y)
    at.page.keyboard.press("Enter")
    at.click(160, 120)
    shape = at.saved(before + 1)[-1].shapes[0]
    assert isinstance(shape, BaseAndPoint)
    near(shape.base.xy, base, at.half_pixel)
    near(shape.point.xy, [(160.0, 120.0)], at.half_pixel)
    at.page.wait_for_function("() => document.querySelector('#answer').textContent.includes('±')")


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_axe_finds_nothing(served: tuple[Path, str], chromium: Browser, width: int, scheme: Any) -> None:
    """On each of the bench's screens; nothing sticks out sideways."""
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto(served[1])
    steps = ("[data-by=first-inspector]", "#trial-list button", "#strip li:first-child button", "#to-sheet")
    for wait, step in (("[data-by]", None), *(("body", each) for each in steps)):
        page.wait_for_selector(wait)
        if step:
            page.click(step)
            page.wait_for_timeout(300)
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
        told = [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found["violations"]]
        assert told == [], (step, told)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


def test_a_new_picture_appears_and_a_server_that_is_gone_loses_nothing(at: At) -> None:
    """The page waits for the folder; what can't be written is kept, and sent once the bench answers."""
    before = count(at)
    content = (at.folder / "moulds/M-001/trials/T1/images/c1_top.jpg").read_bytes()
    (at.folder / "moulds/M-001/trials/T1/images/c1_top_2.jpg").write_bytes(content)
    at.page.wait_for_selector("#strip button:has-text('c1_top_2')")
    at.pick("length")
    at.page.get_by_role("button", name="line", exact=False).first.click()
    at.page.route("**/api/save*", lambda route: route.abort())
    at.click(50, 50)
    at.click(80, 50)
    at.page.keyboard.press("Enter")
    at.page.wait_for_selector("#state[data-kind=waiting]")
    at.page.keyboard.press("n")
    assert "c1_top" in at.page.inner_text("#strip [aria-current=true]")
    assert count(at) == before
    at.page.unroute("**/api/save*")
    assert len(at.saved(before + 1)) == before + 1
    at.said[:] = [each for each in at.said if "ERR_FAILED" not in each]


def test_what_somebody_else_changed_is_shown_beside_mine(at: At) -> None:
    """The page says which file mine was kept in, shows both, and writes mine only where it is told to."""
    before = count(at)
    at.pick("area")
    at.page.get_by_role("button", name="outline").first.click()
    for x, y in ((200.0, 60.0), (230.0, 60.0), (230.0, 80.0)):
        at.click(x, y)
    at.page.keyboard.press("Enter")
    drawn = at.saved(before + 1)[-1]
    at.page.wait_for_selector("#state[data-kind=saved]")
    path = at.folder / "moulds/M-001/trials/T1/tags/c1_top.jpg.yaml"
    theirs = path.read_text(encoding="utf-8").replace(f"id: {drawn.id}", f"id: {drawn.id}\n    note: theirs")
    path.write_text(theirs, encoding="utf-8")
    at.page.keyboard.press("q")
    at.page.wait_for_selector("#conflict:not([hidden])")
    assert ".conflict-" in at.page.inner_text("#conflict") and "theirs" in at.page.inner_text("#conflict")
    assert path.read_text(encoding="utf-8") == theirs
    at.page.click("#conflict button:first-of-type")
    at.page.wait_for_selector("#state[data-kind=saved]")
    for beside in path.parent.glob("*.conflict-*"):
        beside.unlink()
    assert [each.seen for each in at.saved(before + 1) if each.id == drawn.id] == ["no"]


def test_a_found_edge_is_shown_and_taken_only_by_a_key(at: At) -> None:
    """Esc leaves what was drawn, and so does taking back; Enter writes it as found by the program."""
    before = count(at)
    grey = np.full((240, 320), 40, dtype=np.uint8)
    grey[80:160, 100:200] = 210
    Image.fromarray(grey).save(at.folder / "moulds/M-001/trials/T1/images/c1_top_3.png")
    at.page.click("#strip button:has-text('c1_top_3')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_top_3')")
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text=re.compile("^line")).click()
    at.click(103, 120)
    at.click(197, 120)
    at.page.keyboard.press("Enter")
    drawn = at.saved(before + 1)[-1].shapes[0]
    for key in ("Escape", "u"):
        at.page.keyboard.press("f")
        at.page.wait_for_function("() => document.querySelector('#state').textContent.includes('2 of 2')")
        at.page.keyboard.press(key)
        at.page.wait_for_function("() => !document.querySelector('#state').textContent.includes('2 of 2')")
        assert at.saved(before + 1)[-1].shapes == (drawn,)
    at.page.keyboard.press("f")
    at.page.wait_for_function("() => document.querySelector('#state').textContent.includes('2 of 2')")
    at.page.keyboard.press("Enter")
    taken = at.saved(before + 1, unlike=drawn)[-1].shapes[0]
    assert isinstance(taken, LineShape) and taken.drawn == "edge found"
    near(taken.points.xy, [(100.0, 120.0), (200.0, 120.0)], 0.5)


def test_a_gauge_reading_is_a_finding_without_a_drawing(at: At) -> None:
    """What the view can't give, with instrument and uncertainty."""
    before = count(at)
    at.page.click("#gauges summary")
    at.page.fill("#gauge [name=readings]", "12 um, 14 um")
    at.page.fill("#gauge [name=instrument]", "indicator 3")
    at.page.fill("#gauge [name=u]", "2 um")
    at.page.select_option("#gauge [name=characteristic]", "depth")
    at.page.click("#gauge button")
    gauge = at.saved(before + 1)[-1].gauge[0]
    assert ([each.um for each in gauge.readings], gauge.u.um, gauge.instrument) == ([12, 14], 2, "indicator 3")
    at.page.wait_for_function("() => document.querySelector('#answer').textContent.includes('±')")


def test_a_wrong_reading_is_told_where_it_was_typed(at: At) -> None:
    """Nothing of it is taken or lost; once it is right it is written, and can't be added twice by a second Enter."""
    before = count(at)
    at.page.click("#gauges summary")
    at.page.select_option("#gauge [name=characteristic]", "depth")
    at.page.fill("#gauge [name=readings]", "0.016, 18 um")
    at.page.fill("#gauge [name=instrument]", "<script>alert(1)</script>")
    at.page.fill("#gauge [name=u]", "2 um")
    at.page.press("#gauge [name=u]", "Enter")
    readings, u = (at.page.locator(f"#gauge [name={name}]") for name in ("readings", "u"))
    expect(readings).to_have_attribute("aria-invalid", "true")
    expect(readings).to_be_focused()
    expect(readings).to_have_accessible_description(re.compile("0.016.*has no unit"))
    expect(u).not_to_have_attribute("aria-invalid", "true")
    expect(at.page.locator("#gauge-list li")).to_have_count(0)
    assert (readings.input_value(), u.input_value()) == ("0.016, 18 um", "2 um")
    readings.fill("0.016 mm, 18 um")
    readings.press("Enter")
    expect(readings).not_to_have_attribute("aria-invalid", "true")
    expect(at.page.locator("#gauge-list li")).to_contain_text("<script>alert(1)</script>")
    gauge = at.saved(before + 1)[-1].gauge[0]
    assert ([each.um for each in gauge.readings], gauge.instrument) == ([16, 18], "<script>alert(1)</script>")
    expect(readings).to_have_value("")
    readings.press("Enter")
    expect(at.page.locator("#gauge-list li")).to_have_count(1)
    at.said[:] = [each for each in at.said if "422" not in each]


def test_the_sheet_is_one_key_away_and_the_trial_is_marked_checked_there(at: At) -> None:
    """`t` goes there and back; each picture stands in its frame."""
    at.page.keyboard.press("t")
    at.page.wait_for_selector("#sheet table button[aria-label^='c1_top.jpg']")
    at.page.get_by_role("button", name="I checked this trial").click()
    at.page.wait_for_selector("#sheet p:has-text('Checked by')")
    catalogue = read(at.folder).catalogue
    assert catalogue and next(catalogue.trials())[1].checked is not None
    assert not at.page.locator("#sheet td .head").first.is_visible()
    at.page.set_viewport_size({"width": 390, "height": 844})
    assert at.page.locator("#sheet td .head").first.is_visible()
    at.page.keyboard.press("t")
    assert at.page.is_visible("#window")
