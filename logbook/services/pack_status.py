"""Where every pack stands: one row a pack with hours, cycles, energy, health, heat and the life left in each limit.

Screen, file and paper show these rows and nothing else, so that they agree to the last digit; what is shown is rounded here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import chain
from operator import itemgetter
from typing import Any, Final, NamedTuple

from logbook.energy.cycles import cycles_by_energy
from logbook.energy.estimate import Estimate
from logbook.energy.life import (
    CYCLES,
    DATE,
    HOURS,
    SOH,
    LimitStatus,
    PackLife,
    PackLimits,
    Said,
    first_to_come,
    life_left,
)
from logbook.errors import UsageError
from logbook.services.freshness import freshen
from logbook.services.pack_accrued import Accrued, Totals, accrued_of
from logbook.services.pack_beside import Beside
from logbook.services.pack_hours import Service
from logbook.services.pack_kept import KeptTotals
from logbook.services.pack_record import Fleet, PackRecord, read_fleet
from logbook.services.pack_sums import summed
from logbook.services.pack_used import Paces, paces_of
from logbook.services.sweeping import batches, many_rows
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.units import canonical_date, canonical_instant, instant_of, minutes_of

Row = dict[str, Any]
_LIMITS: Final = (
    ("hours", HOURS, "limit_hours"),
    ("cycles", CYCLES, "limit_cycles"),
    ("date", DATE, "limit_date"),
    ("soh", SOH, "limit_soh_pct"),
)
_OF_A_LIMIT: Final = (
    "accumulated",
    "limit",
    "remaining",
    "expected_low",
    "expected_mid",
    "expected_high",
    "words",
)
COLUMNS: Final = (
    *("serial_no", "part_no", "aircraft", "position", "state", "state_since", "state_reason", "grounded"),
    *("time_in_service_hours", "hours_basis", "landings", "flights"),
    *(
        "equivalent_cycles_discharge",
        "equivalent_cycles_half_sum",
        "equivalent_cycles_by_energy",
        "cycles_basis",
    ),
    *(
        "charges",
        "flights_unread",
        "energy_out_kwh",
        "energy_out_kwh_low",
        "energy_out_kwh_high",
        "energy_basis",
    ),
    *("nominal_kwh", "reference_capacity", "soh_pct", "soh_read_at", "soh_note"),
    *("usable_kwh_low", "usable_kwh_mid", "usable_kwh_high", "usable_basis"),
    *("highest_temp_c", "highest_temp_at", "exceedances", "cautions", "charge_exceedances"),
    "observation_exceedances",
    "cycle_definition",
    *(f"{name}_{part}" for name, _, _ in _LIMITS for part in _OF_A_LIMIT),
    *("first_limit", "as_of"),
)
"""The columns of `export packs`, in order; every figure is in the unit of its name."""


class Standing(NamedTuple):
    """Everything worked out for one pack, before it is rounded for a row."""

    record: PackRecord
    accrued: Accrued
    paces: Paces
    limits: list[LimitStatus]

    @property
    def service(self) -> Service:
        """Hours and landings."""
        return self.accrued.service

    @property
    def totals(self) -> Totals:
        """Cycles, energy, health and heat."""
        return self.accrued.totals


def moment(book: Book, as_of: str | None, serials: Sequence[str] | None = None) -> tuple[int, str]:
    """The moment that counts as now [POSIX minutes] and the last instant of the record that counts (UTC).

    Without `as_of` everything counts, and now is by the clock of the book, or the end of the newest day on record if that is later.

    Raises:
        UsageError: it is neither a date nor an instant.
    """
    if as_of is not None:
        try:
            until = f"{canonical_date(as_of)}T23:59Z" if len(as_of) == 10 else canonical_instant(as_of)
        except ValueError as error:
            raise UsageError(f"As of when? {error}.", next_step="Correct the date.") from None
        return minutes_of(until), until
    newest = PackSweep(book, serials).newest()
    clock = book.clock()
    now = clock if newest is None or newest < clock else f"{newest[:10]}T23:59Z"
    return minutes_of(now), "9"


def pack_rows(
    book: Book, as_of: str | None = None, serials: Sequence[str] | None = None
) -> tuple[tuple[str, ...], list[Row]]:
    """The whole fleet, a row a pack, in order of serial number.

    Args:
        book: the open book.
        as_of: a date (its end) or an instant (UTC); what was recorded of later times does not count.
        serials: only these packs.

    Raises:
        DataRefused: the book knows no pack of that serial number.
        UsageError: `as_of` is no date.
    """
    freshen(book)
    now, until = moment(book, as_of, serials)
    more = Beside(book, serials, until, now)
    kept = KeptTotals(book, serials, until)
    rows = [
        row_of(standing_at(record, accrued, now), more, now)
        for record, accrued in chain(kept.known(), kept.continued())
    ]
    for part in batches(book, kept.missing()):
        with many_rows():
            fleet = read_fleet(book, part, until)
            for record in fleet.packs.values():
                accrued = kept.sum_up(record, fleet)
                rows.append(row_of(standing_at(record, accrued, now), more, now))
    kept.keep()
    return COLUMNS, sorted(rows, key=itemgetter("serial_no"))


def standing_of(record: PackRecord, fleet: Fleet, now: int) -> Standing:
    """Hours, sums, pace and limits of one pack, from its whole record."""
    return standing_at(record, accrued_of(record, summed(record, fleet)), now)


def standing_at(record: PackRecord, accrued: Accrued, now: int) -> Standing:
    """The same from what it has accrued."""
    paces, totals = paces_of(accrued.used, now), accrued.totals
    figures = record.figures
    limits = PackLimits(
        figures["limit_hours"],
        figures["limit_cycles"],
        None if figures["limit_date"] is None else minutes_of(f"{figures['limit_date']}T00:00Z"),
        figures["limit_soh_pct"],
    )
    health = totals.soh[1] if totals.soh else None
    fade = None if accrued.soh_cycles is None else Said(accrued.soh_cycles)
    life = PackLife(accrued.service.hours, totals.tally, health, fade, accrued.fade_missing)
    return Standing(record, accrued, paces, life_left(limits, life, paces.maker, paces.discharge, now))


def row_of(standing: Standing, more: Beside, now: int) -> Row:
    """One pack as a row of `COLUMNS`."""
    record = standing.record
    state, since, why = more.state(record)
    fitted = record.fitted
    totals, figures = standing.totals, record.figures
    row: Row = {
        "serial_no": record.serial_no,
        "part_no": record.pack["part_no"],
        "aircraft": fitted.aircraft if fitted else None,
        "position": fitted.position if fitted else None,
        "state": state,
        "state_since": since,
        "state_reason": why,
        "grounded": more.grounded(record, state),
        "time_in_service_hours": round(standing.service.hours, 4),
        "hours_basis": standing.service.basis,
        "landings": standing.service.landings,
        "flights": standing.service.flights,
        "charges": totals.cycles.charges,
        "flights_unread": max(standing.service.flights - totals.cycles.flights, 0),
        "soh_pct": totals.soh[1] if totals.soh else None,
        "soh_read_at": instant_of(totals.soh[0]) if totals.soh else None,
        "soh_note": more.soh_note(record.serial_no, totals.soh[0]) if totals.soh else "",
        "nominal_kwh": figures["nominal_kwh"],
        "reference_capacity": _reference(figures["nominal_kwh"]),
        "highest_temp_c": totals.highest[0] if totals.highest else None,
        "highest_temp_at": totals.highest[1] if totals.highest else None,
        "exceedances": more.exceedances.get(record.serial_no, 0),
        "cautions": more.cautions.get(record.serial_no, 0),
        "charge_exceedances": standing.accrued.charges_off,
        "observation_exceedances": more.seen_beyond.get(record.serial_no, 0),
        "cycle_definition": figures["cycle_definition"],
        "first_limit": first_to_come(standing.limits),
        "as_of": instant_of(now),
    }
    row |= _cycles(standing) | _capacity(totals) | _limits(standing.limits)
    if row["flights_unread"]:
        _say_too_few(row)
    if row["soh_note"] and row["usable_kwh_mid"] is not None:
        row["usable_basis"] = f"{row['usable_basis']}; SOH {row['soh_note']}"
    return {name: row[name] for name in COLUMNS}


def _say_too_few(row: Row) -> None:
    """Flights by the aeroplane's one gauge, or without any charge of this pack: what they took of it is in no sum."""
    unread = f"{row['flights_unread']} of {row['flights']} flights have no charge of this pack"
    for name in ("cycles_basis", "energy_basis"):
        row[name] = f"{row[name]}; counted too few: {unread}"
    if row["cycles_accumulated"] is not None:
        row["cycles_words"] = f"{row['cycles_words']}; counted too few, so the limit comes earlier: {unread}"
        row["first_limit"] = f"{row['first_limit']} Cycles are counted too few: {unread}."


