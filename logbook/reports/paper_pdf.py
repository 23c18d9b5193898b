"""A paper as PDF on A4 sheets, where the extra that writes PDF is installed.

Every sheet carries what the paper is not, the digest and its number of how many, so that a loose one is known for what it
is. Tables go on over sheets with their heads repeated; a row is cut only where it is taller than a sheet. A table too wide
for an upright sheet turns the paper on its side; one too wide for that becomes a list.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from html import escape
from itertools import pairwise
from typing import IO, Any, Final

from logbook.reports.paper import Block, Facts, Heading, Listing, Paper, Picture, SignHere, Words
from logbook.reports.paper_text import NO_MARK, seal
from logbook.reports.pdf_columns import Wanted, shared_out, wanted
from logbook.reports.pdf_letters import BOLD, PLAIN, letters, lost, need_pdf
from logbook.reports.plot_pdf import plot_drawing
from logbook.reports.text_table import Column
from logbook.units import to_cell

_MM: Final = 72 / 25.4
_A4: Final = (210 * _MM, 297 * _MM)
_SIDES, _TOP, _FOOT = 15 * _MM, 21 * _MM, 20 * _MM
_FRAME: Final = 6
"""What the library leaves free inside the margins [pt]."""
_SIZE: Final = 7.5
_CELL: Final = 2.5
"""Space left and right in a cell [pt]."""
_AIR: Final = 4
_LONGEST_WORD: Final = 85
_LABEL: Final = 0.33
"""The share of the sheet that labels of facts take."""
_HEAD: Final = 90
"""Letters of the title that stand above each sheet."""
_PLOT: Final = 370
"""How wide a plot is [pt]."""
_START: Final = 75
"""A part begins only where so much of the sheet is left [pt]."""


def write_pdf(stream: IO[bytes], paper: Paper) -> None:
    """Writes a paper as PDF; the same paper gives the same bytes.

    Args:
        stream: where to.
        paper: what.

    Raises:
        UsageError: the extra that writes PDF is not installed.
    """
    need_pdf()
    sheet = _sheet_for(paper)
    count = _build(io.BytesIO(), paper, sheet, 0)  # how many sheets it takes is known only afterwards
    whole = io.BytesIO()
    _build(whole, paper, sheet, count)
    stream.write(seal(whole.getvalue()))


def _build(stream: IO[bytes], paper: Paper, sheet: tuple[float, float], count: int) -> int:
    from reportlab.platypus import SimpleDocTemplate  # type: ignore[import-untyped]

    def edges(canvas: Any, document: Any) -> None:
        _edges(canvas, paper, sheet, f"Page {document.page} of {count}")

    document = SimpleDocTemplate(
        stream,
        pagesize=sheet,
        leftMargin=_SIDES - _FRAME,
        rightMargin=_SIDES - _FRAME,
        topMargin=_TOP - _FRAME,
        bottomMargin=_FOOT - _FRAME,
        title=letters(paper.title),
        subject=letters(paper.standing),
        author="",
        creator="",
        keywords="" if paper.line is None else paper.line.written(NO_MARK),
        lang="en",
        invariant=1,
    )
    document.build(list(_story(paper, _room(sheet))), onFirstPage=edges, onLaterPages=edges)
    return int(document.page)


def _room(sheet: tuple[float, float]) -> float:
    return sheet[0] - 2 * _SIDES


def _edges(canvas: Any, paper: Paper, sheet: tuple[float, float], number: str) -> None:
    """Above: what it is and what it is not. Below: the state of the record, and which sheet of how many."""
    canvas.saveState()
    room = _room(sheet)
    title = paper.title if len(paper.title) <= _HEAD else f"{paper.title[:_HEAD]} ..."
    head, standing = _text(title, size=7), _text(paper.standing, size=7, right=True, bold=True)
    for words, width, at in ((head, room * 0.48, _SIDES), (standing, room * 0.5, _SIDES + room * 0.5)):
        _, height = words.wrap(width, _TOP)
        words.drawOn(canvas, at, sheet[1] - 16 * _MM)
    _rule(canvas, room, sheet[1] - 17 * _MM)
    _rule(canvas, room, 15 * _MM)
    foot, page = _text(paper.footing, size=6), _text(number, size=7, right=True)
    for words, width, at in ((foot, room * 0.84, _SIDES), (page, room * 0.15, _SIDES + room * 0.85)):
        _, height = words.wrap(width, _FOOT)
        words.drawOn(canvas, at, 14 * _MM - height)
    canvas.restoreState()


def _rule(canvas: Any, room: float, height: float) -> None:
    canvas.setLineWidth(0.4)
    canvas.line(_SIDES, height, _SIDES + room, height)


def _text(
    text: str, *, size: float = _SIZE, right: bool = False, bold: bool = False, lines: int | None = None
) -> Any:
    """A text that breaks at the end of its room; markup in it stays text, its line ends stay line ends."""
    from reportlab.lib.styles import ParagraphStyle  # type: ignore[import-untyped]
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "text",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=size * 1.25,
        alignment=2 if right else 0,
        splitLongWords=1,
    )
    shown = [escape(letters(line), quote=False) for line in text.split("\n")]
    return Paragraph("<br/>".join(shown[:lines]), style)


def _story(paper: Paper, room: float) -> Iterator[Any]:
    from reportlab.platypus import Spacer

    yield _text(paper.title, size=13, bold=True)
    yield Spacer(1, 5)
    for block in paper.blocks:
        yield from _block(block, room)
    if paper.line is not None:
        yield Spacer(1, 8)
        yield _text(paper.line.written(), size=6)
    if words := lost(_texts(paper)):
        yield Spacer(1, 8)
        yield _text(words, size=6.5)


def _block(block: Block, room: float) -> Iterator[Any]:
    from reportlab.platypus import CondPageBreak, KeepTogether, Spacer

    if isinstance(block, Heading):
        yield CondPageBreak(_START)
        yield Spacer(1, 9)
        yield _text(block.words, size=9.5, bold=True)
        yield Spacer(1, 3)
    elif isinstance(block, Words):
        yield _text(block.text, size=8, bold=block.strong)
        yield Spacer(1, 2)
    elif isinstance(block, Facts):
        yield _facts(block.pairs, room)
        yield Spacer(1, 3)
    elif isinstance(block, Listing):
        yield from _listing(block, room)
        yield Spacer(1, 3)
    elif isinstance(block, Picture):
        yield Spacer(1, 6)
        yield KeepTogether([plot_drawing(block.plot, _PLOT), _text(block.words)])
    elif isinstance(block, SignHere):
        yield KeepTogether([Spacer(1, 34), _sign_here(block.lines, room)])


def _facts(pairs: Sequence[tuple[str, Any]], room: float) -> Any:
    from reportlab.platypus import Table

    rows = [
        (_text(label), _text("unknown" if value in (None, "") else to_cell(value))) for label, value in pairs
    ]
    return Table(
        rows, colWidths=[room * _LABEL, room * (1 - _LABEL)], splitInRow=1, hAlign="LEFT", style=_style()
    )


def _listing(block: Listing, room: float) -> Iterator[Any]:
    from reportlab.platypus import Spacer, Table

    if not block.rows:
        yield _text(block.empty, size=8)
        return
    columns = _columns(block)
    if sum(column.least for column in columns) > room:
        for row in block.rows:
            pairs = [(column.title, row.get(column.key)) for column in block.columns]
            yield _facts([pair for pair in pairs if pair[1] not in (None, "", [])], room)
            yield Spacer(1, 5)
        return
    widths = shared_out(columns, room)
    spare = room / sum(widths)
    heads = [_text(column.title, right=column.right, bold=True) for column in block.columns]
    rows = [
        [_text(to_cell(row.get(column.key)), right=column.right) for column in block.columns]
        for row in block.rows
    ]
    yield Table(
        [heads, *rows],
        colWidths=[width * spare for width in widths],
        repeatRows=1,
        splitInRow=1,
        hAlign="LEFT",
        style=[*_style(headed=True), *_apart(block.columns)],
    )


def _apart(columns: Sequence[Column]) -> list[tuple[Any, ...]]:
    """Air between a column of figures and the words right of it."""
    pairs = enumerate(pairwise(columns), start=1)
    return [
        ("LEFTPADDING", (at, 0), (at, -1), _CELL + _AIR)
        for at, (left, this) in pairs
        if left.right and not this.right
    ]


def _columns(block: Listing) -> list[Wanted]:
    """What each column of a table needs: figures are never broken, nor are their heads within a word."""
    return [
        wanted(
            [line for row in block.rows for line in to_cell(row.get(column.key)).split("\n")],
            _SIZE,
            bold=column.title.split(),
            room=2 * _CELL + _AIR + 0.5,
            longest_word=_LONGEST_WORD,
            whole=column.right,
        )
        for column in block.columns
    ]


def _sheet_for(paper: Paper) -> tuple[float, float]:
    """Upright, unless a table fits only on its side."""
    wide = _A4[1], _A4[0]
    needs = [
        sum(one.least for one in _columns(block))
        for block in paper.blocks
        if isinstance(block, Listing) and block.rows
    ]
    return wide if any(_room(_A4) < need <= _room(wide) for need in needs) else _A4


def _style(*, headed: bool = False) -> list[tuple[Any, ...]]:
    from reportlab.lib import colors  # type: ignore[import-untyped]

    style: list[tuple[Any, ...]] = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.25, colors.HexColor("#999999")),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), _CELL),
        ("RIGHTPADDING", (0, 0), (-1, -1), _CELL),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    return [*style, ("LINEBELOW", (0, 0), (-1, 0), 0.9, colors.black)] if headed else style


def _sign_here(lines: Sequence[str], room: float) -> Any:
    from reportlab.lib import colors
    from reportlab.platypus import Table

    style: list[tuple[Any, ...]] = [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
    ]
    cells: list[Any] = []
    widths, gap = [], 14
    for place, line in enumerate(lines):
        cells += [_text(line, size=7), ""]
        widths += [room / len(lines) - gap, gap]
        style.append(("LINEABOVE", (2 * place, 0), (2 * place, 0), 0.5, colors.black))
    return Table([cells], colWidths=widths, hAlign="LEFT", style=style)


def _texts(paper: Paper) -> Iterator[str]:
    """Everything on the paper that people may have written, line by line."""
    yield paper.title
    for block in paper.blocks:
        if isinstance(block, Heading):
            yield block.words
        elif isinstance(block, Words):
            yield from block.text.split("\n")
        elif isinstance(block, Facts):
            yield from (line for _, value in block.pairs for line in to_cell(value).split("\n"))
        elif isinstance(block, Listing):
            yield from (
                line
                for row in block.rows
                for column in block.columns
                for line in to_cell(row.get(column.key)).split("\n")
            )
        elif isinstance(block, Picture):
            yield block.words
