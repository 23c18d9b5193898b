"""Asking an estimator without teaching it: copies that a question may change at will.

A forecast looks packs and people up in the joint state and may learn the SOH it is given. A plan that is edited key by
key must not leave traces of every figure tried, so each question works on a copy; the record's estimator stays as it is.
"""

from collections.abc import Sequence
from copy import copy
from math import isfinite

from logbook.energy.clock import CIRCUITS
from logbook.energy.demand import PackStart
from logbook.energy.estimator import Estimator
from logbook.energy.packs import Scale
from logbook.energy.planned_mass import planned_mass
from logbook.energy.record import PackFacts, members_of
from logbook.energy.worth import Worths


def what_if(estimator: Estimator, packs: Sequence[PackStart] = ()) -> Estimator:
    """A copy of an estimator, with states of health as a plan states them taken as further readings.

    Args:
        estimator: what the record says; it stays unchanged.
        packs: the packs of the plan; where one states its indicated SOH, that is taken in.
    """
    estimator.filter.settle()
    asked = copy(estimator)
    asked.filter = estimator.filter.copied()
    for pack in packs:
        if pack.soh_pct is not None:
            asked.filter.meet(members_of(pack), has_soh=not pack.packs)
            asked.filter.learn_soh(pack.serial_no, pack.soh_pct, members_of(pack))
    return asked


def untaught(estimator: Estimator) -> Estimator:
    """The same aeroplane and packs before the first flight: the handbook alone."""
    known = estimator.filter
    return Estimator(known.aircraft, [_facts(scale) for scale in known.scales.values()])


def flights_known(estimator: Estimator) -> int:
    """How many flights have taught the estimator what flying costs: those with a charge after landing."""
    return estimator.filter.measured


def last_health(estimator: Estimator, serial_no: str) -> float | None:
    """The state of health last taken in for a pack [%]; ``None`` where nothing ever said it."""
    last = estimator.filter.last_soh.get(serial_no)
    return None if last is None else last[0]


def mass_words(
    estimator: Estimator, mass_kg: float | None, handler: str | None, aboard: int | None
) -> tuple[str, ...]:
    """What has to be said of a planned take-off mass [kg], in sentences; none where it lies within the record."""
    words = planned_mass(estimator.filter.reader, mass_kg, handler, aboard).words
    return (words,) if words else ()


def stated_worths(estimator: Estimator, serial_no: str) -> Worths | None:
    """What a percent of a pack is worth in each tenth of charge; ``None`` where its type does not say."""
    scale = estimator.filter.scales.get(serial_no)
    return None if scale is None else scale.worths


def capacity_known(estimator: Estimator, serials: Sequence[str]) -> bool:
    """Whether anything bears on the capacity of each of these packs: a stated nominal one, or a flight."""
    known = estimator.filter
    return all(
        ((scale := known.scales.get(serial)) is not None and scale.nominal_stated)
        or bool(known.counts.get(serial, {}).get("flights"))
        for serial in serials
    )


def usual_circuit_min(estimator: Estimator) -> float | None:
    """Minutes of one circuit as usually flown [min]; ``None`` before the first."""
    known = estimator.filter
    if not known.timed_circuits:
        return None
    minutes = float(known.reader.clock.state.x[CIRCUITS])
    return minutes if isfinite(minutes) and minutes > 0 else None


def _facts(scale: Scale) -> PackFacts:
    return PackFacts(
        serial_no=scale.serial_no,
        nominal_kwh=scale.nominal_kwh if scale.nominal_stated else None,
        soh_zero_fraction=scale.zero if scale.zero_stated else None,
        soh_full_fraction=scale.full,
        unusable_soc_pct=scale.unusable_pct,
        curve=scale.worths,
    )
