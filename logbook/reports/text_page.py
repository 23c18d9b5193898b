"""A paper as plain text of 80 columns: for a terminal, a mail, a printer without pictures."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final, TextIO

from logbook.reports.paper import Block, Facts, Heading, Listing, Paper, Picture, SignHere, Words
from logbook.reports.paper_line import START
from logbook.reports.paper_text import marks_of, split_text
from logbook.reports.text_table import width_of
from logbook.reports.visible import visible
from logbook.units import to_cell

WIDTH: Final = 80
_LABEL: Final = 30


def write_text_page(stream: TextIO, paper: Paper) -> None:
    """Writes a paper as text; no line is longer than 80 columns, a table that is too wide becomes a list."""
    content = "".join(line.rstrip() + "\n" for line in _page(paper))
    stream.write(content)
    if paper.line is not None:
        split = split_text(content + START)
        body = "" if split is None else split.body
        stream.writelines(f"{line}\n" for line in _wrapped(paper.line.written(*marks_of(paper.line, body))))


def _page(paper: Paper) -> Iterator[str]:
    yield from _wrapped(paper.title)
    yield "=" * min(width_of(visible(paper.title)), WIDTH)
    yield from _wrapped(paper.standing)
    for block in paper.blocks:
        yield from _block(block)
    yield ""
    yield "-" * WIDTH
    yield from _wrapped(paper.footing)


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield from ("", *_wrapped(block.words), "-" * min(width_of(visible(block.words)), WIDTH))
    elif isinstance(block, Words):
        yield from _wrapped(block.text)
    elif isinstance(block, Facts):
        for label, value in block.pairs:
            yield from _fact(label, "unknown" if value in (None, "") else to_cell(value))
    elif isinstance(block, Listing):
        yield from _listing(block)
    elif isinstance(block, Picture):
        yield from _wrapped(block.words)
    elif isinstance(block, SignHere):
        yield ""
        for line in block.lines:
            yield ""
            yield f"{line + ':':<{_LABEL}}{'_' * (WIDTH - _LABEL)}"


def _fact(label: str, value: str) -> Iterator[str]:
    lines = _wrapped(value, WIDTH - _LABEL) or [""]
    head = _wrapped(label, _LABEL - 2)
    for place in range(max(len(head), len(lines))):
        left = head[place] if place < len(head) else ""
        right = lines[place] if place < len(lines) else ""
        yield left + " " * (_LABEL - width_of(left)) + right


def _listing(block: Listing) -> Iterator[str]:
    if not block.rows:
        yield from _wrapped(block.empty)
        return
    titles = [column.title for column in block.columns]
    lines = [[visible(to_cell(row.get(column.key))) for column in block.columns] for row in block.rows]
    columns = list(zip(titles, *lines, strict=True))
    widths = _fitted(columns, [column.right for column in block.columns])
    if widths is None:
        yield from _as_facts(titles, lines)
        return
    for line in [titles, *lines]:
        yield from _line(line, widths, [column.right for column in block.columns])


def _fitted(columns: Sequence[Sequence[str]], right: Sequence[bool]) -> list[int] | None:
    """Widths that fit the page: columns of words are broken between words, figures never; None where that is not enough."""
    widths = [max(map(width_of, cells)) for cells in columns]
    least = [
        width
        if to_right
        else min(width, max(width_of(word) for cell in cells for word in cell.split() or [""]))
        for cells, width, to_right in zip(columns, widths, right, strict=True)
    ]
    while sum(widths) + 2 * (len(widths) - 1) > WIDTH:
        spare = [width - low for width, low in zip(widths, least, strict=True)]
        if not any(spare):
            return None
        widths[spare.index(max(spare))] -= 1
    return widths


def _line(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> Iterator[str]:
    broken = [_wrapped(cell, width) or [""] for cell, width in zip(cells, widths, strict=True)]
    for place in range(max(map(len, broken))):
        parts = []
        for cell, width, to_right in zip(broken, widths, right, strict=True):
            text = cell[place] if place < len(cell) else ""
            space = " " * (width - width_of(text))
            parts.append(space + text if to_right else text + space)
        yield "  ".join(parts)


def _as_facts(titles: Sequence[str], lines: Sequence[Sequence[str]]) -> Iterator[str]:
    for place, line in enumerate(lines):
        if place:
            yield ""
        for title, cell in zip(titles, line, strict=True):
            if cell:
                yield from _fact(title, cell)


def _wrapped(text: str, width: int = WIDTH) -> list[str]:
    """Lines of at most so many columns; a word that is too long is broken, wide characters counted as two."""
    found: list[str] = []
    for line in textwrap.wrap(visible(text), width, break_on_hyphens=False):
        found += _cut(line, width)
    return found


def _cut(line: str, width: int) -> Iterator[str]:
    while width_of(line) > width:
        at = next(place for place in range(1, len(line) + 1) if width_of(line[: place + 1]) > width)
        yield line[:at]
        line = line[at:]
    yield line
