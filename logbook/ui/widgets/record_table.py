"""A table of any length: it reads and draws only the rows on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar, Generic, TypeVar

from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from logbook.errors import LogbookError
from logbook.ui.widgets.columns import GAP, Column, Placed, place
from logbook.ui.widgets.record_pages import RecordPages, RowSource
from logbook.ui.widgets.record_paint import GUTTER, TONES, Here, Paint, Signs

RowT = TypeVar("RowT")
GONE = "(no longer in the book)"
UNREAD = "(cannot be read now)"


class RecordTable(ScrollView, Generic[RowT], can_focus=True):
    """Records in rows. The cursor stays on its record when rows come, go or change places.

    Rows need not be there at once: `show(source, first_ids, complete=False)` paints the first page, and `set_ids` brings
    the whole order later, from a worker.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "first", "First", show=False),
        Binding("end", "last", "Last", show=False),
        Binding("enter", "select", "Open", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "record-table--header", "record-table--cursor", "record-table--resting", *(f"record-table--{tone}" for tone in TONES),
    }  # fmt: skip
    DEFAULT_CSS = """
    RecordTable { height: 1fr; background: $background; color: $foreground; overflow-x: hidden; }
    RecordTable > .record-table--header { color: $grey; background: $panel; text-style: bold; }
    RecordTable > .record-table--cursor { color: $cursor-text; background: $cursor; text-style: bold; }
    RecordTable > .record-table--resting { color: $foreground; background: $resting-cursor; }
    RecordTable > .record-table--grey { color: $grey; }
    RecordTable > .record-table--accent { color: $text-accent; }
    RecordTable > .record-table--success { color: $text-success; }
    RecordTable > .record-table--warning { color: $text-warning; }
    RecordTable > .record-table--error { color: $text-error; }
    """

    cursor: reactive[int] = reactive(0, repaint=False)

    class Highlighted(Message):
        """The cursor came to a record."""

        def __init__(self, table: RecordTable[Any], record: int, index: int) -> None:
            super().__init__()
            self.table = table
            self.record = record
            """The record's number."""
            self.index = index
            """Its place in the order, from 0."""

        @property
        def control(self) -> RecordTable[Any]:
            """The table."""
            return self.table

    class Selected(Highlighted):
        """A record is to be opened: Enter, or a click on the line one is on."""

    class Trouble(Message):
        """The rows could not be read."""

        def __init__(self, table: RecordTable[Any], error: LogbookError) -> None:
            super().__init__()
            self.table = table
            self.error = error

    class HeaderClicked(Message):
        """Somebody wants the rows in the order of a column."""

        def __init__(self, table: RecordTable[Any], key: str) -> None:
            super().__init__()
            self.table = table
            self.key = key

        @property
        def control(self) -> RecordTable[Any]:
            """The table."""
            return self.table

    def __init__(
        self,
        columns: Sequence[Column[RowT]],
        *,
        sign: Signs[RowT] = lambda _: ("", ""),
        empty: str = "Nothing here yet.",
        id: str | None = None,  # noqa: A002 - the library's word
        classes: str | None = None,
    ) -> None:
        """A table without rows.

        Args:
            columns: in the order in which they stand.
            sign: one character that marks a row, such as '!', and its tone; or two empty texts.
            empty: what to say, and what to do, where there is no row.
            id: as everywhere in the library.
            classes: as everywhere in the library.
        """
        super().__init__(id=id, classes=classes)
        self.columns = list(columns)
        self.sign = sign
        self.empty = empty
        self.complete = True
        self.sorted_by: tuple[str, str] = ("", "")
        """Column key and sign shown beside its title: '▲' or '▼'."""
        self._pages: RecordPages[RowT] | None = None
        self._placed: list[Placed[RowT]] = []
        self._placed_for = -1
        self._record: int | None = None
        self._in_trouble = False

    # -- rows --------------------------------------------------------------------------------------------------

    def show(self, source: RowSource[RowT], ids: Sequence[int], *, complete: bool = True) -> None:
        """Shows rows from a source.

        Args:
            source: gives the rows of a page.
            ids: record numbers in the order shown; an `array('q')` is kept, not copied.
            complete: False if more ids will come by `set_ids`.
        """
        self._pages = RecordPages(source)
        self.set_ids(ids, complete=complete)

    def set_ids(self, ids: Sequence[int], *, complete: bool = True) -> None:
        """A new order or selection; the cursor stays on its record, or near its place if the record left."""
        if self._pages is None:
            raise ValueError("show() first: there is no source of rows")
        self._pages.set_ids(ids)
        self.complete = complete
        self._resize()
        found = None if self._record is None else self._pages.index_of(self._record, self.cursor)
        target = self.cursor if found is None else found
        moved = self.validate_cursor(target) != self.cursor
        self.cursor = target
        if not moved:
            self._come_to(self.cursor)
        self.refresh()

    def reload(self) -> None:
        """Reads the rows on the screen anew; order and cursor stay."""
        if self._pages is not None:
            self._pages.forget()
        self.refresh()

    def go_to(self, record: int) -> bool:
        """Puts the cursor on a record; False if it is not among the rows."""
        index = None if self._pages is None else self._pages.index_of(record, self.cursor)
        if index is None:
            return False
        self.cursor = index
        return True

    @property
    def record(self) -> int | None:
        """The number of the record one is on."""
        return self._record

    @property
    def row_count(self) -> int:
        """How many rows there are so far."""
        return 0 if self._pages is None else len(self._pages)

    def set_columns(self, columns: Sequence[Column[RowT]]) -> None:
        """Other columns, or the same ones in other words."""
        self.columns = list(columns)
        self._placed_for = -1
        self.refresh()

    @property
    def shown_columns(self) -> list[str]:
        """Keys of the columns there is room for."""
        return [placed.column.key for placed in self._places()]

    def _places(self) -> list[Placed[RowT]]:
        """Where the columns stand; worked out again when the width changed, as when the scrollbar came."""
        width = self.scrollable_content_region.width
        if self._placed_for != width:
            self._placed_for = width
            self._placed = place(self.columns, max(0, width - GUTTER - 1))
        return self._placed

    # -- painting: one call for each visible line ------------------------------------------------------------------

    def _resize(self) -> None:
        lines = max(1, self.row_count + (not self.complete)) + 1
        self.virtual_size = Size(self.size.width, lines)
        self._placed_for = -1

    def on_resize(self) -> None:
        """Places the columns anew and keeps the cursor in sight."""
        self._resize()
        self._into_sight(self.cursor)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line of the screen: the heading, or the row that stands there."""
        paint = self._paint()
        if y == 0:
            return paint.heading(self.sorted_by)
        index = self.scroll_offset.y + y - 1
        if index < self.row_count:
            row, here = self._row(index), Here(index == self.cursor, self.has_focus)
            if row is None:
                return paint.lost(UNREAD if self._in_trouble else GONE, here)
            return paint.row(row, self.sign, here)
        if not self.complete:
            return paint.words("… more rows are being read" if index == self.row_count else "")
        return paint.words(self.empty if index == self.row_count == 0 else "")

    def _paint(self) -> Paint[RowT]:
        return Paint(self.size.width, self._places(), self.visual_style.rich_style, self._ink)

    def _ink(self, part: str) -> Style:
        return self.get_component_rich_style(f"record-table--{part}")

    def _row(self, index: int) -> RowT | None:
        """The row at a place. Trouble with the file is told once, and is never a crash while painting."""
        if self._pages is None:
            return None
        try:
            row = self._pages.row(index)
        except LogbookError as error:
            if not self._in_trouble:
                self._in_trouble = True
                self.post_message(self.Trouble(self, error))
            return None
        self._in_trouble = False
        return row

    # -- cursor ------------------------------------------------------------------------------------------------------

    @property
    def page_rows(self) -> int:
        """How many rows are in sight."""
        return max(1, self.size.height - 1)

    def validate_cursor(self, index: int) -> int:
        """Keeps the cursor among the rows."""
        return max(0, min(index, self.row_count - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        """Scrolls where needed, else repaints the two lines only."""
        if not self._into_sight(new):
            for index in (old, new):
                self.refresh(Region(0, index - self.scroll_offset.y + 1, self.size.width, 1))
        self._come_to(new)

    def _come_to(self, index: int) -> None:
        record = self._pages.ids[index] if self._pages is not None and index < self.row_count else None
        if record is not None:
            self.post_message(self.Highlighted(self, record, index))
        self._record = record

    def _into_sight(self, index: int) -> bool:
        top, rows = self.scroll_offset.y, self.page_rows
        if top <= index < top + rows:
            return False
        self.scroll_to(
            y=index if index < top else index - rows + 1, animate=False, force=True, immediate=True
        )
        return True

    def on_focus(self) -> None:
        """The line one is on shows who has the keyboard."""
        self.refresh()

    def on_blur(self) -> None:
        """The line one is on shows who has the keyboard."""
        self.refresh()

    def action_move(self, rows: int) -> None:
        """Up or down by so many rows."""
        self.cursor += rows

    def action_page(self, pages: int) -> None:
        """Up or down by so many pages."""
        self.cursor += pages * self.page_rows

    def action_first(self) -> None:
        """To the first row."""
        self.cursor = 0

    def action_last(self) -> None:
        """To the last row read so far."""
        self.cursor = self.row_count - 1

    def action_select(self) -> None:
        """Opens the record one is on."""
        if self._record is not None:
            self.post_message(self.Selected(self, self._record, self.cursor))

    def on_click(self, event: events.Click) -> None:
        """A click moves the cursor; a click on the line one is on opens the record."""
        if event.y == 0:
            self._click_heading(event.x - GUTTER)
            return
        index = self.scroll_offset.y + event.y - 1
        if index >= self.row_count:
            return
        if index == self.cursor:
            self.action_select()
        else:
            self.cursor = index

    def _click_heading(self, x: int) -> None:
        for column, start, width in self._places():
            if start <= x < start + width + GAP:
                self.post_message(self.HeaderClicked(self, column.key))
