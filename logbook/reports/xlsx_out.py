"""Rows as a spreadsheet, with the optional `xlsxwriter`. Text is written as text, so that no cell is ever a formula."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import IO, Any, Final

from logbook.errors import UsageError
from logbook.reports.table_out import csv_cell
from logbook.reports.visible import visible

_MOST_CELL: Final = 32_767
_MOST_ROWS: Final = 1_048_575
_MADE: Final = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""A file holds when it was made; the same rows shall give the same bytes."""


def write_xlsx(stream: IO[bytes], title: str, columns: Sequence[str], rows: Iterable[dict[str, Any]]) -> None:
    """One sheet: the first line stays in sight and is repeated on every printed page.

    Args:
        stream: where to.
        title: the name of the sheet.
        columns: the columns, in order.
        rows: by column name.

    Raises:
        UsageError: `xlsxwriter` is not installed, or there are more rows than a sheet holds.
    """
    try:
        import xlsxwriter  # type: ignore[import-untyped]
    except ImportError:
        raise UsageError(
            "Spreadsheets need the package xlsxwriter, which is not installed.",
            next_step="Install it with the extra 'xlsx', or choose --format csv.",
        ) from None
    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(stream, options) as book:
        book.set_properties({"title": title, "created": _MADE})
        sheet = book.add_worksheet(title[:31])
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        bold = book.add_format({"bold": True})
        for place, name in enumerate(columns):
            sheet.write_string(0, place, name, bold)
            sheet.set_column(place, place, max(8, min(len(name), 24)))
        for line, row in enumerate(rows, start=1):
            if line > _MOST_ROWS:
                raise UsageError(
                    "There are more rows than a spreadsheet holds.", next_step="Choose --format csv."
                )
            for place, name in enumerate(columns):
                _write(sheet, line, place, row.get(name))


def _write(sheet: Any, line: int, place: int, value: Any) -> None:
    if value is None or value == "":
        return
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        sheet.write_number(line, place, value)
        return
    text = value if isinstance(value, str) else csv_cell(value)
    sheet.write_string(line, place, visible(text, keep_newlines=True)[:_MOST_CELL])
