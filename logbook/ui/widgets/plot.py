"""A plot on the screen; left and right move a reading cursor that says the values."""

from __future__ import annotations

from bisect import bisect_left
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.color import Color
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from logbook.reports.plot import Plot
from logbook.ui.widgets.plot_canvas import DRAWN, TYPED
from logbook.ui.widgets.plot_sheet import draw

TONES = ("grey", "accent", "success", "warning", "error")
BAND_INK = 0.5  # how much of its tone a band keeps; it stands behind what matters


class PlotView(Widget, can_focus=True):
    """Draws one plot in the room it has."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Earlier", show=False),
        Binding("right", "step(1)", "Later", show=False),
        Binding("pageup", "leap(-1)", "Much earlier", show=False),
        Binding("pagedown", "leap(1)", "Much later", show=False),
        Binding("home", "edge(0)", "First", show=False),
        Binding("end", "edge(-1)", "Last", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"plot-view--{tone}" for tone in TONES}
    DEFAULT_CSS = """
    PlotView { height: 1fr; min-height: 8; padding: 0 1; background: $background; color: $foreground; }
    PlotView > .plot-view--grey { color: $grey; }
    PlotView > .plot-view--accent { color: $text-accent; }
    PlotView > .plot-view--success { color: $text-success; }
    PlotView > .plot-view--warning { color: $text-warning; }
    PlotView > .plot-view--error { color: $text-error; }
    """

    stop: reactive[int] = reactive(-1)
    """Which of the plot's stops the reading cursor stands on; -1: none yet."""

    class Read(Message):
        """The reading cursor came to another x."""

        def __init__(self, view: PlotView, x: float) -> None:
            super().__init__()
            self.view = view
            self.x = x

        @property
        def control(self) -> PlotView:
            """The plot."""
            return self.view

    def __init__(self, plot: Plot, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id, classes=classes)
        self._plot = plot
        self._strips: list[Strip] = []
        self._drawn_for: object = None

    @property
    def plot(self) -> Plot:
        """What is drawn."""
        return self._plot

    def show(self, plot: Plot) -> None:
        """Draws another plot; the cursor stays at the nearest x that has a value."""
        before = self.cursor_x
        self._plot = plot
        self._drawn_for = None
        self.stop = -1 if before is None else min(bisect_left(plot.stops, before), len(plot.stops) - 1)
        self.refresh()

    @property
    def cursor_x(self) -> float | None:
        """The x whose values are said; None while there is no cursor."""
        stops = self._plot.stops
        return stops[self.stop] if 0 <= self.stop < len(stops) else None

    def render_line(self, y: int) -> Strip:
        """One line; the whole is drawn again only when something about it changed."""
        key = (self.size, self.stop, self.rich_style, self.app.theme)
        if key != self._drawn_for:
            self._drawn_for = key
            self._strips = self._draw()
        return self._strips[y] if y < len(self._strips) else Strip.blank(self.size.width, self.rich_style)

    def notify_style_update(self) -> None:
        """Another look: draw anew."""
        super().notify_style_update()
        self._drawn_for = None

    def _draw(self) -> list[Strip]:
        signs = TYPED if getattr(self.app, "ascii_only", False) else DRAWN
        styles = self._styles()
        rows = draw(self._plot, self.size.width, self.size.height, signs, self.cursor_x)
        return [Strip([Segment(text, styles[tone]) for text, tone in row], self.size.width) for row in rows]

    def _styles(self) -> dict[str, Style]:
        base = self.rich_style
        styles = {"text": base, "title": base + Style(bold=True)}
        ground = self.background_colors[1]
        for tone in ("text", *TONES):
            style = base if tone == "text" else base + self._ink(f"plot-view--{tone}")
            styles[tone] = style
            if style.color is not None:
                ink = ground.blend(Color.from_rich_color(style.color), BAND_INK)
                styles[f"{tone}-band"] = base + Style(color=ink.rich_color)
            else:
                styles[f"{tone}-band"] = style
        return styles

    def _ink(self, component: str) -> Style:
        return Style(color=self.get_component_rich_style(component).color)

    def validate_stop(self, stop: int) -> int:
        """Keeps the cursor on the plot."""
        return max(-1, min(stop, len(self._plot.stops) - 1))

    def watch_stop(self) -> None:
        """Tells where the cursor came to."""
        if self.cursor_x is not None:
            self.post_message(self.Read(self, self.cursor_x))

    def action_step(self, stops: int) -> None:
        """To an earlier or later value; the first press shows the cursor at the last one."""
        last = len(self._plot.stops) - 1
        self.stop = last if self.stop < 0 else max(0, self.stop + stops)

    def action_leap(self, direction: int) -> None:
        """By a tenth of all values."""
        self.action_step(direction * max(1, len(self._plot.stops) // 10))

    def action_edge(self, stop: int) -> None:
        """To the first or the last value."""
        self.stop = stop if stop >= 0 else len(self._plot.stops) - 1

    def on_click(self, event: events.Click) -> None:
        """To the value nearest to the mouse, by the share of the width."""
        stops = self._plot.stops
        if stops:
            low, high = self._plot.x_range()
            wanted = low + (high - low) * event.x / max(1, self.size.width - 1)
            self.stop = min(range(len(stops)), key=lambda index: abs(stops[index] - wanted))
