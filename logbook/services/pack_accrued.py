"""What a pack has accrued over its whole record, apart from the moment at which it is asked: this can be kept.

Hours, cycles, energy, heat, fade and the use of its last year rest on records alone; pace, life left and age rest on the
clock too, and are worked out from these whenever they are asked for. See `pack_kept` for how they are kept.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Any, NamedTuple

from logbook.energy.cycles import CycleCount, judged_cycles
from logbook.energy.estimate import Estimate
from logbook.energy.pace import Use
from logbook.services.pack_hours import Service, service_of
from logbook.services.pack_record import Fleet, PackRecord
from logbook.services.pack_totals import (
    Totals,
    Used,
    charges_too_warm_or_cold,
    health_fade,
    scale_of,
    totals_of,
    used_of,
)
from logbook.store.pack_sweep import Fitting

Row = dict[str, Any]


class Accrued(NamedTuple):
    """The record of one pack, summed up.

    Attributes:
        service: hours and landings.
        totals: cycles, energy, health, heat.
        used: what each flight of its last year took, for the pace.
        soh_cycles: discharge cycles until its indicated health is down to its limit; None where there is no limit, or no fade.
        fade_missing: what is missing.
        charges_off: charges that began or ended outside the charging temperatures.
    """

    service: Service
    totals: Totals
    used: Used
    soh_cycles: Estimate | None
    fade_missing: str
    charges_off: int


def accrued_of(record: PackRecord, fleet: Fleet) -> Accrued:
    """Sums up the record of one pack: a pass over its line for each of its sums."""
    service, limit = service_of(record, fleet), record.figures["limit_soh_pct"]
    fade, missing = (None, "") if limit is None else health_fade(record)
    cycles = None if fade is None else fade.cycles_until(limit)
    off = len(charges_too_warm_or_cold(record))
    return Accrued(service, totals_of(record), used_of(record, service), cycles, missing, off)


def newest_of(record: PackRecord, fleet: Fleet) -> int:
    """The newest instant that counted in what a pack accrued [POSIX minutes]; as of any later moment it is the same."""
    of = fleet.minutes.of
    times = [of(one) for row in record.fittings for one in (row.fitted, row.removed) if one is not None]
    times += [event.at for event in record.events]
    times += [of(seen.at) for seen in record.observations[-1:]]
    times += [of(flight.off_blocks) for flight in record.flights[-1:]]
    times += [at for row in record.fittings if (at := _last_flown(row, fleet)) is not None]
    return max(times, default=0)


def _last_flown(fitting: Fitting, fleet: Fleet) -> int | None:
    """When the aeroplane of a fitting flew last during it; later flights of it do not concern the pack."""
    of, flown = fleet.minutes.of, fleet.flown.get(fitting.aircraft, ())
    end = len(flown)
    if fitting.removed is not None:
        end = bisect_left(flown, of(fitting.removed), key=lambda flight: flight.off_blocks)
    return flown[end - 1].off_blocks if end and flown[end - 1].off_blocks >= of(fitting.fitted) else None


# -- as plain values, for the book ---------------------------------------------------------------------------------------


def plain(accrued: Accrued, record: PackRecord) -> Row:
    """What can be written down of it; the hours of each flight are not, as the pace has what it needs of them."""
    totals = accrued.totals
    return {
        "figures": record.figures,
        "service": accrued.service._replace(by_flight=()),
        "cycles": totals.cycles,
        "energy_out": totals.energy_out,
        "soh": totals.soh,
        "highest": totals.highest,
        "own_counter": totals.own_counter,
        "maker": _columns(accrued.used.maker),
        "discharge": None
        if accrued.used.discharge is accrued.used.maker
        else _columns(accrued.used.discharge),
        "soh_cycles": accrued.soh_cycles,
        "fade_missing": accrued.fade_missing,
        "charges_off": accrued.charges_off,
    }


def from_plain(kept: Row, record: PackRecord) -> Accrued:
    """The same again from what was written down.

    Args:
        kept: as `plain` gives it, after a way through JSON.
        record: the pack, with the figures that hold for it.
    """
    values = dict(zip(CycleCount._fields, kept["cycles"], strict=True))
    count = CycleCount(**values | {"by_depth": tuple(values["by_depth"])})
    figures, soh = record.figures, kept["soh"]
    brought = record.pack["cycles_brought_forward"]
    totals = Totals(
        cycles=count,
        tally=judged_cycles(count, figures["cycle_definition"], brought, kept["own_counter"]),
        energy_out=None if kept["energy_out"] is None else Estimate(*kept["energy_out"]),
        usable=scale_of(record)(None if soh is None else soh[1]),
        soh=None if soh is None else (soh[0], soh[1]),
        highest=None if kept["highest"] is None else (kept["highest"][0], kept["highest"][1]),
        own_counter=kept["own_counter"],
    )
    maker = _uses(kept["maker"])
    used = Used(maker, maker if kept["discharge"] is None else _uses(kept["discharge"]))
    cycles = None if kept["soh_cycles"] is None else Estimate(*kept["soh_cycles"])
    service = Service(*kept["service"])
    return Accrued(service, totals, used, cycles, kept["fade_missing"], kept["charges_off"])


def _columns(uses: Sequence[Use]) -> list[list[float]]:
    return [list(column) for column in zip(*uses, strict=True)]


def _uses(columns: Sequence[Sequence[Any]]) -> list[Use]:
    return [Use(*row) for row in zip(*columns, strict=True)]
