"""The app: holds the desk and switches between sections."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from logbook.services.desk import Desk
from logbook.ui.base_app import BaseApp
from logbook.ui.crash import run_guarded
from logbook.ui.screens.base import BookScreen
from logbook.ui.sections import SECTION_SCREENS, record_screen
from logbook.ui.theme import DEFAULT_THEME, PALETTES


class LogbookApp(BaseApp):
    """The screens on one open book.

    Attributes:
        desk: all that screens may ask for or do.
    """

    TITLE = "logbook"

    def __init__(self, desk: Desk, *, first: str = "") -> None:
        """The app, not yet running.

        Args:
            desk: on an open book.
            first: the section that is opened first; empty: Today, or the first start where the book is empty.
        """
        theme = desk.setting("theme", DEFAULT_THEME)
        super().__init__(
            theme=theme if theme in PALETTES else DEFAULT_THEME, ascii_only=bool(desk.setting("ascii"))
        )
        self.desk = desk
        self._first = first

    def on_mount(self) -> None:
        """Opens the first screen."""
        if self._first:
            self.action_go(self._first)
        elif self.desk.is_empty():
            from logbook.ui.screens.first_start import FirstStart

            self.action_go("today")
            self.push_screen(FirstStart())
        else:
            self.action_go("today")

    # -- going about -----------------------------------------------------------------------------------------------

    def action_go(self, section: str) -> None:
        """Shows a section; what was open above it is closed."""
        if not self.is_screen_installed(section):
            self.install_screen(SECTION_SCREENS[section].load()(), section)
        target = self.get_screen(section)
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if self.screen is target:
            return
        if len(self.screen_stack) == 2:
            self.switch_screen(section)
        else:
            self.push_screen(section)

    def open_record(self, kind: str, record_id: str) -> None:
        """Shows one record over what is open; Escape leads back."""
        self.push_screen(record_screen(kind, record_id))

    @property
    def section(self) -> BookScreen | None:
        """The section that is open, whatever stands over it."""
        stack = self.screen_stack
        return stack[1] if len(stack) > 1 and isinstance(stack[1], BookScreen) else None

    def action_help_quit(self) -> None:
        """Replaces the library's words for Ctrl+C."""
        self.notify(
            "q leaves the logbook; in a form: F8, then Quit. Nothing is lost.", markup=False, timeout=6
        )


def run_app(path: Path, **options: Any) -> int:
    """Opens the screens on the book at a path, which is made where it is missing. Returns the exit status.

    Raises:
        LogbookError: the book cannot be opened.
    """
    from logbook.paths import state_folder

    desk = Desk.at(path)
    try:
        return run_guarded(LogbookApp(desk, **options), state_folder())
    finally:
        desk.book.close()
