"""What an hour costs: electricity at the meter, and the wear of the packs.

    electricity per hour = price × kWh at the meter / hours                                      (1)
    wear per hour        = price of the set / hours the set lasts                                (2)

The hours a set lasts are its limit in hours, or its limit in cycles over the cycles of an hour, or what its life is expected to be:
whichever is least. Losses of charging are in (1), because it is the meter that is paid.
"""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.meter import MeterTotal
from logbook.energy.pace import quotient

FEWEST_HOURS = 1.0


class Cost(NamedTuple):
    """Cost of an hour, or why it cannot be told."""

    per_hour: Estimate | None
    """In the currency of the price."""
    words: str


def electricity_per_hour(meter: MeterTotal, price_per_kwh: float | None, hours: float) -> Cost:
    """Cost of electricity of an hour, equation (1).

    Args:
        meter: Energy at the meter over the same time; a shared meter counted once.
        price_per_kwh: Price of the kWh.
        hours: Flown in that time [h].
    Returns: Sessions without a meter reading are taken as usual ones, and the interval reaches down to nothing for them.
    """
    if price_per_kwh is None:
        return Cost(None, "Cannot be told: no price of electricity is set.")
    metered = meter.sessions - meter.unmetered
    if hours < FEWEST_HOURS or metered == 0:
        return Cost(None, "Cannot be told: it needs an hour of flying and one charge read at the meter.")
    known = price_per_kwh * meter.kwh / hours
    mid = known * meter.sessions / metered
    how = f"{meter.kwh:.1f} kWh at the meter in {metered} sessions, {hours:.1f} h"
    words = how
    if meter.unmetered:
        words += f"; {meter.unmetered} sessions without a meter reading, taken as usual ones"
    return Cost(Estimate(known, mid, mid + (mid - known), metered, how), words)


def hours_of_a_set(
    limit_hours: float | None = None,
    limit_cycles: float | None = None,
    cycles_per_hour: Estimate | None = None,
    expected_hours: Estimate | None = None,
) -> Estimate | None:
    """Flight hours a new set of packs lasts [h]: the least of what its limits and its fading allow.

    Args:
        limit_hours: Limit of a pack [h].
        limit_cycles: Limit of a pack [cycles].
        cycles_per_hour: Cycles an hour takes, in the counting of that limit.
        expected_hours: Life expected from fading, from new [h].
    """
    lives = []
    if limit_hours is not None:
        lives.append(Estimate(limit_hours, limit_hours, limit_hours, 0, f"limit of {limit_hours:g} h"))
    if limit_cycles is not None and cycles_per_hour is not None and cycles_per_hour.mid > 0:
        cycles = Estimate(limit_cycles, limit_cycles, limit_cycles, 0, f"limit of {limit_cycles:g} cycles")
        lives.append(quotient(cycles, cycles_per_hour))
    if expected_hours is not None and expected_hours.mid > 0:
        lives.append(expected_hours)
    return min(lives, key=lambda life: life.mid) if lives else None


def wear_per_hour(set_price: float | None, lasts_hours: Estimate | None) -> Cost:
    """Cost of pack wear of an hour, equation (2).

    Args:
        set_price: Price of all packs of the aeroplane together.
        lasts_hours: Of a set, from `hours_of_a_set` [h].
    """
    if set_price is None:
        return Cost(None, "Cannot be told: no price of a set of packs is set.")
    if lasts_hours is None or lasts_hours.mid <= 0:
        return Cost(None, "Cannot be told: the packs have no limit and no expected life.")
    price = Estimate(set_price, set_price, set_price, 0, "")
    cost = quotient(price, lasts_hours)
    return Cost(cost, f"{set_price:g} over {lasts_hours.mid:.0f} h ({lasts_hours.how})")


def together(costs: Sequence[Cost]) -> Cost:
    """Sum of costs of an hour: only of those that can be told, and the words name what is left out."""
    known = [cost.per_hour for cost in costs if cost.per_hour is not None]
    missing = [cost.words for cost in costs if cost.per_hour is None]
    if not known:
        return Cost(None, " ".join(missing))
    # Ends are added as they are: the parts share the hours, so their errors do not cancel.
    total = Estimate(
        sum(part.low for part in known),
        sum(part.mid for part in known),
        sum(part.high for part in known),
        min(part.n for part in known),
        "; ".join(part.how for part in known if part.how),
    )
    return Cost(total, " ".join(["Without what cannot be told:", *missing]) if missing else "All parts.")
