"""Tables for spreadsheets: CSV that runs no formula, XLSX in which every cell is text."""

import csv
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO, StringIO

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_LONGEST = 32_767
"""Characters that a cell of an XLSX file holds; from the file format's published limits, from memory."""
_CUT = " … (cut here: longer than a cell may be)"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of texts under the names of their columns."""

    columns: tuple[str, ...]
    rows: tuple[Sequence[str], ...]


def to_csv(table: Table, *, numbers: Collection[str] = ()) -> bytes:
    """UTF-8 with a byte order mark; a text that a spreadsheet would run as a formula gets an apostrophe before it.

    `numbers` are columns that hold nothing but the program's own numbers, which stay as they are.
    """
    buffer = StringIO(newline="")
    writer = csv.writer(buffer)
    writer.writerow(table.columns)
    for row in table.rows:
        cells = zip(table.columns, row, strict=True)
        writer.writerow(value if name in numbers else harmless(value) for name, value in cells)
    return buffer.getvalue().encode("utf-8-sig")


def harmless(value: str) -> str:
    """A cell's text that no spreadsheet takes for a formula."""
    return f"'{value}" if value.startswith(_FORMULA) else value


def to_xlsx(sheets: Mapping[str, Table]) -> bytes:
    """A workbook with a sheet for each table; cells are text, so that leading zeros stay and nothing is run."""
    from xlsxwriter import Workbook

    buffer = BytesIO()
    book = Workbook(buffer, {"in_memory": True})
    bold = book.add_format({"bold": True})
    for name, table in sheets.items():
        sheet = book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
        for column, title in enumerate(table.columns):
            sheet.set_column(column, column, _width(title, (row[column] for row in table.rows)))
            sheet.write_string(0, column, title, bold)
        for line, row in enumerate(table.rows, start=1):
            for column, value in enumerate(row):
                sheet.write_string(line, column, _fitting(value))
    book.close()
    return buffer.getvalue()


def _fitting(value: str) -> str:
    return value if len(value) <= _LONGEST else value[: _LONGEST - len(_CUT)] + _CUT


def _width(title: str, values: Iterable[str]) -> int:
    return min(60, max(len(title), *map(len, values), 6) + 2)
