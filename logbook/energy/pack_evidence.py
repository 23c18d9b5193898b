"""What else tells of a pack's capacity: the SOH scale, a measured capacity, a break in its life."""

from collections.abc import Sequence
from math import log

from logbook.energy import parameters as names
from logbook.energy.knowledge import Knowledge
from logbook.energy.packs import CAPACITY, LEAN, SOH_SD
from logbook.energy.record import BreakFacts, CheckFacts
from logbook.energy.scatter import weight_of
from logbook.energy.worth import points_between

BENCH_BELOW_FLIGHT = 0.09
"""A bench discharge to empty gives 6 to 14 % less than the upper half of the charge gives in flight (logarithm)."""
BENCH_BELOW_CURVE = 0.06
"""The same where a curve is stated, which accounts for the rest itself (a measured cell's: 0.033); what is left is power and cold."""
SLOWLY = 0.06
"""Share of a new reading in the slow mean of SOH."""
CHECK_SD = 0.04


def learn_soh(known: Knowledge, serial_no: str, soh_pct: float, members: Sequence[str]) -> None:
    """SOH as noisy evidence: ln(zero + (full − zero) × SOH) = L + lean + noise, of several packs the mean of both sides.

    Args:
        known: What is known of the aeroplane; changed in place.
        serial_no: Under which the figure was read.
        soh_pct: As indicated.
        members: Packs it is about, met before.
    """
    firsts = [known.packs.at[one] for one in members]
    pointed, _ = known.scale(members[0]).log_fraction(soh_pct)
    slow = known.slow_soh.get(serial_no, (pointed, 0.0))[0]
    slow += SLOWLY * (pointed - slow)
    known.slow_soh[serial_no] = (slow, pointed - slow)
    last = known.last_soh.get(serial_no)
    if last is not None and last[0] == soh_pct and known.flights - last[1] < 8:
        return
    known.last_soh[serial_no] = (soh_pct, known.flights)
    state = known.state
    pointed, slope = known.scale(members[0]).log_fraction(soh_pct, float(state.x[names.ZERO]))
    part = 1.0 / len(firsts)
    at = [first + which for first in firsts for which in (CAPACITY, LEAN)]
    residual = pointed - part * sum(float(state.x[one]) for one in at)
    before = [float(state.p[first, first]) for first in firsts]
    variance, slopes = SOH_SD**2, [part] * len(at) + [-slope]
    at.append(names.ZERO)
    z2 = residual**2 / (state.variance_of(at, slopes) + variance)
    state.observe_one(at, slopes, residual, variance / max(weight_of(z2), 1e-3))
    for serial, first, was in zip(members, firsts, before, strict=True):
        known.note(serial, "soh", 1 / float(state.p[first, first]) - 1 / was)


def learn_check(known: Knowledge, check: CheckFacts) -> None:
    """A measured capacity, mapped onto the scale of flights."""
    if check.kwh <= 0:
        return
    first = known.pack_at(check.serial_no) + CAPACITY
    # A bench discharge gives 6 to 14 % less than the same pack gives on the upper half in flight.
    target = log(check.kwh / known.scale(check.serial_no).nominal_kwh) + below_flight(known, check.serial_no)
    before = float(known.state.p[first, first])
    residual = target - float(known.state.x[first])
    z2 = residual**2 / (before + CHECK_SD**2)
    known.state.observe_one((first,), (1.0,), residual, CHECK_SD**2 / max(weight_of(z2), 1e-3))
    known.note(check.serial_no, "checks", 1 / float(known.state.p[first, first]) - 1 / before)


def below_flight(known: Knowledge, serial_no: str) -> float:
    """How far a discharge to empty lies below capacity as flown (logarithm)."""
    worths = known.scale(serial_no).worths
    if worths is None:
        return BENCH_BELOW_FLIGHT
    return BENCH_BELOW_CURVE - log(points_between(worths, 100.0, 0.0) / 100)


def learn_break(known: Knowledge, event: BreakFacts) -> None:
    """After a module change, an SOH reset or a repair the old capacity is only a hint."""
    first = known.pack_at(event.serial_no)
    for part, more in ((CAPACITY, 0.10), (LEAN, 0.05)):
        known.state.p[first + part, first + part] += more**2
    known.last_soh.pop(event.serial_no, None)
