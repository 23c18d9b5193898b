"""Lines under headings, some of which can be opened: the cursor goes from one of these to the next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar, NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit, wrap

TONES = ("grey", "accent", "success", "warning", "error", "heading")
GUTTER = 2  # the pointer at the line one is on, and a blank


class Span(NamedTuple):
    """A piece of a line in one ink: grey, accent, success, warning, error, heading; or empty."""

    text: str
    tone: str = ""


class Line(NamedTuple):
    """One line.

    Attributes:
        head: what stands in front; never broken.
        body: words that go on in further lines where they do not fit, under each other.
        tone: the ink of the body.
        target: what Enter opens; None for lines that are only read.
    """

    head: tuple[Span, ...] = ()
    body: str = ""
    tone: str = ""
    target: Any = None


def heading(words: str) -> Line:
    """A heading."""
    return Line((Span(words, "heading"),))


class _Row(NamedTuple):
    """A row on the screen: the pieces, and which line it belongs to."""

    spans: tuple[Span, ...]
    line: int
    first: bool


def laid_out(lines: Sequence[Line], width: int) -> list[_Row]:
    """The rows of all lines at a width [cells]."""
    rows: list[_Row] = []
    for number, line in enumerate(lines):
        indent = sum(cell_len(span.text) for span in line.head)
        room = max(12, width - GUTTER - indent)
        texts = wrap(line.body, room) if line.body else [""]
        for place, text in enumerate(texts):
            lead = line.head if place == 0 else (Span(" " * indent),)
            rows.append(_Row((*lead, Span(text, line.tone)), number, place == 0))
    return rows


class LineList(ScrollView, can_focus=True):
    """Shows lines; the cursor stays with its target when the lines change."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "move(-8)", "Page up", show=False),
        Binding("pagedown", "move(8)", "Page down", show=False),
        Binding("home", "move(-9999)", "First", show=False),
        Binding("end", "move(9999)", "Last", show=False),
        Binding("enter", "select", "Open", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "line-list--cursor", "line-list--resting", *(f"line-list--{tone}" for tone in TONES),
    }  # fmt: skip
    DEFAULT_CSS = """
    LineList { height: 1fr; background: $background; color: $foreground; overflow-x: hidden; scrollbar-gutter: stable; }
    LineList > .line-list--cursor { color: $cursor-text; background: $cursor; text-style: bold; }
    LineList > .line-list--resting { color: $foreground; background: $resting-cursor; }
    LineList > .line-list--grey { color: $grey; }
    LineList > .line-list--accent { color: $text-accent; }
    LineList > .line-list--success { color: $text-success; }
    LineList > .line-list--warning { color: $text-warning; }
    LineList > .line-list--error { color: $text-error; }
    LineList > .line-list--heading { color: $accent; text-style: bold; }
    """

    class Selected(Message):
        """A line is to be opened."""

        def __init__(self, lines: LineList, target: Any) -> None:
            super().__init__()
            self.lines = lines
            self.target = target

        @property
        def control(self) -> LineList:
            """The list."""
            return self.lines

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id, classes=classes)
        self._lines: list[Line] = []
        self._rows: list[_Row] = []
        self._width = -1
        """The width for which the lines are broken [cells]; negative: for none."""
        self._at = -1
        self._moved = False
        """Whether somebody moved the cursor: until then what is shown begins at its first line."""

    def show_failure(self, error: Exception) -> None:
        """Says, in the place of an answer, why there is none."""
        self.show([Line((Span("! ", "warning"),), str(error))])

    def show(self, lines: Sequence[Line]) -> None:
        """Replaces the lines."""
        was, at = self._here, self._at
        self._lines = list(lines)
        opened = self._open_lines()
        same = [number for number in opened if was is not None and self._lines[number].target == was.target]
        # several lines may open one record, as the flags of a flight do: the very same line, else the nearest
        same.sort(key=lambda number: (self._lines[number] != was, abs(number - at)))
        self._at = same[0] if same else (opened[0] if opened else -1)
        if not same and self._moved:
            self._moved = False
            self.scroll_to(y=0, animate=False, force=True, immediate=True)
        self._width = -1
        self._lay_out()

    @property
    def _here(self) -> Line | None:
        return self._lines[self._at] if 0 <= self._at < len(self._lines) else None

    @property
    def target(self) -> Any:
        """What the line one is on would open; None where there is none."""
        return self._here.target if self._here else None

    @property
    def words(self) -> str:
        """What the line one is on says, without what stands in front."""
        return self._here.body if self._here else ""

    @property
    def plain_text(self) -> str:
        """All of it as text, whatever the width breaks."""
        return "\n".join(
            "".join(visible(span.text) for span in line.head) + visible(line.body) for line in self._lines
        )

    def _open_lines(self) -> list[int]:
        return [number for number, line in enumerate(self._lines) if line.target is not None]

    def _break_lines(self) -> bool:
        """Breaks the lines for the width there is. Returns whether they were not broken for it yet."""
        width = self.scrollable_content_region.width
        if width == self._width:
            return False
        self._rows = laid_out(self._lines, width) if width > 0 else []
        self._width = width
        return True

    def _lay_out(self) -> None:
        if self._break_lines():
            self.refresh()
        self.virtual_size = Size(self._width, max(1, len(self._rows)))
        self._into_sight()

    def on_resize(self) -> None:
        """Breaks the lines for the new width."""
        self._lay_out()

    def render_lines(self, crop: Region) -> list[Strip]:
        """What is in sight. The first time it is painted before it hears of its size."""
        self._break_lines()
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        """One row."""
        width, base = self.size.width, self.visual_style.rich_style
        index = self.scroll_offset.y + y
        if index >= len(self._rows):
            return Strip.blank(width, base)
        row = self._rows[index]
        here = row.line == self._at
        style = base
        if here:
            style = self.get_component_rich_style(f"line-list--{'cursor' if self.has_focus else 'resting'}")
        pointer = "▸" if here and row.first else " "
        segments = [Segment(f"{pointer} ", style)]
        segments += [
            Segment(fit(span.text, cell_len(span.text)), self._inked(style, span.tone, here))
            for span in row.spans
        ]
        return Strip(segments).adjust_cell_length(width, style)

    def _inked(self, style: Style, tone: str, here: bool) -> Style:
        """On the cursor line only its own ink is readable; the state's word is there too."""
        if not tone or (here and self.has_focus):
            return style
        ink = self.get_component_rich_style(f"line-list--{tone}")
        return style + Style(color=ink.color, bold=ink.bold)

    def on_focus(self) -> None:
        """The line one is on shows who has the keyboard."""
        self.refresh()

    def on_blur(self) -> None:
        """The line one is on shows who has the keyboard."""
        self.refresh()

    def action_move(self, by: int) -> None:
        """To another line that can be opened; at the ends, as far as can be read."""
        opened = self._open_lines()
        self._moved = True
        if not opened:
            self.scroll_relative(y=by, animate=False)
            return
        place = opened.index(self._at) if self._at in opened else 0
        target = max(0, min(len(opened) - 1, place + by))
        if target == place:
            self.scroll_relative(y=by, animate=False)  # what cannot be opened can still be read
        self._go_to(opened[target], in_sight=target != place)

    def _go_to(self, line: int, *, in_sight: bool = True) -> None:
        """The cursor goes to a line; only what it left and what it came to is drawn anew."""
        left, self._at = self._at, line
        if in_sight:
            self._into_sight()
        top = self.scroll_offset.y
        changed = [
            Region(0, index - top, self.size.width, 1)
            for index, row in enumerate(self._rows)
            if row.line in (left, line) and 0 <= index - top < self.size.height
        ]
        if changed:
            self.refresh(*changed)

    def _into_sight(self) -> None:
        mine = [index for index, row in enumerate(self._rows) if row.line == self._at]
        if not mine or not self._moved:
            return
        first = 0 if self._at == next(iter(self._open_lines()), -1) else mine[0]
        top, rows = self.scroll_offset.y, max(1, self.size.height)
        if first < top:
            self.scroll_to(y=first, animate=False, force=True, immediate=True)
        elif mine[-1] >= top + rows:
            self.scroll_to(y=mine[-1] - rows + 1, animate=False, force=True, immediate=True)

    def action_select(self) -> None:
        """Opens the line one is on."""
        if self.target is not None:
            self.post_message(self.Selected(self, self.target))

    def on_click(self, event: events.Click) -> None:
        """A click moves the cursor; a click on the line one is on opens it."""
        index = self.scroll_offset.y + event.y
        if index >= len(self._rows):
            return
        line = self._rows[index].line
        if self._lines[line].target is None:
            return
        if line == self._at:
            self.action_select()
        else:
            self._moved = True
            self._go_to(line, in_sight=False)
