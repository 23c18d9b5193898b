"""How a table of records is drawn: its heading, a row, a line of words. Pure: styles and rows in, strips out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, Generic, NamedTuple, TypeVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from logbook.ui.widgets.columns import GAP, Placed
from logbook.ui.widgets.plain import fit

RowT = TypeVar("RowT")
GUTTER: Final = 3
"""Before the first column: the pointer at the line one is on, the row's sign, a blank [cells]."""
TONES: Final = ("grey", "accent", "success", "warning", "error")
POINTER: Final = "▸"
Signs = Callable[[RowT], tuple[str, str]]
"""One character that marks a row, such as '!', and its tone; or two empty texts."""


class Here(NamedTuple):
    """Whether a line is the one the cursor is on, and whether the table has the keyboard."""

    cursor: bool
    focus: bool


class Paint(NamedTuple, Generic[RowT]):
    """What the lines of one table are drawn with.

    Attributes:
        width: of the table [cells].
        places: its columns and where they stand.
        base: the style of a usual line.
        ink: the style of a part by its name: `header`, `cursor`, `resting` (a cursor without the keyboard), or a tone.
    """

    width: int
    places: Sequence[Placed[RowT]]
    base: Style
    ink: Callable[[str], Style]

    def heading(self, sorted_by: tuple[str, str]) -> Strip:
        """The titles; beside the column the rows are ordered by stands its sign."""
        text = " " * GUTTER
        for column, _, room in self.places:
            key, arrow = sorted_by
            title = f"{column.title} {arrow}" if column.key == key and arrow else column.title
            text += fit(title, room, right=column.right and cell_len(title) <= room) + " " * GAP
        style = self.ink("header")
        return Strip([Segment(text, style)]).adjust_cell_length(self.width, style)

    def words(self, words: str) -> Strip:
        """A line that is no row."""
        grey = self.base + Style(color=self.ink("grey").color)
        return Strip([Segment(fit(" " * GUTTER + words, self.width), grey)])

    def lost(self, words: str, here: Here) -> Strip:
        """A row that cannot be shown."""
        return Strip([Segment(fit(f"{_pointer(here)}  {words}", self.width), self._style(here))])

    def row(self, row: Any, sign: Signs[Any], here: Here) -> Strip:
        """A row: pointer, sign, and what each column says of it."""
        style, (mark, tone) = self._style(here), sign(row)
        segments = [
            Segment(_pointer(here), style),
            Segment(fit(mark, 1), self._toned(style, tone, here)),
            Segment(" ", style),
        ]
        for column, _, room in self.places:
            tone = column.tone(row) if column.tone else ""
            text = fit(column.text(row), room, right=column.right)
            segments += [Segment(text, self._toned(style, tone, here)), Segment(" " * GAP, style)]
        return Strip(segments).adjust_cell_length(self.width, style)

    def _style(self, here: Here) -> Style:
        if not here.cursor:
            return self.base
        return self.ink("cursor" if here.focus else "resting")

    def _toned(self, style: Style, tone: str, here: Here) -> Style:
        """The style of a cell. On the cursor line only its own ink is readable; the state's sign is there too."""
        if not tone or (here.cursor and here.focus):
            return style
        return style + Style(color=self.ink(tone).color)


def _pointer(here: Here) -> str:
    return POINTER if here.cursor else " "
