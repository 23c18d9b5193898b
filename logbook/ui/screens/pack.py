"""One pack: may it fly, may it be charged, what is left of its life, and its plots."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens import pack_lines
from logbook.ui.screens.answering import KINDS, answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.changing import ChangesRecords
from logbook.ui.screens.charging_now import ask_charging
from logbook.ui.screens.fitting import ask_fitting
from logbook.ui.screens.pack_adding import ask_addition
from logbook.ui.screens.pack_plotting import estimates, plots_of
from logbook.ui.screens.papers import ask_paper
from logbook.ui.screens.plan_lines import AID
from logbook.ui.widgets.estimate_bar import EstimateBar
from logbook.ui.widgets.line_list import Line, LineList
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView

if TYPE_CHECKING:
    from logbook.reports.plot import Plot
    from logbook.services.pack_view import PackView

_WORKING: Final = (Line(body="Working out what the record says …", tone="grey"),)
LABEL: Final = 17
"""Width of the labels of the estimates [cells]."""


class PackScreen(ChangesRecords, BookScreen):
    """Lines that can be opened, and plots: beside them where there is room, else in their place."""

    NAME = "pack"
    SECTION = "packs"
    HEADING = "Pack"
    AUTO_FOCUS = "#lines"
    CSS_PATH = STYLES / "pack.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("pack")]
    kind = "pack"

    def __init__(self, serial_no: str, part: str = "") -> None:
        """A pack.

        Args:
            serial_no: its serial number.
            part: what is shown first where there is no room for all: plot or figures; empty: the lines.
        """
        super().__init__()
        self.record_id = serial_no
        self.shown: dict[str, Any] = {}
        self.view: PackView | None = None
        self._figures = part == "figures"
        self._first_plot = part == "plot"
        self._plots: list[Plot] = []
        self._at = 0
        self._charging: list[str] | None = None

    def heading(self) -> str:
        """Its serial number."""
        return f"Pack {self.record_id}"

    def body(self) -> Iterable[Widget]:
        """State, capacity, lines and plot."""
        yield PlainText("", id="glance")
        yield Vertical(id="estimates")
        with Horizontal(id="sides"):
            yield LineList(id="lines")
            with Vertical(id="pane"):
                yield PlotView(plots_of(None)[0], id="plot")
                yield PlainText("", id="which")
        yield PlainText(AID, id="advice")

    # -- what is shown ---------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Reads the record of the pack; what follows from it comes from a thread."""
        self.shown = self.desk.show("pack", self.record_id)
        if self.view is None:
            self.query_one("#lines", LineList).show(_WORKING)
        if self._first_plot:
            self._first_plot = False
            self.add_class("plotting")
            self.query_one("#plot", PlotView).focus()
        serial = self.record_id
        self.ask("view", lambda desk: desk.packs.view(serial), self.show_view)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """What cannot be worked out is said in its place."""
        if topic == "view":
            self.query_one("#lines", LineList).show_failure(error)
        else:
            self.trouble(error)

    def show_view(self, view: PackView) -> None:
        """Shows the answer."""
        self.view = view
        self.call_later(self._show_estimates, view)
        glance = self.query_one("#glance", PlainText)
        struck = "Struck out: it counts nowhere. Restore it with d. " if self.shown["struck"] else ""
        glance.show(struck + pack_lines.glance(view.row))
        glance.set_class(bool(view.row["grounded"]), "grounded")
        self._plots = plots_of(view)
        self._show_plot()
        self._show_lines()

    async def _show_estimates(self, view: PackView) -> None:
        box = self.query_one("#estimates", Vertical)
        async with box.batch():
            await box.remove_children()
            await box.mount_all(
                EstimateBar(line, label_width=LABEL, figures_width=34) for line in estimates(view)
            )

    def _show_lines(self) -> None:
        if self.view is None:
            return
        if self._figures:
            from logbook.ui.screens.pack_figures import figures

            lines = figures(self.view)
        else:
            view = self.view if self._charging is None else self.view._replace(charging=self._charging)
            lines = pack_lines.whole(view, self.desk.changes_of(self.shown), asked=self._charging is not None)
        self.query_one("#lines", LineList).show(lines)

    def _show_plot(self) -> None:
        if self._plots:
            self.query_one("#plot", PlotView).show(self._plots[self._at])
            words = f"Plot {self._at + 1} of {len(self._plots)}: g shows the next; left and right read it"
            self.query_one("#which", PlainText).show(words)

    # -- keys ------------------------------------------------------------------------------------------------------------

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens the flight, charge, defect, entry or observation of a line."""
        event.stop()
        self.logbook.open_record(*event.target)

    def action_plot(self) -> None:
        """The next plot; in a narrow window, after the last one the lines again."""
        plot = self.query_one("#plot", PlotView)
        if not self.has_class("plotting"):
            self.add_class("plotting")
        elif self._at + 1 < len(self._plots) or self.roomy:
            self._at = (self._at + 1) % max(1, len(self._plots))
        else:
            self._to_lines()
            return
        self._show_plot()
        plot.focus()

    def _to_lines(self) -> None:
        self._at = 0
        self.remove_class("plotting")
        self._show_plot()
        self.query_one("#lines", LineList).focus()

    def action_figures(self) -> None:
        """The figures behind it, or the pack again."""
        self._figures = not self._figures
        self.remove_class("plotting")
        lines = self.query_one("#lines", LineList)
        self._show_lines()
        lines.focus()
        lines.scroll_home(animate=False)

    def action_versions(self) -> None:
        """To its states and the changes of its record, at the end."""
        if self._figures:
            self.action_figures()
        self.remove_class("plotting")
        self.query_one("#lines", LineList).scroll_end(animate=False)

    def action_back(self) -> None:
        """From a plot or the figures to the pack, from there to where one came from."""
        if self.has_class("plotting"):
            self._to_lines()
        elif self._figures:
            self.action_figures()
        else:
            self.dismiss()

    def action_answer(self) -> None:
        """Answers the flag one is on, or one of the record one is on."""
        lines = self.query_one("#lines", LineList)
        target = lines.target
        if target and target[0] in KINDS:
            answer_flag(self, target[1], lines.words, kind=target[0])
        else:
            words = "Go to a line about a flight, a charge, an observation or an entry first."
            self.notify(words, markup=False)

    def action_add(self) -> None:
        """Writes something down about it."""
        ask_addition(self, self.record_id)

    def action_fitting(self) -> None:
        """Fits, removes, swaps it, or says its state."""
        ask_fitting(self, self.record_id)

    def action_charge_now(self) -> None:
        """May it be charged now, with what is read at the charger?"""
        ask_charging(self, self.record_id)

    def show_charging(self, sentences: list[str]) -> None:
        """The answer for what was read at the charger, until the screen is left."""
        self._charging = sentences
        self._figures = False
        self._to_lines()
        self._show_lines()
        self.query_one("#lines", LineList).scroll_home(animate=False)

    def action_write_file(self) -> None:
        """Writes its record as a paper."""
        ask_paper(self, "pack", self.record_id)
