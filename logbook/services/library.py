"""The library face: a book as an object, for notebooks and scripts. `from logbook import open_logbook`.

Every method is what the command of the same name does, with the same words for fields and the same refusals
(`docs/interface.md`); what a command prints as JSON a method returns as plain values. Energies are in kWh, charges in
percent of what a pack holds that day, times in minutes unless a name says otherwise; instants are UTC.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from logbook.store.database import Book
from logbook.store.flights import FlightFilter

if TYPE_CHECKING:
    from logbook.services.add import Added
    from logbook.services.correct import Corrected

Row = dict[str, Any]


class Logbook:
    """One open book. Close it, or use it in a `with` statement.

    Every method may raise a `logbook.errors.LogbookError`, which says what is wrong and what to do; a refusal leaves
    the book as it was.
    """

    def __init__(self, book: Book, by: str | None = None) -> None:
        """A book that is open.

        Args:
            book: the open book.
            by: the name under which entries and corrections are kept; absent: the operator set in the book.
        """
        from logbook.services.freshness import freshen

        self._book = book
        self.by = by
        freshen(book)

    @property
    def path(self) -> Path:
        """Where the file is."""
        return self._book.path

    def close(self) -> None:
        """Lets go of the file; what was entered is on the disk already."""
        self._book.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- looking ----------------------------------------------------------------------------------------------------

    def flights(
        self,
        *,
        since: str | None = None,
        until: str | None = None,
        aircraft: str | None = None,
        person: str | None = None,
        pack: str | None = None,
        flag: str | None = None,
        text: str | None = None,
        kind: str | None = None,
        outcome: str | None = None,
        limit: int | None = None,
    ) -> Iterator[Row]:
        """Flights that meet every condition given, newest first, each with `readings`, `derived` and `flags`.

        Args:
            since: first local day, `YYYY-MM-DD`; `until` the last.
            until: last local day.
            aircraft: registration.
            person: as pilot, second person or crew.
            pack: serial number.
            flag: a rule's id, or `any` for flights with a flag nobody answered.
            text: words in remarks, exercise, debrief or places.
            kind: circuits, local, cross-country, ferry or check.
            outcome: flown, ground-run, aborted, rejected or device.
            limit: so many at most.
        """
        from logbook.services.questions import list_flights

        wanted = FlightFilter(since, until, aircraft, person, pack, flag, text, kind, outcome, limit=limit)
        return list_flights(self._book, wanted)

    def records(self, kind: str) -> list[Row]:
        """Every record of a kind other than flights, such as `aircraft`, `packs`, `people`, `charges` or `defects`."""
        from logbook.services.questions import list_records

        return list(list_records(self._book, kind, FlightFilter()))

    def show(self, kind: str, record_id: str) -> Row:
        """One record whole: recorded, derived, flagged, and every earlier state under `versions`."""
        from logbook.services.questions import show

        return show(self._book, kind, record_id)

    def packs(self, as_of: str | None = None) -> list[Row]:
        """Where every pack stood on a day (default: now): hours, cycles, capacity, limits; a row a pack."""
        from logbook.services.pack_status import pack_rows

        return pack_rows(self._book, as_of)[1]

    def rates(self, aircraft: str) -> Row:
        """What flying costs an aeroplane [kWh, kWh/1000 ft, kWh/min], with the handbook beside it."""
        from logbook.services.estimates import rates_of

        return rates_of(self._book, aircraft)

    def capacity(self, serial_no: str) -> Row:
        """Usable capacity of a pack as flown [kWh]: low, mid, high, where it comes from, and its history."""
        from logbook.services.estimates import capacity_of

        return capacity_of(self._book, serial_no)

    def forecasts(self, aircraft: str) -> Row:
        """How good the forecasts of an aeroplane were [points of charge], with a row for each flight and pack."""
        from logbook.services.estimates import forecasts_of

        return forecasts_of(self._book, aircraft, rows=True)

    def plan(self, inputs: Mapping[str, Any]) -> Row:
        """The answer to a plan; it `fits`, `does_not_fit`, or the book `cannot_tell`. Nothing is written."""
        from logbook.services.plan import plan_flight

        return plan_flight(self._book, dict(inputs)).to_json()

    def totals(self, person: str, until: str | None = None) -> Row:
        """What a person flew [min], by function, night, class and type."""
        from logbook.services.people import totals_of, totals_row

        return totals_row(totals_of(self._book, person, until))

    def student(self, person: str) -> Row:
        """How a student managed energy, landing by landing."""
        from logbook.services.student import student_of

        return student_of(self._book, person)

    # -- writing ----------------------------------------------------------------------------------------------------

    def add(self, kind: str, data: Mapping[str, Any] | Sequence[Mapping[str, Any]]) -> list[Added]:
        """Records one object or a list of one kind, whole or not at all; each answer has the flags it raised."""
        from logbook.services.add import add

        items = dict(data) if isinstance(data, Mapping) else [dict(item) for item in data]
        return add(self._book, kind, items, by=self.by)

    def correct(
        self, kind: str, record_id: str, changes: Mapping[str, Any], why: str | None = None
    ) -> Corrected:
        """Changes some fields of a record; the earlier state stays. `SERIAL.field` names one pack's reading."""
        from logbook.services.correct import correct

        return correct(self._book, kind, record_id, changes, by=self.by, why=why)

    def strike(self, kind: str, record_id: str, why: str) -> None:
        """Strikes a record out; it stays readable and counts nowhere."""
        from logbook.services.correct import strike

        strike(self._book, kind, record_id, by=self.by, why=why)

    def answer(self, flight_id: str, rule: str, words: str, serial_no: str = "") -> None:
        """Answers a flag of a flight in words; it opens again when its figure changes."""
        from logbook.services.answer import answer

        answer(self._book, flight_id, rule, words, serial_no=serial_no, by=self.by)

    def back_up(self) -> Path:
        """Makes a verified copy in the folder of backups beside the book. Returns where it is."""
        from logbook.services.care import back_up

        return back_up(self._book.path)
