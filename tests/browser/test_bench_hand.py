"""A steady hand on the bench: the loupe, points moved by keys, points more, undo without end, zoom by every way."""

import re
import time
from typing import Any

from playwright.sync_api import expect

from portal.model.tag import LineShape, OutlineShape
from tests.browser.benched import At, count, near


def draw(at: At, name: str, shape: str, points: list[tuple[float, float]]) -> None:
    """A finding by clicks, done by Enter."""
    at.pick(name)
    at.page.locator("#shapes button").filter(has_text=re.compile(f"^{shape}")).click()
    for x, y in points:
        at.click(x, y)
    at.page.keyboard.press("Enter")


def test_the_ends_of_a_line_are_nudged_by_keys(at: At) -> None:
    """One pixel of the screen each, with Shift one of the picture; a row of steps is undone at once."""
    before = count(at)
    draw(at, "length", "line", [(60.0, 70.0), (100.0, 70.0)])
    drawn = at.saved(before + 1)[-1].shapes[0]
    assert isinstance(drawn, LineShape)
    (ax, ay), (bx, by) = drawn.points.xy
    at.page.keyboard.press("PageUp")
    for _ in range(3):
        at.page.keyboard.press("ArrowRight")
    at.page.keyboard.press("Shift+ArrowDown")
    for _ in range(100):
        last = at.saved(before + 1)[-1].shapes[0]
        assert isinstance(last, LineShape)
        moved = last
        if abs(moved.points.xy[1][1] - by - 1) < 0.02:
            break
        time.sleep(0.05)
    near(moved.points.xy, [(ax, ay), (bx + 6 * at.half_pixel, by + 1)], 0.01)
    at.page.keyboard.press("u")
    assert at.saved(before + 1, unlike=moved)[-1].shapes == (drawn,)


def test_a_point_more_and_one_less_by_keys(at: At) -> None:
    """Insert puts one halfway to the next, Delete takes the chosen one away."""
    before = count(at)
    draw(at, "area", "outline", [(60.0, 150.0), (100.0, 150.0), (100.0, 190.0)])
    drawn = at.saved(before + 1)[-1].shapes[0]
    at.page.keyboard.press("PageDown")
    at.page.keyboard.press("Insert")
    more = at.saved(before + 1, unlike=drawn)[-1].shapes[0]
    assert isinstance(more, OutlineShape)
    near(more.points.xy[1:2], [(80.0, 150.0)], 2 * at.half_pixel)
    at.page.keyboard.press("Delete")
    assert at.saved(before + 1, unlike=more)[-1].shapes == (drawn,)


def test_undo_has_no_end(at: At) -> None:
    """Thirty steps back to nothing, thirty forth again."""
    at.pick("area")
    at.page.locator("#shapes button").filter(has_text=re.compile("^outline")).click()
    points = [(40.0 + 4 * place, 40.0 + 5 * (place % 2)) for place in range(30)]
    for x, y in points:
        at.click(x, y)
    for _ in points:
        at.page.keyboard.press("u")
    assert at.page.locator("#ink .mine .line").count() == 0
    for _ in points:
        at.page.keyboard.press("Control+y")
    lines = at.page.locator("#ink .mine .line").evaluate_all("all => all.map(each => each.getAttribute('d')).join('')")
    assert lines.count("L") >= 29
    at.page.keyboard.press("Escape")


MOVED = """async () => { const { draftInk } = await import("/static/ink.js");
  const group = document.createElementNS("http://www.w3.org/2000/svg", "g"), view = { x: 0, y: 0, zoom: 0.2, ratio: 1 };
  const points = Array.from({ length: 300 }, (none, index) => ({ x: 3000 + 1500 * Math.cos(index / 300 * 2 * Math.PI),
    y: 2000 + 1200 * Math.sin(index / 300 * 2 * Math.PI) }));
  const kind = { characteristic: "area", shape: "outline", edge: "sharp" };
  const draft = PortalDraft.stroke(PortalDraft.start({}), points, kind), vertex = PortalDraft.vertices(draft)[150];
  document.querySelector("#ink").append(group);
  draftInk(group, draft, null, [], view);
  const seen = new MutationObserver(() => {}), all = group.childNodes.length, box = group.getBBox();
  seen.observe(group, { subtree: true, childList: true, attributes: true });
  draftInk(group, PortalDraft.move(draft, vertex, { x: vertex.at.x + 30, y: vertex.at.y + 20 }), null, [], view);
  const touched = seen.takeRecords().map(each => each.target.getBBox());
  group.remove();
  return { all, touched: touched.length, wide: Math.max(...touched.map(each => each.width)) / box.width,
    style: getComputedStyle(document.querySelector("#ink")).willChange }; }"""


