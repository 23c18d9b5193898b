"""What an hour with the packs of an aeroplane costs: electricity at the meter and wear of the packs."""

from __future__ import annotations

from typing import Any, Final

from logbook.energy.costs import Cost, electricity_per_hour, hours_of_a_set, together, wear_per_hour
from logbook.energy.estimate import Estimate
from logbook.energy.life import SOH
from logbook.energy.meter import meter_total
from logbook.energy.record import ChargeFacts
from logbook.energy.service_time import AIR, counted
from logbook.services.pack_record import Fleet, Minutes, PackRecord
from logbook.services.pack_status import Standing
from logbook.store.pack_sweep import Charged

Row = dict[str, Any]
_YEAR_MIN: Final = 365 * 1440


def charge_facts(charge: Charged, minutes: Minutes) -> ChargeFacts:
    """One pack's part in a session, as the energy modules read it."""
    return ChargeFacts(
        charge.charge_id,
        charge.serial_no,
        minutes.of(charge.started),
        None if charge.ended is None else minutes.of(charge.ended),
        charge.charger,
        charge.purpose,
        charge.soc_start_pct,
        charge.soc_end_pct,
        charge.energy_kwh,
        charge.shared_energy_kwh,
    )


def costs_of(standing: Standing, fleet: Fleet, now: int) -> Row:
    """Cost of an hour with the aeroplane a pack is, or was last, in; over the last twelve months.

    Args:
        standing: the pack.
        fleet: it and the packs that flew with it: a meter is paid for all of them.
        now: [POSIX minutes]
    """
    home = standing.record.home
    row = fleet.aircraft.get(home or "", {})
    charges = [
        charge_facts(charge, fleet.minutes)
        for record in fleet.packs.values()
        for charge in record.charges
        if _in(record, charge.started, home)
    ]
    since = now - _YEAR_MIN
    recent = [charge for charge in charges if since <= charge.started <= now]
    # Flights before the first charge on record were paid for by charges that are not on record.
    first = min((charge.started for charge in charges), default=now)
    basis = fleet.bases.get(home or "", AIR)
    hours = (
        sum(
            counted(flight, basis)[1]
            for flight in fleet.flown.get(home or "", ())
            if max(since, first - 1440) <= flight.off_blocks <= now
        )
        / 60
    )
    electricity = electricity_per_hour(meter_total(recent), row.get("electricity_price_per_kwh"), hours)
    wear = wear_per_hour(row.get("pack_set_price"), _lasts(standing))
    return {
        "aircraft": home,
        "electricity_per_hour": _cost(electricity),
        "wear_per_hour": _cost(wear),
        "together_per_hour": _cost(together([electricity, wear])),
    }


def _in(record: PackRecord, at: str, aircraft: str | None) -> bool:
    if not record.fittings:
        return record.home == aircraft
    return any(
        one.aircraft == aircraft and one.fitted <= at and (one.removed is None or at < one.removed)
        for one in record.fittings
    )


def _lasts(standing: Standing) -> Estimate | None:
    """Hours a set lasts: by the limits of this pack and the life its fading leaves."""
    figures, pace = standing.record.figures, standing.paces.maker
    per_hour = None
    if pace.hours_per_cycle is not None and pace.hours_per_cycle.low > 0:
        ratio = pace.hours_per_cycle
        per_hour = Estimate(1 / ratio.high, 1 / ratio.mid, 1 / ratio.low, ratio.n, ratio.how)
    expected = None
    for status in standing.limits:
        if status.kind == SOH and status.hours_left is not None and status.hours_left.mid > 0:
            left, done = status.hours_left, standing.service.hours
            expected = Estimate(left.low + done, left.mid + done, left.high + done, left.n, left.how)
    return hours_of_a_set(figures["limit_hours"], figures["limit_cycles"], per_hour, expected)


def _cost(cost: Cost) -> Row:
    value = cost.per_hour
    span = None if value is None else {"low": value.low, "mid": value.mid, "high": value.high, "n": value.n}
    return {"per_hour": span, "words": cost.words}
