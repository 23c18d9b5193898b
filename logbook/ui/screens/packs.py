"""Packs: every pack by serial number; beside the list, where there is room, the one under the cursor."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.reports.pack_plots import capacity_plot
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens import pack_lines
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.fitting import ask_fitting
from logbook.ui.screens.pack_adding import ask_addition
from logbook.ui.screens.papers import ask_paper
from logbook.ui.screens.plan_lines import AID
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.line_list import LineList
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView
from logbook.ui.widgets.record_table import RecordTable

if TYPE_CHECKING:
    from logbook.services.pack_lines import PackLine
    from logbook.services.pack_view import PackView

SETTLE_S = 0.15
"""The detail waits until the cursor rests so long [s]."""
_WORKING = "Adding up the record of every pack …"


def _soh(line: PackLine) -> str:
    value = line.reading.soh_pct if line.reading.soh_pct is not None else line.row["soh_pct"]
    return "" if value is None else f"{value:g}"


def _sign(line: PackLine) -> tuple[str, str]:
    return ("‼", "error") if line.row["grounded"] else ("", "")


def _worn(line: PackLine) -> str:
    return "error" if line.limit_reached else ""


def _tone(line: PackLine) -> str:
    return "error" if line.row["grounded"] else ""


COLUMNS: tuple[Column[PackLine], ...] = (
    Column("serial", "Pack", lambda p: p.serial_no, 8, most=16),
    Column("state", "State", lambda p: p.state, 11, tone=_tone),
    Column("place", "Where", lambda p: p.place, 12, most=18, priority=1),
    Column("charge", "Charge read", lambda p: p.charge, 18, most=20),
    Column("soh", "SOH %", _soh, 5, right=True, priority=3),
    Column("limit", "First limit", lambda p: p.first_limit_short, 17, most=18, priority=2, tone=_worn),
    Column("hours", "Hours", lambda p: f"{p.row['time_in_service_hours']:.1f}", 6, right=True, priority=4),
    Column(
        "cycles",
        "Cycles",
        lambda p: f"{p.row['equivalent_cycles_discharge']:.1f}",
        6,
        right=True,
        priority=5,
    ),
    Column("usable", "Usable kWh", lambda p: p.usable, 19, priority=6),
)


class PacksScreen(BookScreen):
    """The list; Enter opens a pack, g its plots, u its figures."""

    NAME = "packs"
    SECTION = "packs"
    HEADING = "Packs"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "packs.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("packs")]

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[PackLine] = []
        self._settling: Timer | None = None

    def body(self) -> Iterable[Widget]:
        """The table; beside it the pack one is on."""
        with Horizontal(id="sides"):
            yield RecordTable(COLUMNS, sign=_sign, empty=_WORKING, id="packs")
            with Vertical(id="beside"):
                beside = LineList(id="lines")
                beside.can_focus = False
                yield beside
                plot = PlotView(capacity_plot((), None), id="capacity")
                plot.can_focus = False
                yield plot
        yield PlainText("", id="under")
        yield PlainText(AID, id="advice")

    # -- what is shown ---------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Asks for the list."""
        self.ask("packs", lambda desk: desk.packs.lines(), self.show_lines)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """The list is the screen: a box. What stands beside it only says so."""
        if topic == "packs":
            self.trouble(error, "The packs could not be read")
        else:
            self.query_one("#lines", LineList).show_failure(error)

    def show_lines(self, lines: list[PackLine]) -> None:
        """The rows; the cursor stays on its pack."""
        table = self.query_one(RecordTable)
        table.empty = "No pack is in the book yet: a adds one."
        same = [line.serial_no for line in self.lines] == [line.serial_no for line in lines]
        here = self.line
        self.lines = lines
        table.show(ListRows(lines), range(len(lines)))
        if here is not None and not same:
            places = [number for number, line in enumerate(lines) if line.serial_no == here.serial_no]
            if places:
                table.go_to(places[0])
        self._settle()

    @property
    def line(self) -> PackLine | None:
        """The pack one is on."""
        place = self.query_one(RecordTable).record
        return self.lines[place] if place is not None and place < len(self.lines) else None

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """Shows the pack beside the list once the cursor rests."""
        event.stop()
        self._settle()
        if self.line is not None:
            self.query_one("#under", PlainText).show(pack_lines.under(self.line))

    def on_resize(self, _: events.Resize) -> None:
        """The detail is there where there is room."""
        self._settle()

    def _settle(self) -> None:
        if self._settling is not None:
            self._settling.stop()
        if self.roomy:
            self._settling = self.set_timer(SETTLE_S, self._show_beside)

    def _show_beside(self) -> None:
        line = self.line
        if line is None or not self.is_current:
            return
        serial = line.serial_no
        self.query_one("#lines", LineList).show(pack_lines.beside(line))
        self.ask("beside", lambda desk: desk.packs.view(serial), self._show_plot)

    def _show_plot(self, view: PackView) -> None:
        line = self.line
        if line is not None and line.serial_no == view.row["serial_no"]:
            plot = capacity_plot(view.detail["capacity"]["history"], view.kwh_at_limit, view.breaks)
            self.query_one("#capacity", PlotView).show(plot)
            self.query_one("#lines", LineList).show(pack_lines.beside(line, view))

    # -- keys ------------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the pack."""
        event.stop()
        self.action_open()

    def _open_pack(self, part: str) -> None:
        if self.line is not None:
            from logbook.ui.screens.pack import PackScreen

            self.app.push_screen(PackScreen(self.line.serial_no, part))

    def action_open(self) -> None:
        """Opens the pack one is on."""
        self._open_pack("")

    def action_plot(self) -> None:
        """Opens the plots of the pack one is on."""
        self._open_pack("plot")

    def action_figures(self) -> None:
        """Opens the figures of the pack one is on."""
        self._open_pack("figures")

    def action_add(self) -> None:
        """Writes something down about the pack one is on, or a new pack."""
        ask_addition(self, "" if self.line is None else self.line.serial_no, new_pack=True)

    def action_fitting(self) -> None:
        """Fits, removes, swaps, or says the state."""
        ask_fitting(self, "" if self.line is None else self.line.serial_no)

    def action_write_file(self) -> None:
        """Writes the record of the pack one is on as a paper."""
        if self.line is not None:
            ask_paper(self, "pack", self.line.serial_no)
