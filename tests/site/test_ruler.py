"""The limit ruler shows every mark that decides, for one limit and two, near and far, proud and below."""

import pytest

from portal.model.say import Quantity, Say
from portal.model.scalars import read_length
from portal.site.ruler import NARROW_PX, WIDE_PX, Reading, Ruler, rulers
from portal.site.words import Speaker

SPEAKER = Speaker("en", "mm", lambda name: name)


def reading(
    value: float, *, lower: str | None = None, upper: str | None = "0.150 mm", expanded: float = 6.0
) -> Reading:
    """A value in µm against limits, guarded by 1.65 u."""
    guard = 1.65 * expanded / 2
    low, high = (read_length(text) if text else None for text in (lower, upper))
    return Reading(
        value=value,
        expanded=expanded,
        lower=low,
        upper=high,
        accept=(low.um + guard if low else None, high.um - guard if high else None),
        reject=(low.um - guard if low else None, high.um + guard if high else None),
        shown=Quantity(value, expanded, like=high or low),
        sentence=Say.of("ruler.no_limit_sentence", characteristic="height", value=Quantity(value, expanded)),
    )


CASES = [
    reading(148.0),
    reading(1480.0),
    reading(-30.0, lower="-0.050 mm"),
    reading(-80.0, lower="-0.050 mm"),
    reading(0.0, upper="0.000 mm"),
    reading(152.0, upper=None),
    reading(120.0, lower="0.100 mm", upper=None),
    reading(148.0, upper="0.006 in"),
    reading(3.0, upper="4 um", expanded=0.4),
]


def edges(ruler: Ruler) -> list[float]:
    """Everything that has a place on a ruler."""
    bands = [edge for band in ruler.bands for edge in (band.at, band.at + band.width)]
    return [*ruler.limits, *bands, ruler.dot, *ruler.whisker, *(tick.at for tick in ruler.ticks)]


@pytest.mark.parametrize("case", CASES)
def test_the_wide_ruler_holds_all_limits_the_value_and_the_band(case: Reading) -> None:
    """Every mark stands on the ruler, and there are at least two labelled ticks."""
    wide = rulers(case, SPEAKER).wide
    assert len(wide.limits) == len(case.limits)
    assert all(-1e-9 <= at <= 1 + 1e-9 for at in edges(wide))
    assert sum(1 for tick in wide.ticks if tick.label) >= 2
    assert not wide.part_only


@pytest.mark.parametrize("case", CASES)
def test_the_narrow_ruler_holds_the_value_and_the_nearest_limit(case: Reading) -> None:
    """The dot, its whisker and a limit are in sight."""
    narrow = rulers(case, SPEAKER).narrow
    assert all(0 <= at <= 1 for at in (narrow.dot, *narrow.whisker))
    assert not case.limits or narrow.limits


@pytest.mark.parametrize("case", CASES)
def test_no_label_meets_another_or_leaves_the_paper(case: Reading) -> None:
    """Checked at the least width of either drawing and at twice of it."""
    both = rulers(case, SPEAKER)
    for drawing, least in ((both.wide, WIDE_PX), (both.narrow, NARROW_PX)):
        for width in (least, 2 * least):
            for labels in (drawing.above, drawing.below):
                spans = sorted((each.row, *each.span(width)) for each in labels)
                assert all(span[1] >= -28.01 and span[2] <= width + 28.01 for span in spans)
                assert all(a[0] != b[0] or a[2] < b[1] for a, b in zip(spans, spans[1:], strict=False))


def test_the_acceptance_limit_is_printed() -> None:
    """0.150 mm less 1.65 times u = 3 µm."""
    assert [label.text for label in rulers(reading(148.0), SPEAKER).wide.below] == ["calls conforming up to 0.145 mm"]


def test_a_value_on_the_limit_stands_on_its_line() -> None:
    """The dot's place is the value's, unrounded."""
    wide = rulers(reading(150.0), SPEAKER).wide
    assert wide.dot == pytest.approx(wide.limits[0])


def test_a_limit_in_inches_gives_a_ruler_in_inches() -> None:
    """The ruler follows the unit in which the limit was agreed."""
    assert rulers(reading(148.0, upper="0.006 in"), SPEAKER).wide.unit == "in"


def test_without_a_limit_there_is_a_value_and_no_band() -> None:
    """Nobody agreed: no line is drawn that nobody agreed."""
    wide = rulers(reading(63.0, upper=None), SPEAKER).wide
    assert (wide.limits, wide.bands, wide.below) == ((), (), ())


@pytest.mark.parametrize("case", CASES)
def test_no_limits_line_strikes_a_word_through(case: Reading) -> None:
    """Where a text must stand across a limit's line, the line begins below the text."""
    both = rulers(case, SPEAKER)
    for drawing, least in ((both.wide, WIDE_PX), (both.narrow, NARROW_PX)):
        for width in (least, 1.5 * least, 3 * least):
            for at, top in zip(drawing.limits, drawing.tops, strict=True):
                crossed = [each for each in drawing.above if each.span(width)[0] < at * width < each.span(width)[1]]
                assert all(each.row < top for each in crossed)
