"""Charging: the sessions, what is running, and whether each pack may be charged now and when it is full."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, ClassVar, Final, NamedTuple

from textual.binding import BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.desk import Desk
from logbook.services.unfinished import Entry, entry_of
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.answering import answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.charge_form import ChargeFormScreen
from logbook.ui.theme import SIGNS
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.units import hours_and_minutes, minutes_of, plain_number

Row = dict[str, Any]
_AID: Final = "Planning aid; the manuals, the charger's own protection and local rules decide."
NO_PACKS: Final = (
    "No pack is in the book: charges are kept by pack. To log and plan by the one gauge no charge is needed: "
    "type what it shows before each flight. Where you know a serial number, add one in Setup (s)."
)


class Sessions(NamedTuple):
    """Sessions as the table wants them: by their place in the list."""

    found: list[Row]

    def rows(self, ids: Sequence[int]) -> Mapping[int, Row]:
        """Some of them."""
        return {place: self.found[place] for place in ids if place < len(self.found)}


def _sign(row: Row) -> tuple[str, str]:
    worst = [flag["severity"] for flag in row["flags"] if not flag["answered"]]
    return next((SIGNS[severity] for severity in SIGNS if severity in worst), ("", ""))


def _took(row: Row) -> str:
    if row["ended"] is None:
        return "running"
    return hours_and_minutes(minutes_of(row["ended"]) - minutes_of(row["started"]))


def _filled(row: Row) -> str:
    """Charges from and to of each pack."""

    def number(value: float | None) -> str:
        return "?" if value is None else plain_number(value)

    packs = [f"{number(pack['soc_start_pct'])}-{number(pack['soc_end_pct'])}" for pack in row["packs"]]
    return f"{'  '.join(packs)} %"


def _packs(row: Row) -> str:
    return " ".join(str(pack["serial_no"]) for pack in row["packs"])


COLUMNS: Final[tuple[Column[Row], ...]] = (
    Column("day", "Day", lambda row: row["started"][:10], 10),
    Column("started", "UTC", lambda row: row["started"][11:16], 5),
    Column("took", "Took", _took, 7, right=True),
    Column("filled", "From-to", _filled, 14, most=30),
    Column("packs", "Packs", _packs, 11, most=40, priority=1),
    Column("kwh", "Meter kWh", lambda row: "" if row["meter_kwh"] is None else f"{row['meter_kwh']:.1f}", 9, right=True, priority=2),
    Column("charger", "Charger", lambda row: row["charger"] or "", 8, most=16, priority=2),
    Column("purpose", "Purpose", lambda row: row["purpose"] or "", 7, most=12, priority=3),
    Column("place", "Place", lambda row: row["place"] or "", 8, most=20, priority=4),
)  # fmt: skip


class ChargingScreen(BookScreen):
    """The list of sessions, and below it the answers for the packs of one aeroplane."""

    NAME = "charging"
    SECTION = "charging"
    HEADING = "Charging"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "charging.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("charging")]

    def __init__(self) -> None:
        super().__init__()
        self._sessions = Sessions([])
        self._words = ""
        self._saved = ""  # what the last entry came to
        self._go_to = ""  # the session that was entered last

    def body(self) -> Iterable[Widget]:
        """List and answers."""
        yield PlainText("", id="state")
        yield RecordTable[Row](COLUMNS, sign=_sign, empty="No charge yet: a enters one.", id="sessions")
        yield PlainText("", id="answers")

    # -- what is shown ----------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Asks for the sessions and the answers elsewhere: both read the whole history of the packs."""
        self._say("working …" if not self._sessions.found else "")
        words = self._words
        self.ask("sessions", lambda desk: _wanted(desk.charging.sessions(), words), self._show_sessions)
        planes = [value for value, _ in self.desk.charging.subjects()][:1]
        if planes:
            if not self._answers.content:
                self._answers.show(f"{planes[0]}: may it be charged, and when is it full? working …")
            self.ask("now", lambda desk: _answers(desk, planes[0]), self._answers.show)
        else:
            self._answers.show(NO_PACKS)

    @property
    def _answers(self) -> PlainText:
        return self.query_one("#answers", PlainText)

    def _show_sessions(self, found: list[Row]) -> None:
        table = self.query_one("#sessions", RecordTable)
        at = self._go_to or self._charge_id
        self._go_to = ""
        self._sessions = Sessions(found)
        table.empty = (
            "No charge is like that; Esc shows all." if self._words else "No charge yet: a enters one."
        )
        table.show(self._sessions, list(range(len(found))))
        place = next((place for place, row in enumerate(found) if row["charge_id"] == at), None)
        if place is not None:
            table.go_to(place)
        self._say("")

    def _say(self, words: str) -> None:
        running = [row for row in self._sessions.found if row["ended"] is None]
        parts = [part for part in (words, self._saved) if part]
        if self._words:
            parts.append(f"narrowed to '{self._words}' (Esc shows all)")
        if running:
            packs = ", ".join(pack["serial_no"] for pack in running[0]["packs"])
            parts.append(f"running since {running[0]['started'][11:16]} UTC: {packs} (Enter on it ends it)")
        unfinished = [draft for draft in self.desk.unfinished() if draft.kind == "charge"]
        if unfinished:
            parts.append("an entry is unfinished (a goes on with it)")
        shown = " · ".join(parts) or "Sessions, newest first"
        self.query_one("#state", PlainText).show(shown)

    @property
    def _charge_id(self) -> str | None:
        record = self.query_one("#sessions", RecordTable).record
        found = self._sessions.found
        return None if record is None or record >= len(found) else str(found[record]["charge_id"])

    # -- keys -------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the session; one that is running is ended."""
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Opens the session one is on; one that is running is ended."""
        charge_id = self._charge_id
        if charge_id is None:
            return
        try:
            if any(row["charge_id"] == charge_id for row in self.desk.charging.running()):
                self._enter(self.desk.charging.go_on_with(charge_id))
            else:
                self.logbook.open_record("charge", charge_id)
        except LogbookError as error:
            self.trouble(error)

    def action_add(self) -> None:
        """Enters a charge; asks first where one is running or unfinished."""
        charging = self.desk.charging
        subjects = charging.subjects()
        if not subjects:
            self.query_one("#state", PlainText).show(NO_PACKS)
            return
        drafts = {draft.record_id: draft for draft in self.desk.unfinished() if draft.kind == "charge"}
        picks = [Pick(f"draft:{key}", f"Go on: {draft.about}", f"last key {draft.changed[:10]} {draft.changed[11:16]} UTC")
                 for key, draft in drafts.items()]  # fmt: skip
        picks += [
            Pick(f"end:{row['charge_id']}", f"End the charge of {', '.join(row['packs'])}", f"running since {row['started'][11:16]} UTC")
            for row in charging.running() if row["charge_id"] not in drafts
        ]  # fmt: skip
        if not picks:
            self._enter(charging.begin(subjects[0][0]))
            return
        picks += [Pick(f"new:{value}", f"A new charge of {words}") for value, words in subjects]
        picks += [Pick(f"drop:{key}", f"Throw away: {draft.about}") for key, draft in drafts.items()]

        def picked(value: str | None) -> None:
            what, _, rest = (value or "").partition(":")
            if what == "draft":
                self._enter(entry_of(drafts[rest], self.desk.measures))
            elif what == "end":
                self._enter(charging.go_on_with(rest))
            elif what == "new":
                self._enter(charging.begin(rest))
            elif what == "drop":
                self.desk.drafts.drop(drafts[rest])
                self.refill()

        self.app.push_screen(
            PickBox("Enter a charge", picks, hint="Enter takes the first, arrows choose, Esc leaves."), picked
        )

    def _enter(self, entry: Entry) -> None:
        def entered(flags: list[Row] | None) -> None:
            if flags is not None:
                self._go_to = entry.flight_id
                found = dict.fromkeys(self.desk.measures.sentence(str(flag["words"])) for flag in flags)
                self._saved = " ".join(["Saved.", *(f"! {words}" for words in found)])
                self.refill()

        self._saved = ""
        self.app.push_screen(ChargeFormScreen(entry), entered)

    def action_answer(self) -> None:
        """Answers a flag of the session one is on."""
        charge_id = self._charge_id
        if charge_id is not None:
            answer_flag(self, charge_id, kind="charge")

    def action_find(self) -> None:
        """Narrows the list to a word."""
        names = sorted({str(pack["serial_no"]) for row in self._sessions.found for pack in row["packs"]})
        picks = [Pick(name, name) for name in names]

        def picked(value: str | None) -> None:
            if value is not None:
                self._words = value
                self.refill()

        self.app.push_screen(PickBox("Narrow the list of charges", picks, free="Holding"), picked)

    def action_back(self) -> None:
        """Shows all sessions again; else to Today."""
        if self._words:
            self._words = ""
            self.refill()
        else:
            super().action_back()


def _wanted(found: list[Row], words: str) -> list[Row]:
    """Sessions in which a word occurs: pack, charger, place, purpose or day."""
    if not words:
        return found
    low = words.casefold()

    def holds(row: Row) -> bool:
        texts = [
            row["started"],
            row["place"],
            row["charger"],
            row["purpose"],
            *(pack["serial_no"] for pack in row["packs"]),
        ]
        return any(low in str(text).casefold() for text in texts if text)

    return [row for row in found if holds(row)]


def _answers(desk: Desk, subject: str) -> str:
    asked = [(serial, position or serial, None) for serial, position in desk.charging.packs_of(subject)]
    return "\n".join([f"{subject}, {_now(desk)}:", *desk.charging.answers(asked), _AID])


def _now(desk: Desk) -> str:
    now = desk.clock()
    return f"{now[:10]} {now[11:16]} UTC"