def _reference(nominal_kwh: float | None) -> str:
    words = "a cycle by discharge or half-sum is 100 % of what the pack holds on the day"
    if nominal_kwh is None:
        return f"{words}; nominal capacity is not stated, so cycles by energy are unknown"
    return f"{words}; by energy it is the nominal {nominal_kwh:g} kWh"


def _cycles(standing: Standing) -> Row:
    """Cycles since new: those brought forward are in the maker's counting, so they are added where that is one of ours."""
    count, totals = standing.totals.cycles, standing.totals
    before = standing.record.pack["cycles_brought_forward"]
    added = before if before is not None and totals.tally.definition in ("", "discharge", "half-sum") else 0.0
    by_energy = cycles_by_energy(totals.energy_out, standing.record.figures["nominal_kwh"])
    if before is None:
        basis = "all known readings of this book; nothing brought forward"
    elif added == before:
        basis = f"all known readings of this book, and {before:g} brought forward"
    else:
        basis = f"all known readings of this book; {before:g} brought forward are counted otherwise and left out here"
    return {
        "equivalent_cycles_discharge": round(added + count.discharge, 4),
        "equivalent_cycles_half_sum": round(added + count.half_sum, 4),
        "equivalent_cycles_by_energy": None if by_energy is None else round(by_energy.mid, 4),
        "cycles_basis": basis,
    }


