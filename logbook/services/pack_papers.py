"""Papers for maintenance: the component record of a pack, and the aeroplane as of a date, with a digest of their rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, TextIO

from logbook.errors import DataRefused, UsageError
from logbook.reports.aircraft_page import aircraft_page
from logbook.reports.pack_page import pack_page
from logbook.reports.paper import Paper
from logbook.services.defects_then import CLOSED, defects_then
from logbook.services.due import due_items
from logbook.services.due_by_use import due_by_use
from logbook.services.freshness import freshen
from logbook.services.hours_read import readings_of_hours
from logbook.services.liked_units import measures_of
from logbook.services.maintenance import aircraft_totals, component_rows, fitted_at
from logbook.services.pack_detail import pack_detail
from logbook.services.pack_status import moment, pack_rows
from logbook.services.paper_issue import issued, moment_of
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records
from logbook.units import instant_of

Row = dict[str, Any]
FORMS: Final = ("html", "text", "pdf")
"""Forms of a paper; PDF is no text, and is written by `services.paper_out`."""


def component_record(book: Book, serial_no: str, as_of: str | None = None) -> Paper:
    """The component record of one pack.

    Args:
        book: the open book.
        serial_no: the pack.
        as_of: a date or an instant; what was recorded of later times does not count.

    Raises:
        DataRefused: the book knows no such pack.
        UsageError: `as_of` is no date.
    """
    until = moment_of(book, as_of, packs=[serial_no])
    paper = pack_page(pack_detail(book, serial_no, as_of), "", measures_of(book))
    return issued(book, paper, "pack", serial_no, until)


def aircraft_paper(book: Book, registration: str, as_of: str | None = None) -> Paper:
    """The aeroplane as of a date, for an inspector; arguments and errors as of `component_record`."""
    status = aircraft_status(book, registration, as_of)
    packs = [pack["serial_no"] for pack in status["packs"]]
    until = moment_of(book, as_of, packs=packs, aircraft=[registration])
    return issued(book, aircraft_page(status, ""), "aircraft", registration, until)


def write_paper(stream: TextIO, paper: Paper, form: str = "html") -> None:
    """Writes a paper as HTML or as text of 80 columns.

    Raises:
        UsageError: there is no such form.
    """
    if form == "html":
        from logbook.reports.html_page import write_html

        write_html(stream, paper)
    elif form == "text":
        from logbook.reports.text_page import write_text_page

        write_text_page(stream, paper)
    else:
        raise UsageError(
            f"There is no form '{form}' of a paper.", next_step=f"Forms are: {', '.join(FORMS)}."
        )


def aircraft_status(book: Book, registration: str, as_of: str | None = None) -> Row:
    """What the paper of an aeroplane shows.

    Returns: `aircraft`, `totals`, `meter`, `read` (total time as last read: when and hours), `packs`, `components`, `due`, `defects`, `entries`, `flights`, `as_of`.

    Raises:
        DataRefused: the book knows no such aeroplane.
        UsageError: `as_of` is no date.
    """
    freshen(book)
    found = Records(book, "aircraft").find(registration)
    if found is None:
        raise DataRefused(
            f"The book knows no aircraft '{registration}'.", next_step="See 'logbook list aircraft'."
        )
    n, row = found
    now, until = moment(book, as_of)
    fitted = [
        one.serial_no
        for one in PackSweep(book, None, until).fittings()
        if one.aircraft == registration and one.removed is None
    ]
    packs = pack_rows(book, as_of, fitted)[1] if fitted else []
    totals = aircraft_totals(book, as_of)
    parts = [one for one in component_rows(book, totals) if one["aircraft"] == registration]
    things = {registration, *fitted}
    return {
        "aircraft": row,
        "totals": totals.get(
            registration, {"hours": 0.0, "landings": 0, "flights": 0, "words": "no flights"}
        ),
        "meter": _meter(book, n, until),
        "read": readings_of_hours(book, until).get(registration, [])[-1:],
        "packs": sorted(packs, key=lambda pack: (_place(row, pack["position"]), pack["serial_no"])),
        "components": [one for one in parts if fitted_at(one, until)],
        "due": _due(book, things, as_of, until),
        "defects": _defects(book, things, until),
        "entries": _entries(book, things, until),
        "flights": _last_flights(book, n, until),
        "as_of": instant_of(now),
    }


def _place(aircraft: Row, position: str | None) -> int:
    positions: Sequence[str] = aircraft["positions"]
    return positions.index(position) if position in positions else len(positions)


def _meter(book: Book, aircraft: int, until: str) -> float | None:
    rows = Records(book, "flight").select(
        "aircraft = ? AND struck = 0 AND off_blocks <= ? AND coalesce(meter_end, meter_start) IS NOT NULL",
        (aircraft, until),
        "off_blocks DESC",
        1,
    )
    return next((row["meter_end"] or row["meter_start"] for _, row in rows), None)


def _due(book: Book, things: set[str], as_of: str | None, until: str) -> list[Row]:
    """What is due of the aeroplane and its packs, by date and by use; what is left in the unit it is due by."""
    by_date = [item | {"left": ""} for item in due_items(book, known_by=until) if item["of"] in things]
    by_use = [
        item | {"left": f"{item['remaining']} {item['by']}"}
        for item in due_by_use(book, as_of)
        if item["of"] in things
        and not item["what"].startswith("pack limit")  # they have a table of their own
    ]
    return sorted([*by_date, *by_use], key=lambda item: (item["due"] or "9", item["what"], item["of"]))


def _defects(book: Book, things: set[str], until: str) -> list[Row]:
    """Defects that were not closed at a moment; one that was closed since says when."""
    waiting = [row for row in defects_then(book, things, until) if row["state"] != CLOSED]
    found = [row | {"of": row["serial_no"] or row["aircraft"]} for row in waiting]
    return sorted(found, key=lambda row: row["state"].startswith("deferred"))


def _entries(book: Book, things: set[str], until: str) -> list[Row]:
    rows = Records(book, "maintenance").select(
        "struck = 0 AND completed <= ?", (until,), "completed DESC, n DESC"
    )
    mine = [row for _, row in rows if row["serial_no"] in things or row["aircraft"] in things]
    return mine[:10]


def _last_flights(book: Book, aircraft: int, until: str) -> list[Row]:
    flights = Flights(book)
    numbers = [
        n
        for n, _ in Records(book, "flight").select(
            "aircraft = ? AND struck = 0 AND state = 'closed' AND off_blocks <= ?",
            (aircraft, until),
            "off_blocks DESC",
            10,
        )
    ]
    return [_flight_line(row) for row in flights.read(numbers)]


def _flight_line(row: Row) -> Row:
    charges = [
        f"{_percent(one['soc_departure_pct'])}-{_percent(one['soc_landing_pct'])}" for one in row["readings"]
    ]
    landings = [row["landings_day"], row["landings_night"]]
    return row | {
        "off_blocks": row["off_blocks"][11:16],
        "on_blocks": (row["on_blocks"] or "")[11:16],
        "route": f"{row['place_from'] or '?'} - {row['place_to'] or '?'}",
        "landings": None if landings == [None, None] else sum(filter(None, landings)),
        "charge": ", ".join(charges),
    }


def _percent(value: float | None) -> str:
    return "?" if value is None else f"{value:g}"
