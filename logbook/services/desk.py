"""The desk: everything a screen may ask for or do, on one open book.

Screens hold a desk and nothing else. What costs more than a look is done on a second connection in a thread: open
one with `elsewhere`. Heavy modules are loaded by the method that needs them, so that the first screen paints at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.measures import Measures
from logbook.services.desk_records import DeskRecords
from logbook.services.drafts import Draft, Drafts
from logbook.services.liked_units import keep_measures, measures_of
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.settings import Settings

if TYPE_CHECKING:
    from logbook.services.add import Added
    from logbook.services.charge_desk import ChargeDesk
    from logbook.services.correct import Corrected
    from logbook.services.exchange_desk import ExchangeDesk
    from logbook.services.flight_entry import Preview, Saved
    from logbook.services.flight_form import Form, Values
    from logbook.services.flight_rows import FlightRows
    from logbook.services.flight_sheet import Block
    from logbook.services.people_desk import PeopleDesk
    from logbook.services.plan_desk import PlanDesk
    from logbook.services.rates_view import RatesView
    from logbook.services.today import TodayView
    from logbook.services.unfinished import Entry
    from logbook.store.flights import FlightFilter


Row = dict[str, Any]


def _now() -> str:
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}"


class Desk(DeskRecords):
    """One open book, the drafts that belong to it, and who is at the keys.

    Attributes:
        book: the open book; screens pass it on and never look inside.
        drafts: unfinished entries.
        clock: what time it is (UTC, stored form); another one in tests.
    """

    def __init__(self, book: Book, *, clock: Callable[[], str] = _now, drafts: Drafts | None = None) -> None:
        self.book = book
        self.clock = book.clock = clock
        self.drafts = drafts or Drafts(book.path)
        self.facts = BookFacts(book)
        self.learned: dict[str, Any] = {}
        """What was worked out and may be used again while the book stays as it is; shared with desks elsewhere."""

    @classmethod
    def at(cls, path: Path) -> Desk:
        """The desk for the book at a path, which is made where it is missing."""
        return cls(Book.open(path, create=True))

    @contextmanager
    def elsewhere(self) -> Iterator[Desk]:
        """The same desk on a connection of its own, for work in a thread."""
        with Book.open(self.book.path) as book:
            other = Desk(book, clock=self.clock, drafts=self.drafts)
            other.learned = self.learned
            yield other

    @property
    def planning(self) -> PlanDesk:
        """Plans: forms, answers, kept plans."""
        from logbook.services.plan_desk import PlanDesk

        return PlanDesk(self.book, self.clock, self.learned)

    @property
    def charging(self) -> ChargeDesk:
        """Charging: sessions, their form, and when a pack is full."""
        from logbook.services.charge_desk import ChargeDesk

        return ChargeDesk(self)

    @property
    def people(self) -> PeopleDesk:
        """Lists of people, one person, students, countersigning."""
        from logbook.services.people_desk import PeopleDesk

        return PeopleDesk(self.book, self.clock, self.operator)

    @property
    def exchange(self) -> ExchangeDesk:
        """Files out of the book, and files into it."""
        from logbook.services.exchange_desk import ExchangeDesk

        return ExchangeDesk(self.book, self.clock, self.operator)

    # -- settings ---------------------------------------------------------------------------------------------------

    def setting(self, name: str, default: Any = None) -> Any:
        """A setting of the book: `operator`, `clock` (`utc` or `local`), `theme`, `ascii`, `thresholds` and others."""
        kept = Settings(self.book).value(name)
        return default if kept is None else kept

    def set(self, name: str, value: Any) -> None:
        """Keeps a setting in the book."""
        with self.book.writing():
            Settings(self.book).set(name, value)

    @property
    def measures(self) -> Measures:
        """The units figures are shown and typed in."""
        return measures_of(self.book)

    def keep_measures(self, changes: Mapping[str, str]) -> Measures:
        """Chooses units; nothing that is recorded changes."""
        return keep_measures(self.book, changes)

    @property
    def currency(self) -> str:
        """What prices are counted in; empty where the book names none."""
        from logbook.services.money import currency_of

        return currency_of(self.book)

    def keep_currency(self, text: str) -> None:
        """Names the currency; figures stay as they are."""
        from logbook.services.money import SETTING, read_currency

        self.set(SETTING, read_currency(text) or None)

    @property
    def operator(self) -> str | None:
        """Who is at the keys: every entry is kept under that name."""
        name: str | None = self.setting("operator")
        return name

    # -- looking ----------------------------------------------------------------------------------------------------

    def is_empty(self) -> bool:
        """Whether the book knows no aeroplane yet: the first start."""
        return not self.facts.fleet()

    def today(self) -> TodayView:
        """Who is out, what is wrong, the state of everything."""
        from logbook.services.today import today

        return today(self.book, self.clock())

    def flights(self) -> FlightRows:
        """The list of flights, for a table of any length."""
        from logbook.services.flight_rows import FlightRows

        return FlightRows(self.book)

    def show(self, kind: str, record_id: str) -> Row:
        """One record whole, as `services.questions.show` gives it."""
        from logbook.services.questions import show

        return show(self.book, kind, record_id)

    def records(self, kind: str, wanted: FlightFilter | None = None) -> list[Row]:
        """Records of a kind other than flights."""
        from logbook.services.questions import list_records
        from logbook.store.flights import FlightFilter

        return list(list_records(self.book, kind, wanted or FlightFilter()))

    def rates(self, aircraft: str) -> Row:
        """What flying costs an aeroplane (slow: to be called elsewhere)."""
        from logbook.services.estimates import rates_of

        return rates_of(self.book, aircraft, source=self.planning.estimator)

    def capacity(self, serial_no: str) -> Row:
        """Usable capacity of a pack and its history (slow: to be called elsewhere)."""
        from logbook.services.estimates import capacity_of

        return capacity_of(self.book, serial_no)

    def rates_view(self, aircraft: str) -> RatesView:
        """Rates, how good the forecasts were, entries that do not fit (slow: to be called elsewhere)."""
        from logbook.services.rates_view import rates_view

        return rates_view(self.book, aircraft, source=self.planning.estimator)

    def forecasts(self, aircraft: str) -> Row:
        """How good the forecasts of an aeroplane were, with rows (slow: to be called elsewhere)."""
        from logbook.services.estimates import forecasts_of

        return forecasts_of(self.book, aircraft, rows=True, source=self.planning.estimator)

    # -- writing ----------------------------------------------------------------------------------------------------

    def home_zone(self, aircraft: str) -> str:
        """The time zone where an aeroplane is now, as far as the book knows; else UTC."""
        place = self.facts.last_flight(aircraft).get("place_to") or self.facts.aircraft(aircraft).get("base")
        return self.facts.zone_of(place)

    def shown_zones(self) -> Mapping[str, str] | None:
        """The zones of places where times are shown in local time; None where they are shown in UTC."""
        return self.facts.zones() if self.setting("clock") == "local" else None

    def flight_meanwhile(self, entry: Entry) -> tuple[Entry, list[str]]:
        """An entry upon the flight as it is now, and what somebody else changed in it, in words."""
        from logbook.services.flight_meanwhile import flight_meanwhile

        return flight_meanwhile(entry, self.show("flight", entry.flight_id))

    def begin_flight(self, aircraft: str, day: str | None = None) -> Entry:
        """A flight to be entered, of today unless another day is named."""
        from logbook.services.typed_time import local_day
        from logbook.services.unfinished import Entry, new_id

        home = self.home_zone(aircraft)
        zone = home if self.setting("clock") == "local" else "UTC"
        return Entry(new_id(), aircraft, day or local_day(self.clock(), home), zone, measures=self.measures)

    def go_on_with(self, flight_id: str) -> Entry:
        """A flight that is in the book, open since before start, to be closed after landing."""
        from logbook.services.flight_entry import values_of

        flight = self.show("flight", flight_id)
        begun = self.begin_flight(flight["aircraft"], flight["date"])
        values = values_of(flight, begun.zone, begun.measures)
        return begun._replace(
            flight_id=flight_id, outcome=flight["outcome"], closing=True, values=values, seen=flight["token"]
        )

    def flight_form(self, entry: Entry) -> Form:
        """The form for a flight, with what the record lets one expect now."""
        from logbook.services.flight_form import Choice, form_for
        from logbook.services.typed_time import Clock

        clock = Clock(entry.day, entry.zone, self.home_zone(entry.aircraft))
        flight = self.show("flight", entry.flight_id) if entry.closing else None
        return form_for(
            self.book,
            Choice(entry.aircraft, clock, entry.outcome),
            now=self.clock(),
            flight=flight,
            measures=entry.measures,
        )

    def unfinished(self) -> list[Draft]:
        """Entries that were begun and not saved, newest first."""
        from logbook.services.unfinished import unfinished

        return unfinished(self.book, self.drafts)

    def preview(self, form: Form, values: Values, flight_id: str) -> Preview:
        """What the flight would be if it were saved now."""
        from logbook.services.flight_entry import preview

        return preview(self.book, form, values, flight_id, self.clock())

    def save_flight(
        self, form: Form, values: Values, flight_id: str, *, open_only: bool, seen: int | None = None
    ) -> Saved:
        """Saves a flight, opened or closed; `seen` is the token under which it was read."""
        from logbook.services.flight_entry import save

        return save(
            self.book,
            form,
            values,
            flight_id,
            open_only=open_only,
            at=self.clock(),
            by=self.operator,
            seen=seen,
        )

    def add(self, kind: str, data: object) -> list[Added]:
        """Records one object or a list."""
        from logbook.services.add import add

        return add(self.book, kind, data, by=self.operator, clock=self.clock)

    def correct(
        self,
        kind: str,
        record_id: str,
        changes: Mapping[str, Any],
        *,
        why: str | None = None,
        seen: int | None = None,
    ) -> Corrected:
        """Changes some fields of a record; the earlier state stays."""
        from logbook.services.correct import correct

        return correct(self.book, kind, record_id, changes, by=self.operator, why=why, seen=seen)

    def strike(self, kind: str, record_id: str, why: str) -> None:
        """Strikes a record out, with a reason."""
        from logbook.services.correct import strike

        strike(self.book, kind, record_id, by=self.operator, why=why)

    def answer(self, record_id: str, flag: Mapping[str, Any], words: str) -> None:
        """Answers a flag of a record, as `show` gives it, in words."""
        from logbook.services.answer import answer

        serial, figures = flag["serial_no"], flag["figures"]
        answer(self.book, record_id, flag["rule"], words, serial_no=serial, figures=figures, by=self.operator)

    def flags_of(self, shown: Mapping[str, Any]) -> Block:
        """The flags of a record as `show` gives it, with what to do and the answers."""
        from logbook.services.flight_sheet import flags

        return flags(shown, self.measures)
