"""A value and its unit stay on one line."""

import pytest

from portal.site.inputs import Page
from portal.site.paper import Paper
from portal.site.said import texts_of
from portal.site.unbroken import spaced, unbroken


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("0.148 mm ± 0.006 mm, against at most 0.150 mm.", "0.148_mm ±_0.006_mm, against at most 0.150_mm."),
        ("0,02 mm² in jedem Kreis von 5 mm", "0,02_mm² in jedem Kreis von 5_mm"),
        ("with a probability of > 99 %; k = 2.00 for 95 %", "with a probability of >_99_%; k =_2.00 for 95_%"),
        ("zwischen −0,020 mm und 0,010 mm", "zwischen −0,020_mm und 0,010_mm"),
        ("2.203 µm by 2.201 µm per pixel at 1000 lx, 15 deg", "2.203_µm by 2.201_µm per pixel at 1000_lx, 15_deg"),
        ("3 minutes, 2 mmol, cavity 1 and 2", "3 minutes, 2 mmol, cavity 1 and 2"),
    ],
)
def test_only_the_space_before_a_unit_and_after_a_sign_holds(written: str, shown: str) -> None:
    """What isn't a unit, or goes on as a word, is left as it is; it can be undone."""
    assert unbroken(written).replace("\u00a0", "_") == shown
    assert spaced(unbroken(written)) == written


def test_what_a_page_says_is_read_with_plain_spaces() -> None:
    """So that a sentence is found on it as somebody wrote it, in text, attributes and data."""
    body = """<p title="5\u00a0mm">Only 0.15&nbsp;mm here</p><script type="application/json">["7\u00a0mm"]</script>"""
    for text in texts_of(Page("a.html", Paper(body.encode()))):
        assert "Only 0.15 mm here" in text and "\u00a0" not in text
