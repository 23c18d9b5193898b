"""What the screens of maintenance ask for and do: the board, short forms, and what they write."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.services.upkeep_words import DIRECTIVE
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.services.plain_form import PlainForm
    from logbook.services.upkeep_flags import UpkeepFlag

Row = dict[str, Any]


class Board(NamedTuple):
    """How maintenance stands.

    Attributes:
        defects: not closed, open ones first, newest first.
        due: by date and by use, the nearest first; without what people hold.
        entries: newest first.
        components: parts that are fitted, with their time.
        aircraft: registration to total time and landings and how they were counted.
        flags: of observations and entries, the newest first, answered ones too.
        waiting: packs that passed a limit and that nobody has looked at since, with what they wait for.
    """

    defects: list[Row]
    due: list[Row]
    entries: list[Row]
    components: list[Row]
    aircraft: dict[str, Row]
    waiting: list[Row]
    flags: list[UpkeepFlag]

    def of(self, thing: str) -> Board:
        """Only what is about one aeroplane or pack."""

        def mine(rows: list[Row]) -> list[Row]:
            names = ("of", "aircraft", "serial_no")
            return [row for row in rows if any(row.get(name) == thing for name in names)]

        aircraft = {name: total for name, total in self.aircraft.items() if name == thing}
        return Board(
            mine(self.defects),
            mine(self.due),
            mine(self.entries),
            mine(self.components),
            aircraft,
            mine(self.waiting),
            [flag for flag in self.flags if thing in (flag.aircraft, flag.serial_no)],
        )


class UpkeepDesk:
    """The part of the desk for maintenance.

    Args:
        book: the open book.
        clock: what time it is (UTC, stored form).
        operator: who is at the keys.
        learned: what was worked out and may be used again while the book stays as it is.
    """

    def __init__(
        self,
        book: Book,
        clock: Callable[[], str],
        operator: str | None,
        learned: dict[str, Any] | None = None,
    ) -> None:
        self.book, self.clock, self.operator = book, clock, operator
        self.learned = {} if learned is None else learned

    def known_soon(self) -> list[Row] | None:
        """What runs out by use before long, if it was worked out since the book changed last."""
        from logbook.services.due_soon import known_soon

        return known_soon(self.book, self.clock()[:10], self.learned)

    def soon(self) -> list[Row]:
        """What runs out by use before long (slow: to be called elsewhere)."""
        from logbook.services.due_soon import learn_soon
        from logbook.services.today import SOON_DAYS

        return learn_soon(self.book, self.clock()[:10], SOON_DAYS, self.learned)

    def board(self) -> Board:
        """How maintenance stands (slow: to be called elsewhere)."""
        from logbook.services.due_by_use import all_due
        from logbook.services.freshness import freshen
        from logbook.services.maintenance import aircraft_totals, component_rows
        from logbook.services.upkeep_flags import listed_flags
        from logbook.store.records import Records

        freshen(self.book)
        totals = aircraft_totals(self.book)
        defects = Records(self.book, "defect").select(
            "struck = 0 AND state <> 'closed'", order="state DESC, found DESC"
        )
        entries = Records(self.book, "maintenance").select("struck = 0", order="completed DESC, n DESC")
        return Board(
            [row for _, row in defects],
            [item for item in all_due(self.book) if item["kind"] != "person-item"],
            [row for _, row in entries],
            [row for row in component_rows(self.book, totals) if row["removed"] is None],
            totals,
            self._waiting(),
            listed_flags(self.book),
        )

    def _waiting(self) -> list[Row]:
        from logbook.services.waiting import waiting_packs

        found = waiting_packs(self.book, self.clock())
        newest = sorted(found, key=lambda serial: found[serial].date, reverse=True)
        return [{"serial_no": one, "date": found[one].date, "words": found[one].words} for one in newest]

    def things(self) -> list[str]:
        """Aeroplanes and packs, by name."""
        from logbook.services.record_form import names_of

        return [*names_of(self.book, "aircraft"), *names_of(self.book, "pack")]

    # -- defects -------------------------------------------------------------------------------------------------------

    def defect_form(self, of: str = "") -> PlainForm:
        """The form for a defect that was noticed."""
        from logbook.services.upkeep_forms import defect_form

        return defect_form(self.book, self.clock(), of)

    def add_defect(self, values: Mapping[str, Any], of: str = "") -> str:
        """Records a defect. Returns what follows from it, in words.

        Raises:
            DataRefused: it cannot be; nothing was written then.
        """
        from logbook.services.add import add

        given = {name: value for name, value in values.items() if value is not None}
        thing = of or given.pop("of")
        record = {"found": self.clock(), "found_by": self.operator} | self._about(thing) | given
        kept = {name: value for name, value in record.items() if value is not None}
        add(self.book, "defect", kept, by=self.operator, clock=self.clock)
        if record["needs_inspection"]:
            return f"{thing} is grounded: inspection before next use, until a maintenance entry closes the defect."
        return f"Defect of {thing} recorded."

    def defer_form(self, defect: Mapping[str, Any]) -> PlainForm:
        """The form that puts a defect off."""
        from logbook.services.upkeep_forms import defer_form

        return defer_form(defect, self.clock())

    def defer(self, defect: Mapping[str, Any], values: Mapping[str, Any]) -> str:
        """Puts a defect off as such a form says. Returns what was done, in words.

        Raises:
            ChangedMeanwhile: somebody else changed it since it was shown.
        """
        from logbook.services.correct import correct

        why = f"deferred by {values['deferred_by']}: {values['deferred_basis']}"
        changes = {"state": "deferred", **values}
        correct(
            self.book,
            "defect",
            defect["defect_id"],
            changes,
            by=self.operator,
            why=why[:200],
            seen=defect["token"],
        )
        return f"Deferred until {values['deferred_until']}."

    # -- entries -------------------------------------------------------------------------------------------------------

    def entry_form(self, work: str, of: str = "", defect: str = "") -> PlainForm:
        """The form for a maintenance entry of one kind of work, which may close a defect."""
        from logbook.services.upkeep_forms import entry_form

        return entry_form(self.book, work, self.clock(), of, defect)

    def add_entry(
        self, work: str, values: Mapping[str, Any], of: str = "", defect: str = ""
    ) -> tuple[Row, str]:
        """Records what was done, closes the defect and ends the quarantine where that is said.

        Returns: The entry, and what was done in words.

        Raises:
            DataRefused: it cannot be; nothing was written then.
        """
        from logbook.services.due_after import as_total
        from logbook.services.due_again import due_again, no_longer_due
        from logbook.services.maintenance_entry import record_entry
        from logbook.services.upkeep_flags import upkeep_flags

        given = {name: value for name, value in values.items() if value is not None}
        release = bool(given.pop("release", 0))
        thing = of or given.pop("of")
        if work == DIRECTIVE:
            given["work"] = f"{DIRECTIVE} {given['work']}"
        entry = {"work": work, "completed": self.clock()} | self._about(thing) | given
        if defect:
            entry["closes_defect"] = defect
        entry = as_total(self.book, entry)
        ended = no_longer_due(self.book, entry)
        entry_id, done = record_entry(self.book, entry, by=self.operator, release=release, clock=self.clock)
        words = "; ".join([f"Entry recorded for {thing}", *done, *due_again(entry)])
        noticed = [flag["words"] for flag in upkeep_flags(self.book).get(("maintenance", entry_id), [])]
        return entry | {"entry_id": entry_id}, " ".join([f"{words}.", *noticed, *ended])

    def start_anew(self, entry: Mapping[str, Any]) -> str:
        """Lets the estimates of a pack start anew from the completion of a work. Returns what was done, in words."""
        from logbook.services.add import add

        seen = {
            "serial_no": entry["serial_no"],
            "at": entry["completed"],
            "baseline_break": f"{entry['work']}: {entry['text']}",
        }
        add(self.book, "observation", seen, by=self.operator, clock=self.clock)
        return f"Estimates and rules about {entry['serial_no']} start anew at {entry['completed'][:10]}."

    def _about(self, thing: str) -> Row:
        from logbook.services.record_form import names_of

        return {"aircraft" if thing in names_of(self.book, "aircraft") else "serial_no": thing}
