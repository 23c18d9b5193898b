"""Today: who is out, what is wrong, the state of each aeroplane and pack, and what needs somebody's attention."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.measures import USUAL, Measures
from logbook.services.due import due_items
from logbook.services.freshness import freshen
from logbook.services.grounding import GROUNDING, in_state
from logbook.services.liked_units import measures_of
from logbook.services.waiting import Waits, waiting_packs, waits
from logbook.store.attention import COUNTED, Attention
from logbook.store.book_facts import BookFacts, FittedPack, LastReading
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.store.settings import Settings

if TYPE_CHECKING:
    from logbook.services.flagged_charges import FlaggedCharges

Row = dict[str, Any]
SOON_DAYS = 30


class PackNow(NamedTuple):
    """A fitted pack by its latest record; `grounded` says why it may not fly, or is empty.

    Without a serial number it is what the one gauge of the aeroplane showed, where the book has no pack fitted.
    While its aeroplane is out, the reading is the one before start, and `before_start` says so.
    """

    serial_no: str
    position: str
    reading: LastReading
    grounded: str
    before_start: bool = False


class AircraftNow(NamedTuple):
    """An aeroplane by its latest record; `out` is the flight that is open, if one is."""

    registration: str
    type: str
    packs: list[PackNow]
    out: Row | None
    defects: int


class TodayView(NamedTuple):
    """Everything the first screen shows.

    Attributes:
        aircraft: each aeroplane with its packs.
        out: open flights, with `overdue` where the expected time has passed.
        defects: open and deferred defects, open ones first.
        flags: newest flights with unanswered flags: (flight id, date, aircraft, severity, words).
        flagged: how many flights have unanswered flags in all.
        due: items due within thirty days or past.
        flights: whether the book holds any.
        missing: how many flights lack a charge nobody has answered for, and the newest's id.
        counted: what is more than these is not counted further: `flagged` and `missing` are then one more.
        measures: the units figures are shown in.
        charges: charges with an unanswered flag; None until they were looked for.
        zones: the zones of places where times are shown in local time; None where they are shown in UTC.
        by_use: what is past its hours or cycles or has few left; empty until it was worked out.
    """

    aircraft: list[AircraftNow]
    out: list[Row]
    defects: list[Row]
    flags: list[tuple[str, str, str, str, str]]
    flagged: int
    due: list[Row]
    flights: bool
    missing: tuple[int, str] = (0, "")
    counted: int = COUNTED
    measures: Measures = USUAL
    charges: FlaggedCharges | None = None
    by_use: tuple[Row, ...] = ()
    zones: Mapping[str, str] | None = None


def today(book: Book, now: str) -> TodayView:
    """The state of things at a moment (UTC, stored form)."""
    freshen(book)
    facts, attention = BookFacts(book), Attention(book)
    out = [
        flight | {"overdue": bool(flight["expected_back"] and flight["expected_back"] < now)}
        for flight in facts.open_flights()
    ]
    defects = [
        row
        for _, row in Records(book, "defect").select(
            "struck = 0 AND state <> 'closed'", order="state DESC, found DESC"
        )
    ]
    waiting = waiting_packs(book, now)
    fleet = facts.fleet_fitted()
    readings = facts.last_readings([pack.serial_no for *_, packs in fleet for pack in packs])
    measures = measures_of(book)
    horizon = attention.day_after(now[:10], SOON_DAYS)
    return TodayView(
        aircraft=[
            _aircraft(
                book,
                (registration, kind),
                [(pack, readings[pack.serial_no]) for pack in packs],
                out,
                (defects, waiting),
            )
            for registration, kind, packs in fleet
        ],
        out=out,
        defects=defects,
        flags=[(*one[:4], measures.sentence(one[4])) for one in attention.newest_flags(12)],
        flagged=attention.flagged(),
        due=due_items(book, horizon),
        flights=attention.any_flight(),
        missing=attention.missing_readings(),
        measures=measures,
        zones=facts.zones() if Settings(book).value("clock") == "local" else None,
    )


def _aircraft(
    book: Book,
    named: tuple[str, str],
    fitted: list[tuple[FittedPack, LastReading]],
    out: list[Row],
    held: tuple[list[Row], Mapping[str, Waits]],
) -> AircraftNow:
    registration, kind = named
    defects, waiting = held
    flying = next((flight for flight in out if flight["aircraft"] == registration), None)
    left_with = _before_start(book, flying) if flying else {}
    packs = [
        PackNow(
            pack.serial_no,
            pack.position,
            left_with.get(pack.serial_no) or reading,
            _grounded(pack, defects, waiting),
            pack.serial_no in left_with,
        )
        for pack, reading in fitted
    ]
    if not packs and (last := BookFacts(book).last_together(registration)) is not None:
        packs.append(PackNow("", "", left_with.get("") or last, "", "" in left_with))
    mine = sum(1 for defect in defects if defect["aircraft"] == registration)
    return AircraftNow(registration, kind, packs, flying, mine)


def _before_start(book: Book, flight: Row) -> dict[str, LastReading]:
    """What was read on each pack before an open flight; no flight is known of it yet, and it is out since."""
    from logbook.store.flights import Flights

    flights = Flights(book)
    number = flights.number(flight["flight_id"])
    whole = flights.read([] if number is None else [number])
    return {
        reading["serial_no"] or "": LastReading(
            soc_pct=reading["soc_departure_pct"],
            soh_pct=reading["soh_pct"],
            temp_c=reading["temp_departure_c"],
        )
        for row in whole
        for reading in row["readings"]
        if reading["soc_departure_pct"] is not None
    }


def _grounded(pack: FittedPack, defects: list[Row], waiting: Mapping[str, Waits]) -> str:
    if pack.state in GROUNDING:
        return in_state(pack.state)
    serial = pack.serial_no
    if any(d["serial_no"] == serial and d["needs_inspection"] and d["state"] == "open" for d in defects):
        return "inspection before next use"
    return waits(waiting, serial)
