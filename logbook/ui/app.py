"""The app: holds the desk and switches between sections."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.screen import Screen

from logbook.services.desk import Desk
from logbook.services.drafts import Draft
from logbook.ui.base_app import STYLES, BaseApp
from logbook.ui.crash import run_guarded
from logbook.ui.first_paint import arrived
from logbook.ui.hangup import watch
from logbook.ui.screens.base import BookScreen
from logbook.ui.sections import SECTION_SCREENS, record_screen
from logbook.ui.theme import DEFAULT_THEME, PALETTES

if TYPE_CHECKING:
    from logbook.services.unfinished import Entry


class LogbookApp(BaseApp):
    """The screens on one open book.

    Attributes:
        desk: all that screens may ask for or do.
    """

    TITLE = "logbook"
    CSS_PATH: ClassVar[Any] = [*BaseApp.CSS_PATH, STYLES / "today.tcss"]
    """The first screen's sheet is read with the common one: one that comes later has all of them read again."""

    def __init__(self, desk: Desk, *, first: str = "", sample_offered: bool = False) -> None:
        """The app, not yet running.

        Args:
            desk: on an open book.
            first: the section that is opened first; empty: Today, and the first start where the book is empty.
            sample_offered: whether the first start may offer the sample.
        """
        theme = desk.setting("theme", DEFAULT_THEME)
        super().__init__(
            theme=theme if theme in PALETTES else DEFAULT_THEME, ascii_only=bool(desk.setting("ascii"))
        )
        self.desk = desk
        self.sample_offered = sample_offered
        self._first = first
        self._backed_up: date | None = None

    def on_mount(self) -> None:
        """Opens the first screen."""
        if not self.is_headless:
            watch(self)
        if self._first:
            self.action_go(self._first)
        else:
            self.action_go("today")
            if self.desk.is_empty():
                self.first_start()
        self.call_after_refresh(arrived)

    # -- going about -----------------------------------------------------------------------------------------------

    def action_go(self, section: str) -> None:
        """Shows a section; what was open above it is closed, and what was said there is not said any longer."""
        target = self._section(section)
        if self.screen is not target:
            self.clear_notifications()
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if self.screen is target:
            return
        if len(self.screen_stack) == 2:
            self.switch_screen(section)
        else:
            self.push_screen(section)

    def _section(self, section: str) -> Screen[Any]:
        """The screen of a section, made when it is first wanted and then kept."""
        if not self.is_screen_installed(section):
            self.install_screen(SECTION_SCREENS[section].load()(), section)
        return self.get_screen(section)

    def open_record(self, kind: str, record_id: str) -> None:
        """Shows one record over what is open; Escape leads back."""
        self.push_screen(record_screen(kind, record_id, self.section_name))

    def new_record(
        self, kind: str, given: dict[str, Any] | None = None, then: Callable[[str | None], None] | None = None
    ) -> None:
        """Opens the form for a new record.

        Args:
            kind: the word for it, as in commands.
            given: what is expected in some fields, as values.
            then: is told the id of the new record, or None where none was entered.
        """
        from logbook.ui.screens.new_record import new_record_form

        self.push_screen(new_record_form(self, kind, given or {}), then)

    def go_on(self, draft: Draft) -> None:
        """Goes on with an entry that was begun and not saved."""
        if draft.kind == "flight":
            from logbook.services.unfinished import entry_of

            self.log_flight(entry_of(draft, self.desk.measures))
        elif draft.kind == "charge":
            self.action_go("charging")
        elif draft.record_id.split("\t")[0] == "new":
            from logbook.ui.screens.new_record import given_of

            self.new_record(draft.kind.removeprefix("form:"), given_of(draft.record_id))
        elif draft.kind == "form:first-start":
            from logbook.ui.screens.first_start import first_form

            first_form(self)
        elif draft.kind.startswith("form:upkeep-"):
            from logbook.ui.screens.upkeep_adding import go_on

            self.action_go("maintenance")
            go_on(self._section("maintenance"), draft)  # type: ignore[arg-type] # every section is a book screen
        else:
            self.open_record(draft.kind.removeprefix("form:"), draft.record_id)
            self.call_after_refresh(self.run_action, "screen.edit")

    def close_flight(self, flight_id: str) -> None:
        """Goes on with a flight that was opened before start."""
        self.log_flight(self.desk.go_on_with(flight_id))

    def log_flight(self, entry: Entry) -> None:
        """Goes on with a flight in the form that logs it."""
        screen = self._section("log")
        screen.wanted = entry  # type: ignore[attr-defined] # the screen that logs flights has it
        self.action_go("log")

    def plan_again(self, plan: dict[str, Any]) -> None:
        """Begins a plan with what a kept one says."""
        screen = self._section("plan")
        screen.wanted = plan  # type: ignore[attr-defined] # the screen that plans has it
        self.action_go("plan")

    def show_flagged(self, flag: str) -> None:
        """The flights with a flag, in the book of flights."""
        screen = self._section("flights")
        self.action_go("flights")
        self.call_after_refresh(screen.show_flagged, flag)  # type: ignore[attr-defined] # the section has it

    def first_start(self) -> None:
        """Asks how to begin."""
        from logbook.ui.screens.first_start import ask_first

        ask_first(self)

    def back_up_today(self) -> None:
        """Makes the backup of the day in a thread of its own, after something was entered; says so where it cannot."""
        from logbook.services import backups

        path, today = self.desk.book.path, backups.today()
        if self._backed_up == today:
            return
        self._backed_up = today

        def make() -> None:
            words = backups.daily(path)
            if words:
                self.call_from_thread(self.notify, words, severity="warning", timeout=30, markup=False)

        self.run_worker(make, thread=True, group="backup", exclusive=True, exit_on_error=False)

    @property
    def section_name(self) -> str:
        """The section that is open, whatever stands over it."""
        stack = self.screen_stack
        return stack[1].SECTION if len(stack) > 1 and isinstance(stack[1], BookScreen) else "today"

    def action_help_quit(self) -> None:
        """Replaces the library's words for Ctrl+C."""
        self.notify(
            "q leaves the logbook; in a form: F8, then Quit. Nothing is lost.", markup=False, timeout=6
        )


def run_app(path: Path, *, sample: Callable[[], Path] | None = None) -> int:
    """Opens the screens on the book at a path, which is made where it is missing. Returns the exit status.

    Args:
        path: the book.
        sample: makes a scratch copy of the sample and says where; None where it is not to be offered.

    Raises:
        LogbookError: the book cannot be opened.
    """
    from logbook.paths import state_folder

    desk = Desk.at(path)
    try:
        app = LogbookApp(desk, sample_offered=sample is not None)
        if sample is not None:  # the sample itself is a scratch copy
            desk.book.after_commit = app.back_up_today
        status = run_guarded(app, state_folder())
    finally:
        desk.book.close()
    if status == 0 and sample is not None and app.return_value is not None:
        return run_app(sample())  # the only thing the app ends with is the wish for the sample
    return status
