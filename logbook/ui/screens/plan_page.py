"""All of a plan's answer: the profile, and below it the page as it is printed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from logbook.reports.plan_plot import plan_profile
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.copying import send_to_terminal, write_to_file
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.plan_lines import AID
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView


class PlanPageScreen(BookScreen):
    """Shows one answer; left and right read the profile once Tab leads to it."""

    NAME = "plan-page"
    SECTION = "plan"
    HEADING = "Plan"
    AUTO_FOCUS = "VerticalScroll"
    CSS_PATH = STYLES / "plan_page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("plan-page")]

    def __init__(self, title: str, shown: dict[str, Any]) -> None:
        """The page of an answer.

        Args:
            title: what is planned.
            shown: the answer as plain values.
        """
        super().__init__()
        self._title, self._shown = title, shown

    def heading(self) -> str:
        """What is planned."""
        return self._title

    def body(self) -> Iterable[Widget]:
        """Profile and page."""
        yield PlotView(plan_profile(self._shown), id="profile")
        with VerticalScroll():
            yield PlainText(self.page, id="page")
        yield PlainText(AID, id="aid")

    @property
    def page(self) -> str:
        """The page as text."""
        return self.desk.planning.text(self._title, self._shown)

    def action_copy(self) -> None:
        """Sends the page to the terminal's clipboard."""
        self.notify(send_to_terminal(self.app, self.page), markup=False)

    def action_write_file(self) -> None:
        """Writes the page to a file."""
        from logbook.paths import state_folder

        try:
            path = write_to_file(self.page, state_folder(), "plan")
        except OSError as error:
            self.notify(f"Could not be written: {error.strerror}.", severity="warning", markup=False)
        else:
            self.notify(f"Written to {path}", markup=False, timeout=10)
