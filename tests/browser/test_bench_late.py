"""What the bench's page does where the server's answers come late and out of order."""

import time

from playwright.sync_api import Route

from tests.browser.benched import At, asked
from tests.browser.test_bench_sheet import frame, put, tagged
from tests.tasks.small import TRIAL


def known(at: At, name: str) -> None:
    """Once the server knows that the picture is tagged; the page isn't told."""
    key = asked(at.page.url, "api/trials")[0]["key"]
    for _ in range(400):
        if any(each["name"] == name and each["tagged"] for each in asked(at.page.url, f"api/trial/{key}")["pictures"]):
            return
        time.sleep(0.05)
    raise AssertionError(name)


def test_a_list_that_is_older_than_the_last_save_gives_no_picture_twice(at: At) -> None:
    """The list of the trial comes late; the picture that was just given to a frame is not given to the next one."""
    put(at, "late_1.jpg")
    at.page.wait_for_selector("#strip button:has-text('late_1')")
    held: list[Route] = []
    at.page.keyboard.press("t")
    at.page.wait_for_selector(frame(at, "top"))
    at.page.route("**/api/trial/**", lambda route: held.append(route))
    at.page.click(frame(at, "top"))
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('late_1')")
    assert tagged(at, "late_1.jpg").view == "top"
    at.page.wait_for_selector("#state[data-kind=saved]")
    at.page.keyboard.press("t")
    at.page.click(frame(at, "gate-profile"))
    at.page.wait_for_selector(frame(at, "gate-profile") + "[aria-pressed=true]")
    assert tagged(at, "late_1.jpg").view == "top"
    for each in held:
        each.continue_()
    at.page.unroute("**/api/trial/**")


def test_a_picture_that_another_bench_tagged_meanwhile_is_not_tagged_anew(at: At) -> None:
    """The list here is older; the frame waits for the next picture instead."""
    put(at, "late_2.jpg")
    at.page.wait_for_selector("#strip button:has-text('late_2')")
    held: list[Route] = []
    at.page.route("**/api/trial/**", lambda route: held.append(route))
    tag = at.folder / TRIAL / "tags/late_2.jpg.yaml"
    text = (at.folder / TRIAL / "tags/c1_top.jpg.yaml").read_text(encoding="utf-8")
    tag.write_text(text.split("findings:")[0], encoding="utf-8")
    before = tag.read_bytes()
    known(at, "late_2.jpg")
    at.page.keyboard.press("t")
    at.page.click(frame(at, "gate-profile"))
    at.page.wait_for_selector("#awaited:has-text('cavity 2, gate-profile')", state="attached")
    for each in held:
        each.continue_()
    at.page.unroute("**/api/trial/**")
    at.page.wait_for_timeout(500)
    assert tag.read_bytes() == before


def test_an_answer_to_what_is_no_longer_drawn_is_not_shown(at: At) -> None:
    """The line was dropped while it was measured: neither its value nor its verdict appears."""
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text="line").first.click()
    held: list[Route] = []
    at.page.route("**/api/measure**", lambda route: held.append(route))
    at.click(40.0, 40.0)
    at.page.mouse.move(*at.screen(140.0, 60.0))
    while not held:
        at.page.wait_for_timeout(20)
    at.page.keyboard.press("Escape")
    with at.page.expect_response("**/api/measure**"):
        held[0].continue_()
    at.page.wait_for_timeout(300)
    at.page.unroute("**/api/measure**")
    assert at.page.inner_text("#answer") == ""
    assert at.page.locator("#ink .trace").count() == 0


def test_a_picture_that_is_pressed_while_another_opens_is_opened(at: At) -> None:
    """The list is drawn anew between the press and letting go, and what was pressed still takes the click."""
    held: list[Route] = []
    gate, top = (at.page.locator(f"#strip button:has-text('c1_{name}')") for name in ("gate", "top"))
    at.page.route("**/api/picture/**", lambda route: held.append(route))
    gate.click()
    while not held:
        at.page.wait_for_timeout(20)
    top.hover()
    at.page.mouse.down()
    held[0].continue_()
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_gate')")
    at.page.unroute("**/api/picture/**")
    at.page.mouse.up()
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_top')", timeout=5000)
