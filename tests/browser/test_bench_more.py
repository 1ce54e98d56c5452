"""Masks, and more of a finding of another picture, drawn on the bench."""

import time
from typing import Any

from portal.catalog import read
from portal.model.tag import Tag
from tests.browser.benched import At, near


def tag_with(at: At, name: str, has: Any) -> Tag:
    """The tag of a picture once it has what is waited for."""
    for _ in range(200):
        reading = read(at.folder)
        pictures = (
            [each for _, trial in reading.catalogue.trials() for each in trial.pictures] if reading.catalogue else []
        )
        tags = [each.tag for each in pictures if each.name == name and each.tag]
        if tags and has(tags[0]):
            return tags[0]
        time.sleep(0.05)
    raise AssertionError((reading.problems, at.said))


def test_masks_are_drawn_one_after_the_other_and_a_corner_is_moved(at: At) -> None:
    """Each click after a finished one begins the next; Esc goes back to the findings."""
    at.page.get_by_role("button", name="Masks").click()
    for points in ([(40, 30), (70, 30), (70, 50)], [(200, 150), (250, 150), (250, 190), (200, 190)]):
        for x, y in points:
            at.click(x, y)
        at.page.keyboard.press("Enter")
    tag = tag_with(at, "c1_top.jpg", lambda tag: len(tag.masks) == 2)
    near(tag.masks[0].xy, [(40, 30), (70, 30), (70, 50)], at.half_pixel)
    at.page.mouse.move(*at.screen(70, 50))
    at.page.mouse.down()
    at.page.mouse.move(*at.screen(80, 60), steps=3)
    at.page.mouse.up()
    tag = tag_with(at, "c1_top.jpg", lambda tag: tag.masks[0].xy[2][1] > 55)
    near(tag.masks[0].xy, [(40, 30), (70, 30), (80, 60)], at.half_pixel)
    at.page.wait_for_selector("#state[data-kind=saved]")
    at.page.keyboard.press("Escape")
    at.page.get_by_role("heading", name="New finding").wait_for()
    assert at.page.locator("#ink .masks .line").count() == 2
    at.page.get_by_role("button", name="Masks").click()
    for _ in range(7):
        at.page.keyboard.press("Delete")
    tag_with(at, "c1_top.jpg", lambda tag: not tag.masks)


def test_more_of_a_finding_of_another_picture_of_the_piece(at: At) -> None:
    """Offered by its name; drawn, measured with what is drawn there, listed, and taken away again."""
    at.page.locator("#elsewhere button").filter(has_text="7K3G").click()
    at.page.get_by_role("heading", name="More of finding 7K3G").wait_for()
    at.pick("length")
    at.click(60, 60)
    at.click(100, 60)
    at.page.keyboard.press("Enter")
    tag = tag_with(at, "c1_top.jpg", lambda tag: tag.also)
    assert [(each.finding, each.by) for each in tag.also] == [("7K3G", "first-inspector")]
    at.page.locator("#findings li").filter(has_text="Written under c1_gate.jpg").wait_for()
    at.page.locator("#answer").filter(has_text="length").wait_for()
    at.page.get_by_role("button", name="Take this finding away 7K3G").click()
    tag_with(at, "c1_top.jpg", lambda tag: not tag.also)
