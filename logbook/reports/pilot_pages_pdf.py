"""The pilot's record as PDF, where the extra that writes PDF is installed; otherwise the HTML page prints as well.

A page of the record is one sheet: what is a little too tall is made smaller as a whole; what is far too tall goes on on
the next sheet, heads repeated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from itertools import groupby
from typing import IO, Any, Final

from logbook.reports.pdf_columns import shared_out, wanted
from logbook.reports.pdf_letters import BOLD, PLAIN, letters, lost, need_pdf
from logbook.reports.pilot_pages import TOTALS, Page, PageColumn, PilotPages, Sums
from logbook.reports.pilot_pages_text import columns_of, holder_lines, title_of

_MM: Final = 72 / 25.4
_SHEET: Final = (297 * _MM, 210 * _MM)
_MARGIN: Final = 9 * _MM
_FRAME: Final = 6
"""What the library leaves free inside the margins [pt]."""
_ROOM: Final = (_SHEET[0] - 2 * _MARGIN, _SHEET[1] - 2 * _MARGIN)
_SIZE: Final = 6.2
_SIDE: Final = 1.6
"""Space left and right in a box [pt]."""
_SMALLEST: Final = 0.7
"""A sheet is made smaller down to this share, and no further."""


def write_pages_pdf(stream: IO[bytes], pages: PilotPages) -> None:
    """Writes a pilot's record as PDF, A4 landscape; the same record gives the same bytes.

    Raises:
        UsageError: the extra that writes PDF is not installed.
    """
    need_pdf()
    from reportlab.platypus import SimpleDocTemplate  # type: ignore[import-untyped]

    document = SimpleDocTemplate(
        stream,
        pagesize=_SHEET,
        leftMargin=_MARGIN - _FRAME,
        rightMargin=_MARGIN - _FRAME,
        topMargin=_MARGIN - _FRAME,
        bottomMargin=_MARGIN - _FRAME,
        title=letters(f"{title_of(pages.form)}: {pages.person['person']}"),
        invariant=1,
    )
    widths = _widths(pages)
    document.build([part for page in pages.pages for part in _sheet(pages, page, widths)])


def _words(text: str, *, size: float = _SIZE, right: bool = False, bold: bool = False) -> Any:
    """A text that breaks at the end of its box; markup in it stays text."""
    from reportlab.lib.styles import ParagraphStyle  # type: ignore[import-untyped]
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "cell",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=size * 1.2,
        alignment=2 if right else 0,
        splitLongWords=1,
    )
    return Paragraph(escape(letters(text), quote=False), style)


def _sheet(pages: PilotPages, page: Page, widths: Sequence[float]) -> Iterator[Any]:
    from reportlab.platypus import KeepInFrame, PageBreak

    if page.number > 1:
        yield PageBreak()
    parts = list(_parts(pages, page, widths))
    height = sum(part.wrap(*_ROOM)[1] for part in parts)
    if height * _SMALLEST > _ROOM[1]:
        yield from parts
    else:
        yield KeepInFrame(_ROOM[0], _ROOM[1] - 1, parts, mode="shrink")


def _parts(pages: PilotPages, page: Page, widths: Sequence[float]) -> Iterator[Any]:
    from reportlab.platypus import Spacer

    yield _words(f"{title_of(pages.form)}, page {page.number} of {len(pages.pages)}", size=10, bold=True)
    yield Spacer(1, 2)
    for line in holder_lines(pages, str):
        yield _words(line, size=8)
    yield Spacer(1, 5)
    yield _table(columns_of(pages.form), page, widths)
    yield Spacer(1, 5)
    yield _words("I certify that the entries in this log are true.", size=7)
    yield Spacer(1, 20)
    yield _signature()
    yield Spacer(1, 4)
    states, head = pages.chain
    notes = list(pages.notes) if page.number == len(pages.pages) else []
    notes += [words for words in [lost(_texts(pages, page))] if words]
    for note in [*notes, f"Head of the chain of {states} earlier states (SHA-256): {head}"]:
        yield _words(note)


def _texts(pages: PilotPages, page: Page) -> Iterator[str]:
    """Everything on a sheet that people wrote."""
    yield from holder_lines(pages, str)
    for entry in page.entries:
        yield from (column.cell(entry) for column in columns_of(pages.form))


def _signature() -> Any:
    from reportlab.lib import colors  # type: ignore[import-untyped]
    from reportlab.platypus import Table

    style = [
        ("LINEABOVE", (0, 0), (0, 0), 0.5, colors.black),
        ("LINEABOVE", (2, 0), (2, 0), 0.5, colors.black),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
    ]
    cells = [[_words("Date", size=7), "", _words("Pilot's signature", size=7)]]
    return Table(cells, colWidths=[130, 24, 260], hAlign="LEFT", style=style)


def _table(columns: tuple[PageColumn, ...], page: Page, widths: Sequence[float]) -> Any:
    from reportlab.lib import colors
    from reportlab.platypus import Table

    groups, spans, at = [""] * len(columns), [], 0
    for group, members in groupby(columns, key=lambda column: column.group):
        wide = len(list(members))
        groups[at] = group
        spans.append(("SPAN", (at, 0), (at + wide - 1, 0)))
        at += wide
    first = next(place for place, column in enumerate(columns) if column.total is not None)
    rows = [[_words(group) for group in groups], [_words(c.title, right=c.right) for c in columns]]
    rows += [[_words(c.cell(entry), right=c.right) for c in columns] for entry in page.entries]
    if not page.entries:
        spans.append(("SPAN", (0, len(rows)), (-1, len(rows))))
        rows.append([_words("No entries."), *("" for _ in columns[1:])])
    for words, of in TOTALS:
        spans.append(("SPAN", (0, len(rows)), (first - 1, len(rows))))
        rows.append(_total_row(columns, words, of(page), first))
    style = [
        ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
        ("LINEBELOW", (0, 1), (-1, 1), 0.9, colors.black),
        ("LINEABOVE", (0, -len(TOTALS)), (-1, -len(TOTALS)), 0.9, colors.black),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTSIZE", (0, 0), (-1, -1), _SIZE),  # also of empty cells, which would make their row taller
        ("LEADING", (0, 0), (-1, -1), _SIZE * 1.2),
        ("LEFTPADDING", (0, 0), (-1, -1), _SIDE),
        ("RIGHTPADDING", (0, 0), (-1, -1), _SIDE),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        *spans,
    ]
    return Table(rows, colWidths=list(widths), repeatRows=2, splitInRow=1, hAlign="LEFT", style=style)


def _total_row(columns: tuple[PageColumn, ...], words: str, sums: Sums, first: int) -> list[Any]:
    cells = [_words(words, right=True, bold=True), *("" for _ in columns[1:first])]
    for column in columns[first:]:
        text = "" if column.total is None else column.total(sums)
        cells.append(_words(text, right=True, bold=True))
    return cells


def _widths(pages: PilotPages) -> list[float]:
    """Each column as wide as its longest word at least [pt]; what is left goes to those whose cells are longer."""
    columns = []
    for column in columns_of(pages.form):
        cells = [column.title, *(column.cell(entry) for page in pages.pages for entry in page.entries)]
        sums = [column.total(page.total) for page in pages.pages if column.total is not None]
        columns.append(wanted(cells, _SIZE, bold=sums, room=2 * _SIDE + 0.5))
    found = shared_out(columns, _ROOM[0])
    found[-1] += _ROOM[0] - sum(found)  # remarks: room for a pen
    return found
