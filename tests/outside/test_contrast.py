"""Contrast of text and marks by the formula of WCAG 2.2 (W3C Recommendation, 5 October 2023: 1.4.3 and 1.4.11)."""

import re

import pytest

from portal import resources

CSS = (resources.templates() / "style.css").read_text(encoding="utf-8")


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb` (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def schemes() -> dict[str, dict[str, str]]:
    """The colours of each scheme, by their names in the style."""
    blocks = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    found = [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block)) for block in blocks]
    assert len(found) == 3
    light = found[0]
    return {"light": light, "dark": {**light, **found[1]}, "print": {**light, **found[2]}}


TEXT = [("ink", "paper"), ("ink", "sheet"), ("ink", "wash"), ("soft", "paper"), ("soft", "sheet"), ("soft", "wash"),
        ("pen", "paper"), ("pen", "sheet"), ("plate-ink", "plate"), ("drawn", "case")]  # fmt: skip
MARKS = [("ink", "paper"), ("ink", "sheet"), ("pen", "paper"), ("pen", "sheet"), ("soft", "sheet"), ("edge", "paper"),
         ("edge", "sheet"), ("hatch", "sheet"), ("drawn", "case")]  # fmt: skip


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.54),
        ("#949494", "#ffffff", 3.03),
        ("#ff3838", "#ffffff", 3.575),
        ("#ca0000", "#ffffff", 5.981),
        ("#e3660e", "#ffffff", 3.402),
        ("#e5e5e5", "#6221ea", 5.699),
        ("#dedede", "#000000", 15.609),
        ("#0d0f13", "#b1262b", 2.906),
    ],
)
def test_the_formula_gives_the_published_ratios(one: str, other: str, ratio: float) -> None:
    """Black on white 21:1, #767676 on white 4.54:1 (from memory); the others of W3C, which prints one digit:

    Understanding 1.4.11 (#949494, #e5e5e5, #dedede, #0d0f13), G195 (#ff3838), G223 (#ca0000), G207 (#e3660e).
    """
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
@pytest.mark.parametrize("pair", TEXT)
def test_text_stands_out_by_at_least_4_5_to_1(scheme: str, pair: tuple[str, str]) -> None:
    """1.4.3 Contrast (Minimum), level AA."""
    colours = schemes()[scheme]
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
@pytest.mark.parametrize("pair", MARKS)
def test_marks_stand_out_by_at_least_3_to_1(scheme: str, pair: tuple[str, str]) -> None:
    """1.4.11 Non-text Contrast, level AA."""
    colours = schemes()[scheme]
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 3.0


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_a_line_beside_the_picture_stands_out_by_its_case_or_by_itself(scheme: str) -> None:
    """1.4.11 too: the case is seen on the dark ground of a screen, the line itself on white paper."""
    colours = schemes()[scheme]
    assert max(contrast(colours[each], colours["ground"]) for each in ("case", "drawn")) >= 3.0
