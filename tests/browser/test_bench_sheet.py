"""The bench's sheet: an empty frame takes the next picture; what another cavity had is asked for by one key."""

import re
import time

from portal.catalog import read
from portal.model.tag import Tag
from tests.browser.benched import At

IMAGES = "moulds/M-001/trials/T1/images"


def put(at: At, name: str) -> None:
    """A picture comes, as another camera program would write it; both cavities run."""
    mould = at.folder / "moulds/M-001/mould.yaml"
    text = mould.read_text(encoding="utf-8")
    mould.write_text(
        text.replace("status: blocked, reason: example of a blocked cavity", "status: running"), encoding="utf-8"
    )
    (at.folder / IMAGES / name).write_bytes((at.folder / IMAGES / "c1_top.jpg").read_bytes())


def tagged(at: At, name: str) -> Tag:
    """Its tag, once it has one."""
    for _ in range(200):
        catalogue = read(at.folder).catalogue
        pictures = [each for _, trial in catalogue.trials() for each in trial.pictures] if catalogue else []
        found = [each.tag for each in pictures if each.name == name and each.tag]
        if found:
            return found[0]
        time.sleep(0.05)
    raise AssertionError(at.said)


def frame(at: At, view: str) -> str:
    """The empty frame of cavity 2 in that view."""
    return f"#sheet button.missing[aria-label^='Cavity 2, {view}']"


def test_an_empty_frame_takes_the_next_picture(at: At) -> None:
    """One that nobody tagged yet at once, else the first that comes; what it shows is written and it is open."""
    put(at, "next_1.jpg")
    at.page.wait_for_selector("#strip button:has-text('next_1')")
    at.page.keyboard.press("t")
    at.page.click(frame(at, "top"))
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('next_1')")
    tag = tagged(at, "next_1.jpg")
    assert (tag.cavity, tag.view) == ("2", "top")
    at.page.wait_for_selector("#state[data-kind=saved]")
    assert float(at.page.get_attribute("#window", "data-zoom") or "0") > 1
    at.page.keyboard.press("t")
    at.page.click(frame(at, "gate-profile"))
    at.page.wait_for_selector(frame(at, "gate-profile") + "[aria-pressed=true]")
    at.page.keyboard.press("t")
    assert "cavity 2, gate-profile" in at.page.inner_text("#awaited")
    put(at, "next_2.jpg")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('next_2')")
    tag = tagged(at, "next_2.jpg")
    assert (tag.cavity, tag.view) == ("2", "gate-profile")
    assert not at.page.is_visible("#awaited")
    at.page.wait_for_selector("#state[data-kind=saved]")


def test_the_same_as_in_another_cavity_by_one_key(at: At) -> None:
    """Class, zone, measure and shape of the other cavity's finding; only the drawing is asked for."""
    put(at, "next_3.jpg")
    at.page.click("#strip button:has-text('next_3')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('next_3')")
    at.page.get_by_role("button", name="black speck").first.click()
    if not at.page.is_visible("#place [name=cavity]"):
        at.page.locator("#place-open summary").click()
    at.page.select_option("#place [name=view]", "gate-profile")
    at.page.select_option("#place [name=cavity]", "2")
    at.page.locator("#same button").filter(has_text="1: gate vestige, B").click()
    at.page.locator("#state").filter(has_text="Same as cavity 1: gate vestige, zone B.").wait_for()
    pressed = at.page.locator(".panel [aria-pressed=true]").all_inner_texts()
    assert any(each.startswith("gate vestige") for each in pressed)
    assert any(each.startswith("height") for each in pressed)
    assert at.page.locator("#shapes [aria-pressed=true]").filter(has_text=re.compile("base and point")).count() == 1
    at.page.keyboard.press(",")
    at.page.locator("#state").filter(has_text="Draw it here.").wait_for()


def test_on_paper_the_sheet_is_without_what_is_pressed(at: At) -> None:
    """What was looked at and what is missing stay."""
    at.page.keyboard.press("t")
    at.page.wait_for_selector("#sheet table")
    at.page.emulate_media(media="print")
    for gone in (".benchnav", "#sheet > button", "#sheet > .row"):
        assert at.page.locator(gone).first.is_hidden(), gone
    assert at.page.is_visible("#sheet table") and at.page.is_visible("#where")
    at.page.emulate_media(media="screen")
    assert at.page.is_visible(".benchnav") and at.page.locator("#sheet > button").first.is_visible()
    at.page.keyboard.press("t")
