"""The pilot's record as PDF, where the extra that writes PDF is installed; otherwise the HTML page prints as well.

The standard fonts of PDF know the letters of Western Europe only. Others are shown as a question mark, and a note says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from itertools import groupby
from typing import IO, Any, Final

from logbook.errors import UsageError
from logbook.reports.pilot_pages import TOTALS, Page, PageColumn, PilotPages, Sums
from logbook.reports.pilot_pages_text import columns_of, holder_lines, title_of
from logbook.reports.visible import visible

_MM: Final = 72 / 25.4
_SHEET: Final = (297 * _MM, 210 * _MM)
_MARGIN: Final = 9 * _MM
_WIDE: Final = frozenset(
    {"make, model, variant", "type", "name of PIC", "place", "from", "to", "registration"}
)


def write_pages_pdf(stream: IO[bytes], pages: PilotPages) -> None:
    """Writes a pilot's record as PDF, A4 landscape; the same record gives the same bytes.

    Raises:
        UsageError: the extra that writes PDF is not installed.
    """
    try:
        from reportlab.platypus import SimpleDocTemplate  # type: ignore[import-untyped]
    except ImportError:
        raise UsageError(
            "Writing PDF needs the extra 'pdf', which is not installed.",
            next_step="Install it, or write the page as HTML and print that.",
        ) from None
    document = SimpleDocTemplate(
        stream,
        pagesize=_SHEET,
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN,
        title=_letters(f"{title_of(pages.form)}: {pages.person['person']}"),
        invariant=1,
    )
    document.build([part for page in pages.pages for part in _sheet(pages, page)])


def _letters(text: str) -> str:
    """The text as the standard fonts can write it."""
    return visible(text).encode("cp1252", errors="replace").decode("cp1252")


def _words(text: str, *, size: float = 6, right: bool = False, bold: bool = False) -> Any:
    """A text that breaks at the end of its box; markup in it stays text."""
    from reportlab.lib.styles import ParagraphStyle  # type: ignore[import-untyped]
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "cell",
        fontName="Helvetica-Bold" if bold else "Helvetica",
        fontSize=size,
        leading=size * 1.2,
        alignment=2 if right else 0,
        splitLongWords=1,
    )
    return Paragraph(escape(_letters(text), quote=False), style)


def _sheet(pages: PilotPages, page: Page) -> Iterator[Any]:
    from reportlab.platypus import PageBreak, Spacer

    if page.number > 1:
        yield PageBreak()
    yield _words(f"{title_of(pages.form)}, page {page.number} of {len(pages.pages)}", size=10, bold=True)
    for line in holder_lines(pages, str):
        yield _words(line, size=8)
    yield Spacer(1, 6)
    yield _table(columns_of(pages.form), page)
    yield Spacer(1, 6)
    yield _words("I certify that the entries in this log are true.", size=7)
    yield Spacer(1, 20)
    yield _words(
        "Date ______________________     Pilot's signature ________________________________________", size=8
    )
    states, head = pages.chain
    notes = list(pages.notes) if page.number == len(pages.pages) else []
    if _loses_letters(pages, page):
        notes.append(
            "Letters that the fonts of this paper do not have are shown as '?'; the HTML page has them all."
        )
    for note in [*notes, f"Head of the chain of {states} earlier states (SHA-256): {head}"]:
        yield _words(note, size=6)


def _loses_letters(pages: PilotPages, page: Page) -> bool:
    texts = [column.cell(entry) for column in columns_of(pages.form) for entry in page.entries]
    return any(_letters(text) != visible(text) for text in [*texts, *holder_lines(pages, str)])


def _table(columns: tuple[PageColumn, ...], page: Page) -> Any:
    from reportlab.lib import colors  # type: ignore[import-untyped]
    from reportlab.platypus import Table

    groups, spans, at = [""] * len(columns), [], 0
    for group, members in groupby(columns, key=lambda column: column.group):
        wide = len(list(members))
        groups[at] = group
        spans.append(("SPAN", (at, 0), (at + wide - 1, 0)))
        at += wide
    first = next(place for place, column in enumerate(columns) if column.total is not None)
    rows = [[_words(group) for group in groups], [_words(column.title) for column in columns]]
    rows += [[_words(c.cell(entry), right=c.right) for c in columns] for entry in page.entries]
    for words, of in TOTALS:
        spans.append(("SPAN", (0, len(rows)), (first - 1, len(rows))))
        rows.append(_total_row(columns, words, of(page), first))
    style = [
        ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1.5),
        ("RIGHTPADDING", (0, 0), (-1, -1), 1.5),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        *spans,
    ]
    return Table(rows, colWidths=_widths(columns), repeatRows=2, style=style)


def _total_row(columns: tuple[PageColumn, ...], words: str, sums: Sums, first: int) -> list[Any]:
    cells = [_words(words, right=True, bold=True), *("" for _ in columns[1:first])]
    for column in columns[first:]:
        text = "" if column.total is None else column.total(sums)
        cells.append(_words(text, right=True, bold=True))
    return cells


def _widths(columns: tuple[PageColumn, ...]) -> list[float]:
    """Shares of the sheet: remarks most, names more than figures."""
    shares = [4.0 if c.title.startswith("remarks") else 1.8 if c.title in _WIDE else 1.15 for c in columns]
    room = _SHEET[0] - 2 * _MARGIN
    return [share / sum(shares) * room for share in shares]
