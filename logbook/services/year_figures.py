"""What an aeroplane, and all of them together, did in a year: the same totals as elsewhere, narrowed to its days.

Flights belong to a year by their local day, as in the list of flights; charges, defects and entries by their day in UTC.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from logbook.energy.meter import meter_total, sessions_of
from logbook.energy.worth import points_between
from logbook.services.cases import Cases
from logbook.services.flight_energy import total_energy
from logbook.services.pack_costs import charge_facts
from logbook.services.pack_record import Minutes
from logbook.services.year_upkeep import defects_in
from logbook.store.database import Book
from logbook.store.flights import FlightFilter, Flights
from logbook.store.pack_sweep import Charged, Fitting, PackSweep
from logbook.store.records import Records

Row = dict[str, Any]
ALL = ""
"""The aeroplane that stands for all of them."""
_BATCH: Final = 500
_ENERGIES: Final = ("departed", "landed", "flown")
_BELOW: Final = {"below_reserve": "landing_below_reserve", "below_final_reserve": "final_reserve_short"}
"""What is counted of landings that ate into the reserve, in percent and in minutes, and the rule that finds them."""


class Period(NamedTuple):
    """The days of a year that count, both included (`YYYY-MM-DD`), and the day before the first."""

    first: str
    last: str
    before: str

    @property
    def since(self) -> str:
        """The first instant (UTC)."""
        return f"{self.first}T00:00Z"

    @property
    def until(self) -> str:
        """The last instant (UTC)."""
        return f"{self.last}T23:59Z"


def year_figures(book: Book, period: Period) -> list[Row]:
    """A row for each aeroplane that has a flight, a charge or a defect in the period, and last one for all of them.

    Each has `aircraft`, the fields of `Totals`, `energy` (see `_energy`), `meter_kwh`, `sessions`, `unmetered`,
    `price`, `unpriced`, `below_reserve` (in percent), `below_final_reserve` (in minutes), `defects_opened`, `defects_closed`.
    """
    registrations = [row["registration"] for _, row in Records(book, "aircraft").select("struck = 0")]
    charges = _charges_by_aircraft(book, period)
    defects = defects_in(book, period.since, period.until)
    prices = _prices(book)
    rows: list[Row] = []
    for aircraft in [*sorted(registrations), ALL]:
        wanted = FlightFilter(since=period.first, until=period.last, aircraft=aircraft or None)
        mine = charges.get(aircraft, []) if aircraft else [row for some in charges.values() for row in some]
        opened, closed = (sum(1 for one in some if aircraft in (ALL, one)) for some in defects)
        totals = Flights(book).totals(wanted)
        if aircraft and not (totals.flights or mine or opened or closed):
            continue
        counted: Row = {
            name: Flights(book).totals(wanted._replace(flag=rule)).flights for name, rule in _BELOW.items()
        }
        counted |= {"defects_opened": opened, "defects_closed": closed}
        energy = _energy(book, wanted) if aircraft else _summed([row["energy"] for row in rows])
        rows.append(
            {"aircraft": aircraft, **totals._asdict(), "energy": energy, **counted} | _charged(mine, prices)
        )
    return rows


def _summed(energies: Sequence[Row]) -> Row:
    """The energies of all aeroplanes together: their sums, end by end (see `_energy`)."""
    sums: Row = {
        name: tuple(map(sum, zip(*(one[name] for one in energies), strict=True))) or (0.0, 0.0, 0.0)
        for name in _ENERGIES
    }
    return sums | {"known": sum(one["known"] for one in energies)}


def _energy(book: Book, wanted: FlightFilter) -> Row:
    """Energy aboard at departure and after landing, and what was flown [kWh], each as low, mid, high.

    Summed over the flights whose energy is known (`known`), as the total of a list of flights is. Low and high hold if all
    estimates of capacity are off the same way: errors of one pack's scale do not cancel from flight to flight.
    """
    sums: dict[str, list[float]] = {name: [0.0, 0.0, 0.0] for name in _ENERGIES}
    flights, cases, known = Flights(book), Cases(book), 0
    numbers = flights.find(wanted)
    for start in range(0, len(numbers), _BATCH):
        batch = numbers[start : start + _BATCH]
        read = flights.read(batch)
        cases.read_ahead(read)
        for n, flight in zip(batch, read, strict=True):
            case = cases.build(n, flight, around=False)
            if total_energy(case) is None:
                continue
            known += 1
            for pack in case.packs:
                if pack.usable_kwh is None or pack.energy_kwh is None:
                    continue
                usable, worths = pack.usable_kwh, pack.limits.worths
                for name, column in (("departed", "soc_departure_pct"), ("landed", "soc_landing_pct")):
                    share = points_between(worths, pack.reading[column], 0.0) / 100
                    for place, kwh in enumerate((usable.low, usable.mid, usable.high)):
                        sums[name][place] += kwh * share
                for place, kwh in enumerate((pack.energy_kwh.low, pack.energy_kwh.mid, pack.energy_kwh.high)):
                    sums["flown"][place] += kwh
    return {name: tuple(values) for name, values in sums.items()} | {"known": known}


def _charges_by_aircraft(book: Book, period: Period) -> dict[str, list[Charged]]:
    """Charges that began in the period, whole sessions by the aeroplane in which their first fitted pack was."""
    fittings: dict[str, list[Fitting]] = {}
    for fitting in PackSweep(book, None).fittings():
        fittings.setdefault(fitting.serial_no, []).append(fitting)
    minutes = Minutes()
    rows = [row for row in PackSweep(book, None, period.until).charges() if row.started >= period.since]
    by_key = {(row.charge_id, row.serial_no): row for row in rows}
    found: dict[str, list[Charged]] = {}
    for session in sessions_of(charge_facts(row, minutes) for row in rows):
        whole = [by_key[one.charge_id, one.serial_no] for one in session]
        home = next((name for row in whole if (name := _home(fittings, row))), "not fitted")
        found.setdefault(home, []).extend(whole)
    return found


def _home(fittings: dict[str, list[Fitting]], row: Charged) -> str:
    """The aeroplane a pack was fitted to when a charge began; empty where it was in none."""
    return next(
        (
            one.aircraft
            for one in fittings.get(row.serial_no, ())
            if one.fitted <= row.started and (one.removed is None or row.started < one.removed)
        ),
        "",
    )


def _prices(book: Book) -> dict[tuple[str, str], float]:
    """The price written down with each row of a charge."""
    rows = Records(book, "charge").select("struck = 0 AND price IS NOT NULL")
    return {(row["charge_id"], row["serial_no"]): row["price"] for _, row in rows}


def _charged(rows: Iterable[Charged], prices: dict[tuple[str, str], float]) -> Row:
    """The meter and the money of some charges; a session's price stands in each of its rows and counts once."""
    minutes = Minutes()
    facts = [charge_facts(row, minutes) for row in rows]
    total = meter_total(facts)
    known = [
        next((prices[key] for one in session if (key := (one.charge_id, one.serial_no)) in prices), None)
        for session in sessions_of(facts)
    ]
    paid = [price for price in known if price is not None]
    return {
        "meter_kwh": total.kwh,
        "sessions": total.sessions,
        "unmetered": total.unmetered,
        "price": sum(paid) if paid else None,
        "unpriced": len(known) - len(paid),
    }
