"""Read-only questions: lists of records and one record whole, with what is derived from it and its flags."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from logbook.energy.estimate import Estimate
from logbook.errors import DataRefused
from logbook.rules.case import FlightCase, PackCase
from logbook.services.answers_given import OWNERS, answers_of
from logbook.services.cases import Cases
from logbook.services.flight_energy import total_energy
from logbook.services.kinds import KINDS, kind_of
from logbook.services.recorded import Recordings, described
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import FlightFilter, Flights
from logbook.store.record_filter import conditions
from logbook.store.records import Records, Row, token, versions

_BATCH = 500

_FLAGGED = ("charge", "observation", "maintenance")
_ORDERS = {
    "charge": "started DESC, n DESC",
    "defect": "found DESC",
    "maintenance": "completed DESC",
    "observation": "at DESC",
    "capacity_check": "at DESC",
    "installation": "fitted DESC",
    "plan": "made_at DESC",
    "recording": "started DESC",
    "paper": "issued DESC, n DESC",
}


def list_flights(book: Book, wanted: FlightFilter) -> Iterator[Row]:
    """Flights that meet a filter, newest first, each with `derived`, `readings` (with their own) and `flags`."""
    numbers = Flights(book).find(wanted)
    cases, derived = Cases(book), Derived(book)
    for start in range(0, len(numbers), _BATCH):
        batch = numbers[start : start + _BATCH]
        flags = derived.flags(batch)
        for n, flight in zip(batch, Flights(book).read(batch), strict=True):
            yield describe(cases.build(n, flight, around=False)) | {"flags": flags[n]}


def describe(case: FlightCase) -> Row:
    """A flight with what is derived from it, as plain values."""
    readings = [dict(pack.reading) | {"derived": _of_pack(pack, case)} for pack in case.packs]
    return dict(case.flight) | {"readings": readings, "derived": _of_flight(case)}


def _spread(name: str, estimate: Estimate | None, digits: int = 4) -> Row:
    """An estimate as three keys: mid under the plain name, low and high beside it."""
    if estimate is None:
        return {name: None, f"{name}_low": None, f"{name}_high": None}
    return {
        name: round(estimate.mid, digits),
        f"{name}_low": round(estimate.low, digits),
        f"{name}_high": round(estimate.high, digits),
    }


def _per_minute(energy: Estimate | None, air_min: int | None) -> Estimate | None:
    """Observed energy per minute of air time [kWh/min]; the clock's rounding is small beside the gauge's."""
    if energy is None or not air_min:
        return None
    return energy.scaled(1 / air_min)


def _of_flight(case: FlightCase) -> Row:
    energy = total_energy(case)
    landed = [p.reading["soc_landing_pct"] for p in case.packs if p.reading["soc_landing_pct"] is not None]
    start, end = case.flight["meter_start"], case.flight["meter_end"]
    reserve = case.reserve
    return (
        {
            "block_min": case.block_min,
            "air_min": case.air_min,
            "meter_h": None if start is None or end is None else round(end - start, 3),
        }
        | _spread("energy_kwh", energy)
        | _spread("energy_kwh_per_min", _per_minute(energy, case.air_min), 5)
        | {
            "energy_kwh_per_hour": None
            if energy is None or not case.air_min
            else round(energy.mid * 60 / case.air_min, 3),
            "landing_soc_pct": min(landed) if landed else None,
        }
        | _spread("minutes_left", case.minutes_left, 2)
        | {
            "minutes_left_at_kw": None if reserve is None else reserve.power_kw,
            "final_reserve_min": None if reserve is None else reserve.minutes,
            "final_reserve_rule": "" if reserve is None else reserve.words,
            "how": "" if energy is None else energy.how,
        }
    )


def _of_pack(pack: PackCase, case: FlightCase) -> Row:
    before, after = pack.reading["soc_departure_pct"], pack.reading["soc_landing_pct"]
    return (
        {
            "position": pack.position,
            "soc_used_pct": None if before is None or after is None else round(before - after, 2),
        }
        | _spread("usable_kwh", pack.usable_kwh)
        | _spread("energy_kwh", pack.energy_kwh)
        | _spread("energy_kwh_per_min", _per_minute(pack.energy_kwh, case.air_min), 5)
        | {"how": _how(pack)}
    )


def _how(pack: PackCase) -> str:
    """How capacity was told, and whether a percent is worth the same all the way."""
    if pack.usable_kwh is None:
        return ""
    return pack.usable_kwh.how + (
        "" if pack.limits.worths is None else "; stated energy of each tenth of charge"
    )


def show_flight(book: Book, flight_id: str) -> Row:
    """One flight whole: recorded, derived, flagged, answered, and every earlier state.

    Raises:
        DataRefused: there is no such flight.
    """
    flights = Flights(book)
    n = flights.number(flight_id)
    if n is None:
        raise _unknown("flight", flight_id)
    case = Cases(book).build(n, flights.read([n])[0])
    shown = describe(case)
    recordings = Recordings(book).rows(flight_id)
    if recordings:
        shown["derived"] |= described(recordings, case)
    return shown | {
        "flags": Derived(book).flags([n])[n],
        "answers": answers_of(book, flight_id, "flight_id"),
        "versions": versions(book, flight_id),
        "token": token(book, flight_id),
    }


def show(book: Book, word: str, record_id: str) -> Row:
    """One record of any kind, with its versions.

    Raises:
        DataRefused: there is none with that id or name.
    """
    kind = kind_of(word)
    if kind.name == "flight":
        return show_flight(book, record_id)
    records = Records(book, kind.table)
    if kind.name == "charge":
        rows = [row for _, row in records.find_all(record_id)]
        if not rows:
            raise _unknown(kind.name, record_id)
        return {
            "charge_id": record_id,
            "packs": rows,
            "flags": _flags(book, kind.name, [(record_id, row["serial_no"]) for row in rows]),
            "answers": answers_of(book, record_id, "charge_id"),
            "versions": versions(book, record_id),
            "token": token(book, record_id),
        }
    found = records.find(record_id)
    if found is None:
        raise _unknown(kind.name, record_id)
    row = found[1]
    filed = str(row[TABLES[kind.table].file_id])
    noticed = {}
    if kind.name in _FLAGGED:
        flags = _flags(book, kind.name, [(filed, row["serial_no"])])
        noticed = {"flags": flags, "answers": answers_of(book, filed, OWNERS[kind.name])}
    return row | noticed | {"versions": versions(book, filed), "token": token(book, filed)}


def list_records(book: Book, word: str, wanted: FlightFilter) -> Iterator[Row]:
    """Records of any kind but flights, newest first where they have a date; those that can have `flags` with them.

    Narrowed by a flag, only the records that have it; what has flags and what has not is known only once it is worked out,
    so the whole list is looked through for it.

    Raises:
        UsageError: the kind cannot be narrowed by something that was asked for.
    """
    kind = kind_of(word)
    records = Records(book, kind.table)
    if kind.name in _FLAGGED and wanted.flag is not None and not wanted.struck:
        everything = list_records(book, word, wanted._replace(flag=None, limit=None))
        having = (row for row in everything if has_flag(row["flags"], wanted.flag))
        yield from islice(having, wanted.limit)
        return
    where, parameters = conditions(records, wanted)
    order = _ORDERS.get(kind.table, records.table.key or "id")
    rows: Iterator[Row] = (
        row for _, row in records.select(where, parameters, order=order, limit=wanted.limit)
    )
    if kind.name in _FLAGGED and not wanted.struck:
        from logbook.services.record_flags import flagged

        rows = flagged(book, kind.name, rows)
    yield from rows


def has_flag(flags: Iterable[Row], wanted: str) -> bool:
    """Whether one of the flags is of a rule; `any`: whether one is without an answer."""
    return any(not flag["answered"] if wanted == "any" else flag["rule"] == wanted for flag in flags)


def _flags(book: Book, kind: str, named: list[tuple[str, str | None]]) -> list[Row]:
    """The flags of one record, or of all packs of one charge."""
    from logbook.services.record_flags import flags_of

    return [flag for flags in flags_of(book, kind, named) for flag in flags]


def _unknown(kind: str, record_id: str) -> DataRefused:
    plural = KINDS[kind].plural
    return DataRefused(
        f"There is no {kind} '{record_id}' in the book.", next_step=f"See 'logbook list {plural}'."
    )
