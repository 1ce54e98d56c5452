"""A limit ruler on a printed page, as it stands on the site: the same places, the same words."""

from fpdf import FPDF

from portal.site.labels import Placed
from portal.site.pdfpicture import INK, PEN
from portal.site.ruler import WIDE_PX, Ruler

_SOFT, _PT = (84, 94, 100), 7.5
_ROW = 3.9
_BAND = 5.4


def height_of_ruler(ruler: Ruler) -> float:
    """How much room it takes, in mm."""
    return _axis(ruler) + 8 + (1.5 + _ROW * _rows(ruler.below) if ruler.below else 0)


def draw_ruler(pdf: FPDF, ruler: Ruler, *, x: float, y: float, width: float) -> float:
    """Draw it with its scale from `x` on; its height, in mm."""
    axis = y + _axis(ruler)
    pdf.set_draw_color(*INK)
    _bands(pdf, ruler, x, axis, width)
    pdf.set_line_width(0.15)
    pdf.set_dash_pattern(dash=0.8, gap=0.6)
    for each in ruler.below:
        at = x + each.at * width
        pdf.line(at, axis - _BAND, at, axis + 7.4 + _ROW * each.row)
    pdf.set_dash_pattern()
    _scale(pdf, ruler, x, axis, width)
    pdf.set_line_width(0.5)
    for share, top in zip(ruler.limits, ruler.tops, strict=True):
        pdf.line(x + share * width, y + 0.5 + _ROW * top, x + share * width, axis + 2.2)
    _value(pdf, ruler, x, axis, width)
    for each in ruler.above:
        _word(pdf, each, x, y + _ROW * each.row, width)
    for each in ruler.below:
        _word(pdf, each, x, axis + 7.2 + _ROW * each.row, width)
    return height_of_ruler(ruler)


def _rows(labels: tuple[Placed, ...]) -> int:
    return max((each.row + 1 for each in labels), default=0)


def _axis(ruler: Ruler) -> float:
    return _ROW * max(2, _rows(ruler.above)) + 6.2


def _bands(pdf: FPDF, ruler: Ruler, x: float, axis: float, width: float) -> None:
    """Where neither claim is made, hatched."""
    pdf.set_line_width(0.12)
    for band in ruler.bands:
        left, wide = x + band.at * width, band.width * width
        with pdf.rect_clip(x=left, y=axis - _BAND, w=wide, h=_BAND):
            at = left - _BAND
            while at < left + wide:
                pdf.line(at, axis, at + _BAND, axis - _BAND)
                at += 0.9


def _scale(pdf: FPDF, ruler: Ruler, x: float, axis: float, width: float) -> None:
    pdf.set_line_width(0.2)
    pdf.line(x - 2, axis, x + width, axis)
    pdf.set_font("sans", size=_PT)
    pdf.set_text_color(*_SOFT)
    for tick in ruler.ticks:
        at = x + tick.at * width
        pdf.line(at, axis, at, axis + (2.2 if tick.label is not None else 1.2))
        if tick.label is not None:
            pdf.set_xy(at - 10, axis + 2.4)
            pdf.cell(20, 3.4, tick.label, align="C")
    pdf.set_xy(x + width + 0.6, axis - 1.7)
    pdf.cell(8, 3.4, ruler.unit)


def _value(pdf: FPDF, ruler: Ruler, x: float, axis: float, width: float) -> None:
    """The dot with its whisker."""
    pdf.set_draw_color(*PEN)
    pdf.set_fill_color(*PEN)
    pdf.set_line_width(0.4)
    level = axis - 2.6
    first, last = (x + each * width for each in ruler.whisker)
    pdf.line(first, level, last, level)
    for end in (first, last):
        pdf.line(end, level - 1.2, end, level + 1.2)
    pdf.circle(x + ruler.dot * width, level, 1.0, style="F")
    pdf.set_draw_color(*INK)


def _word(pdf: FPDF, label: Placed, x: float, y: float, width: float) -> None:
    value = label.kind == "value"
    pdf.set_font("sans", "B" if value else "", _PT)
    pdf.set_text_color(*(PEN if value else _SOFT))
    room = pdf.get_string_width(label.text) + 2 * pdf.c_margin
    at = x + label.at * width + label.dx * width / WIDE_PX
    left = {"start": at - pdf.c_margin, "middle": at - room / 2, "end": at - room + pdf.c_margin}[label.anchor]
    pdf.set_xy(left, y)
    pdf.cell(room, 3.6, label.text)
