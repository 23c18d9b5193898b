"""How wide the columns of a table on a PDF page are: no word and no figure broken where there is room for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from logbook.reports.pdf_letters import letters, width_of

_LONGEST_CELL: Final = 220
"""A cell wishes for no more than this [pt]; longer ones go over several lines."""


class Wanted(NamedTuple):
    """What one column needs, and what it would like [pt]."""

    least: float
    wish: float


def wanted(
    cells: Iterable[str],
    size: float,
    *,
    bold: Iterable[str] = (),
    room: float = 0.0,
    longest_word: float = 60.0,
    whole: bool = False,
) -> Wanted:
    """What a column needs.

    Args:
        cells: every text in it, each of one line.
        size: of the letters [pt].
        bold: texts that are set bold and never broken.
        room: at both sides of a cell [pt].
        longest_word: a longer one may be broken [pt].
        whole: no cell may be broken at all: a column of figures.
    """
    shown = [letters(cell) for cell in dict.fromkeys(cells)]
    fixed = max((width_of(text, size, bold=True) for text in bold), default=0.0)
    full = max((width_of(cell, size) for cell in shown), default=0.0)
    word = max((width_of(word, size) for cell in shown for word in cell.split()), default=0.0)
    least = max(fixed, full) if whole else min(max(fixed, word), longest_word)
    return Wanted(least + room, max(least, min(full, _LONGEST_CELL)) + room)


def shared_out(columns: Sequence[Wanted], room: float) -> list[float]:
    """Widths that fill the room [pt], as far as the wishes go; where it is too small, all give way alike."""
    least, wish = sum(one.least for one in columns), sum(one.wish for one in columns)
    if least >= room:
        return [one.least / least * room for one in columns]
    share = min((room - least) / (wish - least), 1.0) if wish > least else 0.0
    return [one.least + (one.wish - one.least) * share for one in columns]
