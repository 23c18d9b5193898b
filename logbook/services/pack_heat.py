"""How warm a pack gets, and when it is cool enough: what the record of one pack teaches, as plain values."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from statistics import median
from typing import Any, NamedTuple

from logbook.energy.cooling import FARTHEST_MIN, Cooling, Standing, cooling_of
from logbook.energy.estimate import Estimate
from logbook.energy.ledger_events import NOT_READ
from logbook.energy.warmth import FEWEST_FLIGHTS, Rise, rise_of
from logbook.energy.worth import points_between
from logbook.services.pack_record import Minutes, PackRecord
from logbook.services.pack_totals import usable_on

Row = dict[str, Any]
_LAST = 10
_ENOUGH = 400
"""The newest flights teach all there is to learn; older ones only cost time."""


class Warmth(NamedTuple):
    """The last temperature read on a pack: value [°C], when [POSIX minutes], and the air then [°C]."""

    value_c: float
    at: int
    air_c: float | None


def rises_of(record: PackRecord, usable_kwh: Callable[[int], Estimate | None]) -> list[Rise]:
    """Flights on which the temperatures before and highest and the energy of the pack are known, in order."""
    minutes, found = Minutes(), []
    for row in record.flights[-_ENOUGH:]:
        highs = [value for value in (row.temp_max_c, row.temp_landing_c) if value is not None]
        socs = (row.soc_departure_pct, row.soc_landing_pct)
        usable = usable_kwh(minutes.of(row.off_blocks))
        if (
            row.temp_departure_c is None
            or not highs
            or None in socs
            or usable is None
            or row.source == NOT_READ
        ):
            continue
        used = points_between(record.worths, socs[0] or 0.0, socs[1] or 0.0) / 100 * usable.mid
        found.append(Rise(row.temp_departure_c, max(highs), used, row.outside_temp_c))
    return found


def standings_of(record: PackRecord) -> list[Standing]:
    """Pairs of readings between which the pack only stood, with the air of the flight before them."""
    minutes, found = Minutes(), []
    starts: list[tuple[int, float | None]] = [
        (minutes.of(row.off_blocks), row.temp_departure_c) for row in record.flights[-_ENOUGH:]
    ]
    starts += [(minutes.of(charge.started), charge.temp_start_c) for charge in record.charges[-_ENOUGH:]]
    starts.sort(key=lambda pair: pair[0])
    place = 0
    for row in record.flights[-_ENOUGH:]:
        end = minutes.of(row.until)
        while place < len(starts) and starts[place][0] < end:
            place += 1
        if place == len(starts) or row.temp_landing_c is None:
            continue
        begun, later = starts[place]
        if later is not None and begun - end <= FARTHEST_MIN:
            found.append(Standing(begun - end, row.temp_landing_c, later, row.outside_temp_c))
    return found


def cooling(record: PackRecord) -> Cooling:
    """The time constant of a pack, learned from its own record."""
    return cooling_of(standings_of(record))


def last_warmth(record: PackRecord) -> Warmth | None:
    """The newest temperature read on a pack, in flight, charge or observation."""
    minutes = Minutes()
    found: list[Warmth] = []
    for row in reversed(record.flights):
        value = row.temp_landing_c if row.temp_landing_c is not None else row.temp_max_c
        if value is not None:
            found.append(Warmth(value, minutes.of(row.until), row.outside_temp_c))
            break
    for charge in reversed(record.charges):
        if charge.temp_end_c is not None:
            found.append(Warmth(charge.temp_end_c, minutes.of(charge.ended or charge.started), None))
            break
    seen = next((one for one in reversed(record.observations) if one.temp_max_c is not None), None)
    if seen is not None and seen.temp_max_c is not None:
        found.append(Warmth(seen.temp_max_c, minutes.of(seen.at), None))
    return max(found, key=lambda one: one.at) if found else None


def heat_of(record: PackRecord) -> Row:
    """The highest temperature to expect on a usual flight, the warmest start for it, and how the pack cools."""
    rises = rises_of(record, usable_on(record))
    fit, tau = rise_of(rises), cooling(record).tau_min
    caution, limit = record.figures["temp_caution_c"], record.figures["temp_limit_c"]
    row: Row = {
        "caution_c": caution,
        "limit_c": limit,
        "cools_with_tau_min": {"low": tau.low, "mid": tau.mid, "high": tau.high, "n": tau.n, "how": tau.how},
        "usual_flight": None,
        "words": "",
    }
    if fit is None:
        row["words"] = (
            f"needs {FEWEST_FLIGHTS} flights with temperature before start and highest, has {len(rises)}"
        )
        return row
    recent: Sequence[Rise] = rises[-_LAST:]
    used = median(rise.used_kwh for rise in recent)
    before, outside = recent[-1].before_c, recent[-1].outside_c
    highest = fit.highest(before, used, outside)
    edge = caution if caution is not None else limit
    row["usual_flight"] = {
        "used_kwh": round(used, 3),
        "before_c": before,
        "outside_c": outside,
        "highest_c": {"low": highest.low, "mid": highest.mid, "high": highest.high, "n": highest.n},
        "warmest_start_c": None if edge is None else round(fit.warmest_start(edge, used, outside), 1),
        "warmest_start_below_c": edge,
        "chance_above_limit": None if limit is None else fit.chance_above(limit, before, used, outside),
    }
    row["words"] = highest.how
    return row
