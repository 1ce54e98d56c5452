"""Bag labels in Chromium: printed on A4, every label whole on its sheet; reached from the trial's sheet."""

from io import BytesIO
from pathlib import Path

from axe_core_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect
from pypdf import PdfReader

from tests.bench.test_labels import changed
from tests.browser.benched import serve

A4_MM = (210, 297)


def test_labels_print_on_a4_eight_below_each_other(tmp_path: Path, chromium: Browser) -> None:
    """Twenty-four on a sheet, and no sheet is empty; what stands in a label stands on one sheet."""
    shots = ", ".join(str(each) for each in range(1, 31))
    bench = changed(tmp_path, shots=f"{{kept: [{shots}]}}", pieces="[]")
    running = sum(each.status.value == "running" for each in bench.catalogue.moulds["M-001"].cavities.values())
    address = serve(bench.folder)
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(60_000)
    expect.set_options(timeout=60_000)
    page = context.new_page()
    page.goto(address)
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    expect(page.locator("#strip [aria-current=true]")).to_be_visible()
    page.click("#to-sheet")
    with context.expect_page() as opened:
        page.click("#sheet a[href^='/labels/']")
    sheet = opened.value
    sheet.wait_for_load_state()
    for width in (390, 1280):
        sheet.set_viewport_size({"width": width, "height": 800})
        found = Axe().run(sheet, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
        assert [each["id"] for each in found["violations"]] == [], width
    printed = PdfReader(BytesIO(sheet.pdf(prefer_css_page_size=True)))
    context.close()
    count = 30 * running
    assert len(printed.pages) == -(-count // 24)
    for each in printed.pages:
        size = (float(each.mediabox.width) / 72 * 25.4, float(each.mediabox.height) / 72 * 25.4)
        assert all(abs(one - other) < 1 for one, other in zip(size, A4_MM, strict=True))
    texts = [each.extract_text() for each in printed.pages]
    assert [each.count("M-001 T1") for each in texts] == [24] * (count // 24) + ([count % 24] if count % 24 else [])
    assert all("print at 100" not in each for each in texts)
