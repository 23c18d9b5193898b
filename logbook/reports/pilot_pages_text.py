"""The pilot's record as plain text of any width from 80 columns on: a wide line is broken, and its heading with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from typing import Final, NamedTuple, TextIO

from logbook.reports import american_page, european_page
from logbook.reports.people_text import wrapped
from logbook.reports.pilot_pages import TOTALS, Entry, Page, PageColumn, PilotPages, Sums
from logbook.reports.text_table import width_of
from logbook.reports.visible import visible

LEAST_WIDTH: Final = 80

_COLUMNS: Final = {"european": european_page.COLUMNS, "american": american_page.COLUMNS}
_TITLES: Final = {"european": european_page.TITLE, "american": american_page.TITLE}
_LONGEST_CELL: Final = 24


class _Laid(NamedTuple):
    """A column with its width; `line` is the line of the entry it stands on."""

    column: PageColumn
    width: int
    line: int


def columns_of(form: str) -> tuple[PageColumn, ...]:
    """The columns of a form, in its order."""
    return _COLUMNS[form]


def title_of(form: str) -> str:
    """The heading of a form."""
    return _TITLES[form]


def write_pages(stream: TextIO, pages: PilotPages, *, width: int = LEAST_WIDTH) -> None:
    """Writes a pilot's record; pages are parted by a form feed, so that a printer starts a new sheet.

    Args:
        stream: where to.
        pages: the record.
        width: characters in a line, 80 or more.
    """
    width = max(width, LEAST_WIDTH)
    *columns, remarks = columns_of(pages.form)
    laid = _lay_out(pages, columns, width)
    for page in pages.pages:
        if page.number > 1:
            stream.write("\f\n")
        _write_head(stream, pages, page)
        _write_columns(stream, laid)
        stream.write("-" * width + "\n")
        if not page.entries:
            stream.write("No entries.\n")
        for entry in page.entries:
            _write_lines(stream, laid, [column.cell(entry) for column, _, _ in laid])
            stream.writelines(f"    {line}\n" for line in _said(remarks, entry, width - 4))
        stream.write("-" * width + "\n")
        for words, of in TOTALS:
            stream.write(f"{words}\n")
            _write_lines(stream, laid, [_total(column, of(page)) for column, _, _ in laid])
        _write_foot(stream, pages, page, width)


def _said(remarks: PageColumn, entry: Entry, width: int) -> list[str]:
    text = remarks.cell(entry)
    return wrapped(text, width) if text else []


def _total(column: PageColumn, sums: Sums) -> str:
    return "" if column.total is None else column.total(sums)


def _lay_out(pages: PilotPages, columns: Sequence[PageColumn], width: int) -> list[_Laid]:
    """Gives each column its width and the line it stands on; a group is kept together where it can be."""
    laid: list[_Laid] = []
    line, used = 0, 0
    pairs = list(zip(columns, _widths(pages, columns), strict=True))
    for _, members in groupby(pairs, key=lambda pair: pair[0].group):
        group = list(members)
        whole = sum(wide for _, wide in group) + len(group) - 1
        for at, (column, wide) in enumerate(group):
            needs = whole if at == 0 and whole <= width - 2 else wide
            if used and used + 1 + needs > width - (2 if line else 0):
                line, used = line + 1, 0
            used += wide + (1 if used else 0)
            laid.append(_Laid(column, wide, line))
    return laid


def _widths(pages: PilotPages, columns: Sequence[PageColumn]) -> list[int]:
    """The widest cell of each column; the last of a group makes room for the group's own words."""
    widths = []
    for column in columns:
        cells = [column.title, *(column.cell(entry) for page in pages.pages for entry in page.entries)]
        cells += [_total(column, page.total) for page in pages.pages]
        widths.append(min(max(width_of(visible(text)) for text in cells), _LONGEST_CELL))
    at = 0
    for group, members in groupby(columns, key=lambda column: column.group):
        first, at = at, at + len(list(members))
        room = sum(widths[first:at]) + at - first - 1
        widths[at - 1] += max(width_of(group) - room, 0)
    return widths


def _write_columns(stream: TextIO, laid: Sequence[_Laid]) -> None:
    """Groups over titles, for each line of an entry; a group that goes on in the next line is named there again."""
    for line in range(laid[-1].line + 1):
        here = [one for one in laid if one.line == line]
        spans = []
        for group, members in groupby(here, key=lambda one: one.column.group):
            room = [one.width for one in members]
            wide = sum(room) + len(room) - 1
            spans.append(_padded(_cut(group, wide), wide, right=False))
        stream.write(f"{'  ' if line else ''}{' '.join(spans)}".rstrip() + "\n")
        _write_line(stream, here, [one.column.title for one in here])


def _write_lines(stream: TextIO, laid: Sequence[_Laid], cells: Sequence[str]) -> None:
    for line in range(laid[-1].line + 1):
        pairs = [(one, cell) for one, cell in zip(laid, cells, strict=True) if one.line == line]
        if not any(cell for _, cell in pairs):
            continue
        _write_line(stream, [one for one, _ in pairs], [cell for _, cell in pairs])


def _write_line(stream: TextIO, laid: Sequence[_Laid], cells: Iterable[str]) -> None:
    indent = "  " if laid[0].line else ""
    text = " ".join(
        _padded(_cut(visible(cell), one.width), one.width, right=one.column.right)
        for one, cell in zip(laid, cells, strict=True)
    )
    stream.write(f"{indent}{text}".rstrip() + "\n")


def _padded(text: str, width: int, *, right: bool) -> str:
    space = " " * (width - width_of(text))
    return space + text if right else text + space


def _cut(text: str, width: int) -> str:
    """A long name is cut with a sign that it was; the whole stands in the book."""
    if width_of(text) <= width:
        return text
    while text and width_of(text) > width - 1:
        text = text[:-1]
    return text + "…"


def _write_head(stream: TextIO, pages: PilotPages, page: Page) -> None:
    stream.write(f"{title_of(pages.form)}, page {page.number} of {len(pages.pages)}\n")
    stream.writelines(f"{line}\n" for line in holder_lines(pages, visible))
    stream.write("\n")


def holder_lines(pages: PilotPages, shown: Callable[[str], str]) -> list[str]:
    """Whose record it is: name, licence number, address where the form wants it."""
    person = pages.person
    lines = [f"Holder: {shown(person['person'])}"]
    if person["licence_no"]:
        lines[0] += f"   Licence: {shown(person['licence_no'])}"
    if pages.form == "european" and person["address"]:
        lines.append(f"Address: {shown(person['address'])}")
    return lines


def _write_foot(stream: TextIO, pages: PilotPages, page: Page, width: int) -> None:
    stream.write("\nI certify that the entries in this log are true.\n")
    stream.write("\nDate ________________  Pilot's signature ______________________________________\n\n")
    for note in pages.notes if page.number == len(pages.pages) else ():
        stream.writelines(f"{line}\n" for line in wrapped(note, width))
    states, head = pages.chain
    stream.write(f"Head of the chain of {states} earlier states (SHA-256):\n{head}\n")


def missing_lines(pages: PilotPages) -> list[str]:
    """What is incomplete, to be said before anything is printed."""
    return [
        f"incomplete: {words}" if not flight_id else f"incomplete: {date} ({flight_id}): {words}"
        for date, flight_id, words in pages.missing
    ]