def test_a_point_that_is_moved_leaves_the_others_as_they_are_drawn(at: At) -> None:
    """Of an outline of 300 points a small spot is painted anew, and no picture: ink has a layer of its own."""
    told: Any = at.page.evaluate(MOVED)
    assert told["all"] > 50 and 3 <= told["touched"] <= 6, told
    assert told["wide"] < 0.2 and told["style"] == "transform", told


def middle_of_loupe(at: At) -> Any:
    """The image point in the middle of the loupe, by where its picture stands."""
    return at.page.evaluate(
        """() => { const image = document.querySelector('#loupe .under'), box = document.querySelector('#loupe');
             const by = new DOMMatrix(getComputedStyle(image).transform);
             const zoom = image.getBoundingClientRect().width / 320;
             return { x: (box.clientWidth / 2 - by.e) / zoom, y: (box.clientHeight / 2 - by.f) / zoom, zoom }; }"""
    )


def test_the_loupe_shows_what_lies_under_the_pointer(at: At) -> None:
    """On and off by a key; at full resolution, closer than the picture, following pointer and cross alike."""
    at.page.mouse.move(*at.screen(100, 80))
    assert not at.page.is_visible("#loupe")
    at.page.keyboard.press(".")
    assert at.page.is_visible("#loupe")
    for x, y in ((100.0, 80.0), (310.0, 230.0), (20.0, 10.0)):
        at.page.mouse.move(*at.screen(x, y))
        seen = middle_of_loupe(at)
        near(((seen["x"], seen["y"]),), [(x, y)], at.half_pixel)
        assert seen["zoom"] > 2 * float(at.page.get_attribute("#window", "data-zoom") or "nan")
        box, pane = at.page.locator("#loupe").bounding_box(), at.page.locator("#window").bounding_box()
        assert box and pane and box["x"] >= pane["x"] - 1 and box["x"] + box["width"] <= pane["x"] + pane["width"] + 1
    source = at.page.get_attribute("#loupe img", "src") or ""
    assert "/1?" in source
    at.page.keyboard.press("ArrowRight")
    assert middle_of_loupe(at)["x"] > 150
    at.page.keyboard.press(".")
    assert not at.page.is_visible("#loupe")


def test_under_a_finger_the_loupe_shows_where_the_point_will_be(at: At) -> None:
    """It stands above the finger and follows it; the point is set where the finger is lifted; then it goes."""
    whole = zoom(at)
    at.pick("length")
    at.page.get_by_role("button", name="line", exact=False).first.click()
    at.page.keyboard.press(".")
    touch = at.page.context.new_cdp_session(at.page)

    def finger(kind: str, x: float, y: float) -> None:
        spot = dict(zip("xy", at.screen(x, y), strict=True)) | {"id": 1}
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [spot] if kind != "touchEnd" else []})

    before = count(at)
    for x, y in ((150.0, 190.0), (200.0, 200.0)):
        finger("touchStart", x - 20, y)
        expect(at.page.locator("#loupe")).to_be_visible()
        finger("touchMove", x - 8, y)
        finger("touchMove", x, y)
        seen = middle_of_loupe(at)
        for _ in range(100):  # the browser tells of a finger once for each frame that it paints
            if abs(seen["x"] - x) < 1:
                break
            time.sleep(0.05)
            seen = middle_of_loupe(at)
        near(((seen["x"], seen["y"]),), [(x, y)], at.half_pixel)
        box = at.page.locator("#loupe").bounding_box()
        assert box and box["y"] + box["height"] < at.screen(x, y)[1]
        finger("touchEnd", x, y)
        expect(at.page.locator("#loupe")).to_be_hidden()
    at.page.keyboard.press("Enter")
    drawn = at.saved(before + 1)[-1].shapes[0]
    assert isinstance(drawn, LineShape)
    near(drawn.points.xy, [(150.0, 190.0), (200.0, 200.0)], at.half_pixel)
    assert zoom(at) == whole
    spots = [dict(zip("xy", at.screen(x, 210.0), strict=True)) | {"id": id_} for id_, x in ((1, 100.0), (2, 140.0))]
    before_both = at.page.locator("#ink .mine").inner_html()
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": spots[:1]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": spots})
    expect(at.page.locator("#loupe")).to_be_hidden()
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert at.page.locator("#ink .mine").inner_html() == before_both
    at.page.keyboard.press(".")


