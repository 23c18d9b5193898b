"""An estimate as figures and as a bar on a scale: low, mid, high, and the handbook's value as a mark."""

from __future__ import annotations

from typing import ClassVar, NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from logbook.ui.widgets.plain import fit, wrap

ONE_LINE = 76
"""From this width on [cells], figures and bar share a line."""
LEAST_BAR = 12


class EstimateLine(NamedTuple):
    """What is known about one quantity. Without figures it says why there are none, and what would give some."""

    label: str
    unit: str
    low: float | None = None
    mid: float | None = None
    high: float | None = None
    n: int = 0
    """How many records stand behind it."""
    handbook: float | None = None
    decimals: int = 2
    because: str = ""
    """Why there are no figures, or how they were made."""
    beside: str = "handbook"
    """What the mark on the bar is called; empty: it is not said in words."""
    span: tuple[float, ...] = ()
    """Other values the scale must hold, so that bars of one quantity under each other share it."""

    @property
    def figures(self) -> str:
        """Low to high with the middle, unit and count, as text; the bar says nothing that is not here."""
        parts = []
        if self.low is not None and self.mid is not None and self.high is not None:
            parts.append(
                f"{self._said(self.mid)} {self.unit} ({self._said(self.low)} to {self._said(self.high)}), n {self.n}"
            )
        else:
            parts.append(self.because or "too few records")
        if self.handbook is not None and self.beside:
            parts.append(f"{self.beside} {self._said(self.handbook)}")
        return "; ".join(parts)

    def _said(self, value: float) -> str:
        """A figure with its decimals; what rounds to nothing has no sign."""
        return f"{round(value, self.decimals) + 0.0:.{self.decimals}f}"


class Signs(NamedTuple):
    """The letters of a bar."""

    scale: str
    low: str
    bar: str
    mid: str
    high: str
    handbook: str


DRAWN = Signs("·", "├", "─", "●", "┤", "◇")
TYPED = Signs(".", "[", "=", "O", "]", "H")


def bar(line: EstimateLine, width: int, signs: Signs) -> str:
    """The bar on a scale that holds the interval and the handbook's value, so many cells wide.

    Where two signs meet in a cell the middle speaks, then the handbook, then the ends. Empty without figures.
    """
    if line.low is None or line.mid is None or line.high is None or width < LEAST_BAR:
        return " " * width
    known = [line.low, line.mid, line.high, *line.span]
    if line.handbook is not None:
        known.append(line.handbook)
    first, last = min(known), max(known)
    room = (last - first) * 0.08 or abs(last) * 0.1 or 1.0
    first, last = first - room, last + room

    def cell(value: float) -> int:
        return round((value - first) / (last - first) * (width - 1))

    letters = [signs.scale] * width
    low, high = cell(line.low), cell(line.high)
    letters[low : high + 1] = [signs.bar] * (high - low + 1)
    letters[low], letters[high] = signs.low, signs.high
    if line.handbook is not None:
        letters[cell(line.handbook)] = signs.handbook
    letters[cell(line.mid)] = signs.mid
    return "".join(letters)


class EstimateBar(Widget):
    """Shows one estimate on one line where there is room, else on two."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"estimate-bar--label", "estimate-bar--bar"}
    DEFAULT_CSS = """
    EstimateBar { height: auto; padding: 0 1; color: $foreground; background: $background; }
    EstimateBar > .estimate-bar--label { color: $grey; }
    EstimateBar > .estimate-bar--bar { color: $text-accent; }
    """

    def __init__(
        self,
        line: EstimateLine,
        *,
        label_width: int = 14,
        figures_width: int = 0,
        id: str | None = None,  # noqa: A002 - the library's word
    ) -> None:
        """One estimate.

        Args:
            line: what to show.
            label_width: of the label [cells]; the same for bars that stand under each other.
            figures_width: of the figures [cells]; 0: as wide as they are.
            id: as everywhere in the library.
        """
        super().__init__(id=id)
        self.line = line
        self._label_width = label_width
        self._figures_width = figures_width

    def show(self, line: EstimateLine) -> None:
        """Shows another estimate."""
        self.line = line
        self.refresh(layout=True)

    def _figures(self, width: int) -> list[str]:
        """The figures in as many lines as they need beside the label."""
        lines = wrap(self.line.figures, max(1, width - self._label_width - 1))
        return [fit(lines[0], max(self._figures_width, cell_len(lines[0])))] if len(lines) == 1 else lines

    def _bar_beside(self, width: int, figures: list[str]) -> int:
        """Room for the bar on the line of the figures [cells]; 0: it goes below, or there is none."""
        if self.line.mid is None or len(figures) > 1 or width < ONE_LINE:
            return 0
        room = width - self._label_width - 1 - cell_len(figures[0]) - 2
        return room if room >= LEAST_BAR else 0

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - the library's signature
        """One line, or as many as the figures need and one for the bar [rows]."""
        figures = self._figures(width)
        below = self.line.mid is not None and not self._bar_beside(width, figures)
        return len(figures) + below

    def render_line(self, y: int) -> Strip:
        """Label and figures, then the bar, beside them or below."""
        width, base = self.size.width, self.rich_style
        ink = self.get_component_rich_style("estimate-bar--bar")
        signs = TYPED if getattr(self.app, "ascii_only", False) else DRAWN
        figures = self._figures(width)
        beside = self._bar_beside(width, figures)
        label = fit(self.line.label if y == 0 else "", self._label_width) + " "
        segments = [Segment(label, self.get_component_rich_style("estimate-bar--label"))]
        if y < len(figures):
            segments.append(Segment(figures[y], base))
            if beside:
                segments += [Segment("  ", base), Segment(bar(self.line, beside, signs), ink)]
        elif y == len(figures) and not beside:
            segments.append(Segment(bar(self.line, max(0, width - cell_len(label)), signs), ink))
        return Strip(segments).adjust_cell_length(width, base)
