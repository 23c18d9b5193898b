"""What a pack has accrued over its whole record, apart from the moment at which it is asked: this can be kept.

Hours, cycles, energy, heat, fade and the use of its last year rest on records alone; pace, life left and age rest on the
clock too, and are worked out from these whenever they are asked for. See `pack_kept` for how they are kept.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.energy.cycles import CycleCount, Tally, cycles_so_far, energy_so_far, judged_cycles
from logbook.energy.estimate import Estimate
from logbook.services.pack_hours import Service, service_of
from logbook.services.pack_record import PackRecord
from logbook.services.pack_sums import Sums
from logbook.services.pack_totals import counter_factor, health_fade, highest_of, scale_of
from logbook.services.pack_used import Used, used_of

Row = dict[str, Any]


class Totals(NamedTuple):
    """The sums over the record of one pack.

    Attributes:
        cycles: counted since the first reading.
        tally: cycles in the maker's own counting, or why they cannot be judged.
        energy_out: energy the pack gave [kWh]; None where its capacity is unknown.
        usable: usable capacity now by the SOH scale [kWh].
        highest: highest temperature ever read [°C] and when (UTC).
    """

    cycles: CycleCount
    tally: Tally
    energy_out: Estimate | None
    usable: Estimate | None
    soh: tuple[int, float] | None
    highest: tuple[float, str] | None
    own_counter: float | None


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


def accrued_of(record: PackRecord, sums: Sums) -> Accrued:
    """What the sums over a record come to; of the record itself only the pack, its figures and whether it was fitted are asked."""
    definition, limit = record.figures["cycle_definition"], record.figures["limit_soh_pct"]
    fade, missing = (None, "") if limit is None else health_fade(sums.falls)
    count, counter = cycles_so_far(sums.cycles), sums.falls.counter
    own_counter = counter[-1][0] if counter else None
    totals = Totals(
        cycles=count,
        tally=judged_cycles(count, definition, record.pack["cycles_brought_forward"], own_counter),
        energy_out=energy_so_far(sums.energy),
        usable=scale_of(record)(None if sums.soh is None else sums.soh[1]),
        soh=sums.soh,
        highest=highest_of(sums.highest),
        own_counter=own_counter,
    )
    return Accrued(
        service_of(record, sums.hours),
        totals,
        used_of(sums.used, definition, counter_factor(sums.falls)),
        None if fade is None or limit is None else fade.cycles_until(limit),
        missing,
        sums.charges_off,
    )


# -- as plain values, for the book ---------------------------------------------------------------------------------------


def plain(accrued: Accrued, record: PackRecord) -> Row:
    """What can be written down of it as JSON; what its flights took is kept beside it as columns."""
    totals = accrued.totals
    return {
        "figures": record.figures,
        "service": accrued.service,
        "cycles": totals.cycles,
        "energy_out": totals.energy_out,
        "soh": totals.soh,
        "highest": totals.highest,
        "own_counter": totals.own_counter,
        "soh_cycles": accrued.soh_cycles,
        "fade_missing": accrued.fade_missing,
        "charges_off": accrued.charges_off,
    }


def from_plain(kept: Row, used: Used, record: PackRecord) -> Accrued:
    """The same again from what was written down.

    Args:
        kept: as `plain` gives it, after a way through JSON.
        used: what its flights took.
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
    cycles = None if kept["soh_cycles"] is None else Estimate(*kept["soh_cycles"])
    service = Service(*kept["service"])
    return Accrued(service, totals, used, cycles, kept["fade_missing"], kept["charges_off"])
