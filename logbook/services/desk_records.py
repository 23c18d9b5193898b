"""The part of the desk that shows, enters and changes records of any kind by forms."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.services.liked_units import measures_of
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.services.flight_sheet import Block
    from logbook.services.pack_desk import PackDesk
    from logbook.services.plain_form import PlainForm
    from logbook.services.upkeep_desk import UpkeepDesk
    from logbook.services.versions import Change
    from logbook.store.flights import FlightFilter, Totals

Row = dict[str, Any]


class DeskRecords(ABC):
    """What the screens of single records ask for; the desk is one."""

    book: Book
    clock: Callable[[], str]
    learned: dict[str, Any]

    @property
    def packs(self) -> PackDesk:
        """Packs, charging now, papers."""
        from logbook.services.pack_desk import PackDesk

        return PackDesk(self.book, self.clock, self.learned)

    @property
    def upkeep(self) -> UpkeepDesk:
        """Maintenance: the board, defects, entries."""
        from logbook.services.upkeep_desk import UpkeepDesk

        return UpkeepDesk(self.book, self.clock, self.operator, self.learned)

    @property
    @abstractmethod
    def operator(self) -> str | None:
        """Who is at the keys."""

    @abstractmethod
    def setting(self, name: str, default: Any = None) -> Any:
        """A setting of the book."""

    def stale_flights(self) -> int:
        """Flights whose figures must be computed again: all of them after an update of the program."""
        from logbook.services.freshness import waiting

        return waiting(self.book)

    def title_of(self, kind: str, shown: Mapping[str, Any]) -> str:
        """What a record is, in words."""
        from logbook.services.record_words import title

        return title(kind, shown)

    def lines_of(self, kind: str, shown: Mapping[str, Any]) -> list[tuple[str, str, str, str]]:
        """The filled fields of a record: label, value, unit, remark."""
        from logbook.services.money import currency_of
        from logbook.services.record_words import lines

        return lines(kind, shown, measures_of(self.book), currency_of(self.book))

    def changes_of(self, shown: Mapping[str, Any]) -> list[Change]:
        """The changes of a record, newest first."""
        from logbook.services.versions import changes_of

        return changes_of(shown)

    def glance_of(self, flight: Mapping[str, Any]) -> str:
        """A flight in one line: what it cost, and whether anything was wrong."""
        from logbook.services.flight_sheet import glance

        return glance(flight, measures_of(self.book))

    def recorded_of(self, flight: Mapping[str, Any]) -> list[Block]:
        """What somebody wrote down of a flight, to read."""
        from logbook.services.flight_sheet import recorded

        return recorded(flight, BookFacts(self.book).zone_of(flight["place_from"]), measures_of(self.book))

    def derived_of(
        self, flight: Mapping[str, Any], forecasts: list[Row] | None, signed: list[str] | None = None
    ) -> list[Block]:
        """What follows from a flight: figures, flags, forecast beside what happened, versions.

        Args:
            flight: as `show` gives it.
            forecasts: the rows of `forecasts`; None while they are being worked out.
            signed: what is said of its countersignatures; None while they are being looked at.
        """
        from logbook.services.flight_sheet import Block, SheetLine, derived, flags, forecast

        measures = measures_of(self.book)
        pending = Block("Forecast from earlier flights", (SheetLine("working …", tone="grey"),))
        beside = pending if forecasts is None else forecast(flight, forecasts)
        changes = tuple(
            SheetLine(
                change.when, "", "", f"{change.who or 'nobody named'}: {change.words('flight', measures)}"
            )
            for change in self.changes_of(flight)
        )
        versions = Block("Earlier versions", changes or (SheetLine("Never changed since it was entered."),))
        said = [SheetLine(words) for words in signed or ()]
        signatures = [Block("Countersignatures", tuple(said))] if said else []
        from logbook.services.recorded_sheet import recorded_beside

        told = [flags(flight, measures), *derived(flight), *recorded_beside(flight, measures)]
        return [*told, beside, *signatures, versions]

    def names(self, table: str) -> list[str]:
        """The names of a kind of thing: `aircraft`, `pack`, `person`, `place`, `pack_type`."""
        from logbook.services.record_form import names_of

        return names_of(self.book, table)

    def record_form(self, kind: str, given: Mapping[str, Any] | None = None) -> PlainForm:
        """The form for a new record of a kind."""
        from logbook.services.record_form import record_form

        return record_form(self.book, kind, self.clock(), given)

    def correction_form(self, kind: str, shown: Mapping[str, Any]) -> PlainForm:
        """The form to correct a record as `show` gives it."""
        if kind == "flight":
            from logbook.services.correct_flight import flight_correction

            local = self.setting("clock") == "local"
            return flight_correction(self.book, shown, self.clock(), local=local)
        from logbook.services.record_form import correction_form

        return correction_form(self.book, kind, self.clock(), shown)

    def correct_form(
        self, kind: str, record_id: str, values: Mapping[str, Any], *, why: str | None, seen: int
    ) -> str:
        """Writes what a correction form gave. Returns what was changed, in words."""
        from logbook.services.correct import correct
        from logbook.services.versions import label_of

        done = correct(self.book, kind, record_id, values, by=self.operator, why=why, seen=seen)
        labels = [label_of(kind, name.rpartition(".")[2]) for name, _, _ in done.changes]
        return f"Corrected: {', '.join(labels)}." if labels else "Nothing was changed."

    def undo(self, kind: str, record_id: str, *, seen: int | None = None) -> str:
        """Takes the last correction of a record back. Returns what was taken back, in words."""
        from logbook.services.undo import undo

        return undo(self.book, kind, record_id, by=self.operator, seen=seen)

    def first_form(self) -> PlainForm:
        """The form of the first start."""
        from logbook.services.first_start import first_form

        return first_form(self.clock(), measures_of(self.book))

    def save_first(self, values: Mapping[str, Any]) -> str:
        """Writes what the first start asked, all or nothing. Returns the registration."""
        from logbook.services.first_start import save_first

        return save_first(self.book, values, self.clock())

    # -- the list of flights -------------------------------------------------------------------------------------------

    def find_form(self, wanted: FlightFilter) -> PlainForm:
        """The form that narrows the list of flights."""
        from logbook.services.find_flights import find_form

        return find_form(self.book, wanted, self.clock())

    def words_of_filter(self, wanted: FlightFilter) -> str:
        """What a list of flights is narrowed to; empty where it is not."""
        from logbook.services.find_flights import words_of

        return words_of(wanted)

    def narrowed(self, wanted: FlightFilter, values: Mapping[str, Any]) -> FlightFilter:
        """The filter after the form."""
        from logbook.services.find_flights import narrowed

        return narrowed(wanted, values)

    def words_of_totals(self, totals: Totals) -> str:
        """The totals of a list of flights in one line."""
        from logbook.services.find_flights import words_of_totals

        return words_of_totals(totals, measures_of(self.book))

    def beside_of(self, flight: Mapping[str, Any]) -> list[Block]:
        """The few blocks of a flight that stand beside the list."""
        from logbook.services.flight_sheet import Block, derived, flags

        blocks = self.recorded_of(flight)
        from logbook.services.recorded_sheet import recorded_beside

        glance = Block("", words=self.glance_of(flight))
        measures = measures_of(self.book)
        found = [glance, flags(flight, measures), *blocks]
        return [*found, *recorded_beside(flight, measures), *derived(flight)]

    # -- setting up ------------------------------------------------------------------------------------------------------

    def bands_form(self) -> PlainForm:
        """The form of the bands of the rules."""
        from logbook.services.bands_form import bands_form

        return bands_form(self.book)

    def bands_changed(self) -> int:
        """How many bands of the rules are not the usual ones."""
        from logbook.services.bands_form import bands_changed

        return bands_changed(self.book)

    def units_form(self) -> PlainForm:
        """The form of the units."""
        from logbook.services.settings import units_form

        return units_form(self.book)

    def save_bands(self, values: Mapping[str, Any]) -> int:
        """Keeps the bands of the rules. Returns how many are not the usual ones."""
        from logbook.services.bands_form import save_bands

        return save_bands(self.book, values)

    def back_up(self) -> Path:
        """Makes a verified copy of the book beside it; returns where it is."""
        from logbook.services.care import back_up

        return back_up(self.book.path)

    def one_line(self, kind: str, row: Mapping[str, Any]) -> tuple[str, str, str]:
        """A record for a list: its id, its name, and what tells it from others."""
        from logbook.services.record_words import one_line

        return one_line(kind, row)

    def fitting_form(self, way: str, serial_no: str = "") -> PlainForm:
        """The form to `fit`, `remove` or `swap` packs, or to say the `state` of one."""
        from logbook.services.fitting_form import fitting_form

        return fitting_form(self.book, way, self.clock(), serial_no)

    def do_fitting(self, way: str, values: Mapping[str, Any], *, sure: bool = True) -> str:
        """Does what such a form says. Returns what was done, in words.

        Raises:
            Contradicted: flights on record speak against it, and it is not sure; nothing was written.
        """
        from logbook.services.fitting_form import do_fitting

        return do_fitting(self.book, way, values, self.clock(), by=self.operator, sure=sure)

    def text_of(self, kind: str, shown: Mapping[str, Any]) -> str:
        """A record as plain text, to be copied or kept."""
        from io import StringIO

        from logbook.reports.record_text import write_record

        text = StringIO()
        write_record(text, kind, dict(shown), measures_of(self.book))
        return text.getvalue()

    # -- countersigning ------------------------------------------------------------------------------------------------

    def signatures_of(self, flight_id: str) -> list[str]:
        """What is to be said of each countersignature of a flight."""
        from logbook.services.verify import verify

        return [one.words for one in verify(self.book) if one.flight_id == flight_id]
