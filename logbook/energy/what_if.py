"""Asking an estimator without teaching it: copies that a question may change at will.

A forecast looks packs and people up in the joint state and may learn the SOH it is given. A plan that is edited key by
key must not leave traces of every figure tried, so each question works on a copy; the record's estimator stays as it is.
"""

from collections.abc import Mapping
from copy import copy

from logbook.energy.estimator import Estimator
from logbook.energy.filter import Filter
from logbook.energy.packs import Scale
from logbook.energy.record import PackFacts
from logbook.energy.state import Group


def what_if(estimator: Estimator, soh_pct: Mapping[str, float] | None = None) -> Estimator:
    """A copy of an estimator, with states of health as a plan states them taken as further readings.

    Args:
        estimator: what the record says; it stays unchanged.
        soh_pct: indicated SOH by serial number [%].
    """
    estimator.filter.settle()
    asked = copy(estimator)
    asked.filter = _copied(estimator.filter)
    for serial_no, value in (soh_pct or {}).items():
        first = asked.filter.pack_at(serial_no, has_soh=True)
        asked.filter.learn_soh(serial_no, first, value)
    return asked


def untaught(estimator: Estimator) -> Estimator:
    """The same aeroplane and packs before the first flight: the handbook alone."""
    known = estimator.filter
    return Estimator(known.aircraft, [_facts(scale) for scale in known.scales.values()])


def _copied(known: Filter) -> Filter:
    """A filter with its own state and its own places; histories, which a question never writes, stay shared."""
    asked = copy(known)
    asked.state = copy(known.state)
    asked.state.x, asked.state.p = known.state.x.copy(), known.state.p.copy()
    asked.packs, asked.people, asked.chargers = (
        _moved(group, asked) for group in (known.packs, known.people, known.chargers)
    )
    asked.reader = copy(known.reader)
    asked.reader.habits = copy(known.reader.habits)  # the first mass asked about may become the reference
    asked.scales = dict(known.scales)
    asked.last_soh = dict(known.last_soh)
    asked.gains = {serial: dict(gains) for serial, gains in known.gains.items()}
    asked.counts = {serial: dict(counts) for serial, counts in known.counts.items()}
    return asked


def _moved(group: Group, to: Filter) -> Group:
    moved = copy(group)
    moved.state, moved.at, moved.aside = to.state, dict(group.at), dict(group.aside)
    return moved


def _facts(scale: Scale) -> PackFacts:
    return PackFacts(
        serial_no=scale.serial_no,
        nominal_kwh=scale.nominal_kwh if scale.nominal_stated else None,
        soh_zero_fraction=scale.zero if scale.zero_stated else None,
        soh_full_fraction=scale.full,
        unusable_soc_pct=scale.unusable_pct,
        curve=scale.relative,
    )