def _capacity(totals: Totals) -> Row:
    out, usable = totals.energy_out, totals.usable
    return {
        "energy_out_kwh": _rounded(out, "mid"),
        "energy_out_kwh_low": _rounded(out, "low"),
        "energy_out_kwh_high": _rounded(out, "high"),
        "energy_basis": out.how if out else "unknown: the nominal capacity is not stated",
        "usable_kwh_low": _rounded(usable, "low"),
        "usable_kwh_mid": _rounded(usable, "mid"),
        "usable_kwh_high": _rounded(usable, "high"),
        "usable_basis": usable.how if usable else "unknown: the nominal capacity is not stated",
    }


def _rounded(estimate: Estimate | None, end: str) -> float | None:
    return None if estimate is None else round(getattr(estimate, end), 4)


def _limits(found: Iterable[LimitStatus]) -> Row:
    """Limit, accumulated and remaining in each parameter (GM M.A.305), with the date expected."""
    by_kind = {status.kind: status for status in found}
    row: Row = {}
    for name, kind, _ in _LIMITS:
        status = by_kind.get(kind)
        values = _of_limit(status) if status else (None,) * 6 + ("no such limit is stated",)
        row |= {f"{name}_{part}": value for part, value in zip(_OF_A_LIMIT, values, strict=True)}
    return row


def day_expected(at: float) -> str | None:
    """The day of an end of an expected date [POSIX minutes]; None where it is not within a hundred years."""
    return instant_of(round(at))[:10] if math.isfinite(at) else None


def _of_limit(status: LimitStatus) -> tuple[Any, ...]:
    when = status.expected_at
    dates = (None,) * 3 if when is None else tuple(map(day_expected, when[:3]))
    if status.kind == DATE:
        day, now = instant_of(round(status.limit))[:10], instant_of(round(status.accumulated or 0))[:10]
        left = (minutes_of(f"{day}T00:00Z") - minutes_of(f"{now}T00:00Z")) // 1440
        return (now, day, left, *dates, status.words)
    if status.accumulated is None:
        return (None, status.limit, None, *dates, status.words)
    accumulated = round(status.accumulated, 4)
    return (
        accumulated,
        status.limit,
        round(status.limit - accumulated, 4) if status.kind != SOH else round(accumulated - status.limit, 4),
        *dates,
        status.words,
    )
