"""The one file by thumb, at twice the size, and as a checker of accessibility sees it."""

import pytest
from axe_core_python.sync_playwright import Axe

from tests.browser.reviewer import OpenFile, fill_all
from tests.site.sentreview import Store


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_checker_of_accessibility_finds_nothing(opened: OpenFile, store: Store, scheme: str) -> None:
    """WCAG 2.2 A and AA as axe-core checks them, untouched and with every field open."""
    reviewer = opened(store, width=390, scheme=scheme)
    for is_filled in (False, True):
        if is_filled:
            fill_all(reviewer)
            reviewer.page.click("#f-7K3F [data-do='ask']")
            reviewer.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        options = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
        found = Axe().run(reviewer.page, options=options)
        assert [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found["violations"]] == []


def test_by_thumb_nothing_sticks_out_and_targets_are_large(opened: OpenFile, store: Store) -> None:
    """At 360 pixels, with every field open; 44 pixels for whatever is tapped to answer."""
    reviewer = opened(store, width=360)
    fill_all(reviewer)
    reviewer.page.click("#f-7K3F [data-do='ask']")
    reviewer.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert reviewer.page.evaluate("document.documentElement.scrollWidth") == 360
    heights: list[tuple[str, float]] = reviewer.page.eval_on_selector_all(
        "button, .button, .choice, .tick, input[type=text], input[type=date], select, textarea, summary, .to-ask",
        """all => all.filter(one => one.getClientRects().length)
             .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])""",
    )
    assert len(heights) > 40
    assert [each for each in heights if each[1] < 43.9] == []
    widths: list[float] = reviewer.page.eval_on_selector_all(
        ".looks .strip .this", "all => all.map(one => one.getBoundingClientRect().width)"
    )
    assert widths and min(widths) >= 0.75 * 360  # what is asked about is seen, not hinted at


@pytest.mark.parametrize("width", [1280, 780])
def test_at_twice_the_size_nothing_is_cut_off_and_every_control_is_reached(
    opened: OpenFile, store: Store, width: int
) -> None:
    """As a browser zooms to 200 %: half as many pixels of a page, each twice as large; by keys alone."""
    reviewer = opened(store, width=width // 2, scale=2)
    page = reviewer.page
    fill_all(reviewer)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") == width // 2
    cut_off: list[str] = page.eval_on_selector_all(
        "main *",
        """all => all.filter(one => one.getClientRects().length && !one.matches("svg *, textarea, input, select"))
             .filter(one => ["hidden", "clip"].includes(getComputedStyle(one).overflowX))
             .filter(one => !one.closest(".visually-hidden, .field"))
             .filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.outerHTML.slice(0, 120))""",
    )
    assert cut_off == []
    outside: list[str] = page.eval_on_selector_all(
        "main :is(button, .button, .choice, .tick, input, select, textarea, summary, a[href])",
        """all => all.filter(one => one.getClientRects().length && !one.closest(".strip, .scroll, .visually-hidden"))
             .filter(one => { const box = one.getBoundingClientRect(); return box.left < 0 || box.right > innerWidth; })
             .map(one => one.outerHTML.slice(0, 120))""",
    )
    assert outside == []
    wanted = set(page.eval_on_selector_all(
        "#answers :is(input:not([type=radio]), select, textarea, button)",
        """all => all.filter(one => one.getClientRects().length && !one.disabled)
             .map((one, at) => one.name || one.dataset.do || one.id)""",
    ))  # fmt: skip
    reached = set()
    page.emulate_media(reduced_motion="reduce")  # so that what has the keys is where it will be
    page.locator(".skip").focus()
    for _ in range(400):
        page.keyboard.press("Tab")
        now = page.evaluate(
            """() => { const one = document.activeElement, box = one.getBoundingClientRect();
                 const name = one.name || one.dataset.do || one.id || one.outerHTML.slice(0, 120);
                 return [name, box.bottom > 0 && box.top < innerHeight]; }"""
        )
        if not now[1]:
            raise AssertionError(f"{now[0]} has the keys and isn't seen")
        reached.add(now[0])
        if wanted <= reached:
            break
    assert wanted - reached == set() and len(wanted) > 20
