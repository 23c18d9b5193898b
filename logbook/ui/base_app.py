"""What every app of ours begins with: the looks, the base style sheet, the widths, and the crash guard."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from logbook.ui.key_bytes import forgiving
from logbook.ui.key_order import KeysInOrder
from logbook.ui.theme import DEFAULT_THEME, VARIABLE_DEFAULTS, themes

if TYPE_CHECKING:
    from textual.driver import Driver

STYLES = Path(__file__).parent / "styles"
WIDE: Final = 120
"""From this width on a detail stands beside a list [cells]."""


class Merged(LineFilter):
    """Joins neighbours of the same style: each part of a line costs its colours anew, forty bytes and more."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - the library's
        """The same line in as few parts as show it."""
        return list(Segment.simplify(segments))


class BaseApp(KeysInOrder[Any]):
    """An app with our looks. It has no chords and no animation, and an idle screen writes nothing."""

    CSS_PATH: ClassVar[Any] = [STYLES / "base.tcss"]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-normal"), (WIDE, "-wide")]  # noqa: RUF012 - declared so by the library
    VERTICAL_BREAKPOINTS = [(0, "-low"), (30, "-tall")]  # noqa: RUF012 - declared so by the library
    ENABLE_COMMAND_PALETTE = False  # opened by our own key, filled from the table of actions

    def __init__(self, *, theme: str = DEFAULT_THEME, ascii_only: bool = False) -> None:
        super().__init__()
        self.ascii_only = ascii_only
        """Draw with plain letters: consoles whose font has no braille and no box lines."""
        self._merged = Merged()
        self.animation_level = "none"
        for look in themes():
            self.register_theme(look)
        self.theme = theme

    def refresh_css(self, animate: bool = True) -> None:
        """Applies the looks anew. Before there is a screen they only have to be known: the sheets are read afterwards."""
        if self.screen_stack:
            super().refresh_css(animate)
        else:
            self.stylesheet.set_variables(self.get_css_variables())

    def get_driver_class(self) -> type[Driver]:
        """The platform's own, which here reads any bytes."""
        return forgiving(super().get_driver_class())

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What every line passes on its way to the terminal: the library's filters, then plain letters where wanted."""
        ours = [self._merged, self._letters] if self.ascii_only else [self._merged]
        return [*super().get_line_filters(), *ours]

    @cached_property
    def _letters(self) -> LineFilter:
        """One and the same for every line: what is drawn is kept by its filters."""
        from logbook.ui.plain_letters import PlainLetters

        return PlainLetters()

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Our own names for looks that do not define them."""
        return VARIABLE_DEFAULTS
