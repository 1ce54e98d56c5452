"""A shown picture on a printed page: its pixels within the field, the lines over it, the scale bar."""

import re
from collections.abc import Iterator
from io import BytesIO

from fpdf import FPDF

from portal.model.shown import ShownPath, ShownView

_GROUND = (222, 219, 210)
PEN, INK, PLATE = (29, 79, 126), (28, 38, 44), (252, 250, 245)
_TOKEN = re.compile(r"([MLHVZ])|(-?\d+(?:\.\d+)?)")
Point = tuple[float, float]
Stroke = tuple[tuple[Point, ...], bool]
"""Points, and whether the last joins the first."""


def height_of(view: ShownView, width: float) -> float:
    """How high the picture is when it is so wide."""
    return width * view.field.height / view.field.width if view.field.width else width * 2 / 3


def draw(pdf: FPDF, view: ShownView, files: dict[str, bytes], *, x: float, y: float, width: float) -> float:
    """Draw a picture with its upper left corner there; its height, in the document's unit."""
    height = height_of(view, width)
    content = files.get(view.picture or "")
    if content is None:
        _missing(pdf, view, x, y, width, height)
        return height
    scale = width / view.field.width
    pdf.set_fill_color(*_GROUND)
    pdf.rect(x, y, width, height, style="F")
    with pdf.rect_clip(x=x, y=y, w=width, h=height):
        pdf.image(
            BytesIO(content),
            x=x + (view.placed.left - view.field.left) * scale,
            y=y + (view.placed.top - view.field.top) * scale,
            w=view.placed.width * scale,
            h=view.placed.height * scale,
            alt_text=view.alt,
        )
        for path in view.paths:
            _lines(pdf, path, view, x, y, scale)
    if view.bar:
        _bar(pdf, view, x, y, width, height)
    return height


def strokes(path: str) -> Iterator[Stroke]:
    """The strokes of a path of ours: moves, lines, closings; upright and level lines are told by one number."""
    points: list[Point] = []
    command = ""
    numbers: list[float] = []
    for match in _TOKEN.finditer(path):
        if match[1] == "Z":
            yield tuple(points), True
            points = []
        elif match[1]:
            if match[1] == "M" and points:
                yield tuple(points), False
                points = []
            command, numbers = match[1], []
        else:
            numbers.append(float(match[2]))
            if command == "H":
                points.append((numbers.pop(), points[-1][1]))
            elif command == "V":
                points.append((points[-1][0], numbers.pop()))
            elif len(numbers) == 2:
                points.append((numbers[0], numbers[1]))
                numbers = []
    if points:
        yield tuple(points), False


def _lines(pdf: FPDF, path: ShownPath, view: ShownView, x: float, y: float, scale: float) -> None:
    """A light line below and the pen above it, so that it is seen on every picture; the base is dashed."""
    for points, closed in strokes(path.d):
        placed = [(x + (px - view.field.left) * scale, y + (py - view.field.top) * scale) for px, py in points]
        if len(placed) < 2:
            continue
        for colour, wide in ((PLATE, 0.75), (PEN, 0.35)):
            pdf.set_draw_color(*colour)
            pdf.set_line_width(wide)
            if path.kind == "base" and colour == PEN:
                pdf.set_dash_pattern(dash=1.4, gap=0.9)
            pdf.polyline([*placed, placed[0]] if closed else placed)
            pdf.set_dash_pattern()


def _bar(pdf: FPDF, view: ShownView, x: float, y: float, width: float, height: float) -> None:
    if view.bar is None:
        return
    length = width * view.bar.percent / 100
    pdf.set_font("sans", size=6.5)
    room = max(length, pdf.get_string_width(view.bar.label)) + 4
    left, top = x + width - room - 1.2, y + height - 7
    pdf.set_fill_color(*PLATE)
    pdf.rect(left, top, room, 6, style="F")
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.45)
    start = left + (room - length) / 2
    pdf.line(start, top + 4.6, start + length, top + 4.6)
    for end in (start, start + length):
        pdf.line(end, top + 3.7, end, top + 5.5)
    pdf.set_text_color(*INK)
    pdf.set_xy(left, top + 0.3)
    pdf.cell(room, 3.2, view.bar.label, align="C")


def _missing(pdf: FPDF, view: ShownView, x: float, y: float, width: float, height: float) -> None:
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.2)
    pdf.rect(x, y, width, height)
    pdf.set_font("sans", size=7.5)
    pdf.set_text_color(*INK)
    pdf.set_xy(x + 2, y + 2)
    pdf.multi_cell(width - 4, 3.6, view.missing or "")