def zoom(at: At) -> float:
    """Screen pixels per pixel of the picture."""
    return float(at.page.get_attribute("#window", "data-zoom") or "nan")


def test_zoom_and_pan_by_wheel_keys_and_two_fingers(at: At) -> None:
    """Each goes closer; 0 shows the whole picture; with Ctrl the arrows pan while drawing."""
    whole = zoom(at)
    at.page.mouse.move(*at.screen(160, 120))
    at.page.mouse.wheel(0, -400)
    assert zoom(at) > 1.5 * whole
    before = at.screen(160, 120)
    at.page.keyboard.press("Control+ArrowRight")
    assert at.screen(160, 120)[0] < before[0] - 30
    at.page.keyboard.press("0")
    assert abs(zoom(at) - whole) < 1e-6
    at.page.keyboard.press("+")
    assert abs(zoom(at) / whole - 1.5) < 1e-6
    at.page.keyboard.press("0")
    x, y = at.screen(160, 120)
    touch = at.page.context.new_cdp_session(at.page)

    def fingers(kind: str, apart: float) -> None:
        points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if kind != "touchEnd" else []})

    fingers("touchStart", 30)
    for apart in (40, 60, 90):
        fingers("touchMove", apart)
    fingers("touchEnd", 90)
    assert abs(zoom(at) / whole - 3) < 0.1
    after = at.screen(160, 120)
    assert abs(after[0] - x) < 3 and abs(after[1] - y) < 3


def test_what_lacks_points_waits_on_its_picture(at: At) -> None:
    """Two points of an outline are still there when the picture is opened again, and can be gone on with."""
    before = count(at)
    at.pick("area")
    at.page.locator("#shapes button").filter(has_text=re.compile("^outline")).click()
    for x, y in ((200.0, 60.0), (240.0, 60.0)):
        at.click(x, y)
    at.page.click("#strip button:has-text('c1_gate')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_gate')")
    assert at.page.locator("#ink .mine .line").count() == 0
    at.page.click("#strip button:has-text('c1_top')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_top')")
    at.page.locator("#state").filter(has_text="Not finished").wait_for()
    at.click(240, 100)
    at.page.keyboard.press("Enter")
    shape = at.saved(before + 1)[-1].shapes[0]
    assert isinstance(shape, OutlineShape)
    near(shape.points.xy, [(200.0, 60.0), (240.0, 60.0), (240.0, 100.0)], at.half_pixel)


LABELS = """() => [...document.querySelectorAll('#ink .other text')].map((each) => {
  const box = each.getBoundingClientRect(); return [each.textContent, box.left, box.right, box.top, box.bottom]; })"""


def test_labels_of_specks_that_lie_close_lie_over_no_other_label_and_no_speck(at: At) -> None:
    """Three, each up to the right of the one before: each label at a corner of its own speck."""
    before, there = at.page.evaluate(LABELS), count(at)
    at.pick("count")
    at.page.locator("#shapes button").filter(has_text=re.compile("^point")).click()
    specks = [(270, 120), (281, 116), (292, 112), (250, 200)]
    for turn, place in enumerate(specks):
        at.click(*place)
        at.saved(there + turn + 1)
    boxes = [each for each in at.page.evaluate(LABELS) if each[0] not in [one[0] for one in before]]
    assert len(boxes) == 3, "the last is in hand"
    for number, (_, left, right, top, bottom) in enumerate(boxes):
        x, y = at.screen(*specks[number])
        assert abs((left + right) / 2 - x) < 44 and abs((top + bottom) / 2 - y) < 24, "beside its own"
        for name, *other in boxes[number + 1 :]:
            apart = left >= other[1] - 1 or other[0] >= right - 1 or top >= other[3] - 4 or other[2] >= bottom - 4
            assert apart, (boxes[number], name, other)
        for speck in specks[:3]:
            x, y = at.screen(*speck)
            assert not (left < x < right and top + 3 < y < bottom - 3), (boxes[number], speck)
