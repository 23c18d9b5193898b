"""The catalogue of rules: every flag the program can raise on a flight, with what it means and what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from logbook.rules import (
    condition_rules,
    crew_rules,
    pack_rules,
    recording_rules,
    reserve_rules,
    temperature_rules,
    time_rules,
    value_rules,
)
from logbook.rules.case import FlightCase
from logbook.rules.flag import ORDER, Flag, Rule
from logbook.rules.thresholds import Thresholds

Check = Callable[[FlightCase, Thresholds], Iterator[Flag]]


RULES: Final = {
    rule.rule: rule
    for rule in (
        Rule(
            "landing_below_reserve",
            "landed below the reserve",
            "Talk it over before the next flight; plan with more margin.",
            "operator's policy; NCO.OP.125(b): the reserve must still be there after landing",
        ),
        Rule(
            "final_reserve_short",
            "minutes left below the final reserve",
            "Talk it over before the next flight; look at how old packs shorten the minutes.",
            "AMC1 NCO.OP.125(b), 14 CFR 91.151(a), by the operator's figures",
        ),
        Rule(
            "departure_below_minimum",
            "departed at or below the least charge",
            "Charge before the next departure.",
            "operator's policy",
        ),
        Rule(
            "packs_apart",
            "packs apart in charge",
            "Watch the weaker pack; if it repeats, tell maintenance.",
            "common practice, no source",
        ),
        Rule(
            "soc_rose",
            "charge rose in flight",
            "Compare with the paper; correct the reading.",
            "conservation of energy",
        ),
        Rule(
            "temperature_limit",
            "pack temperature reached its limit",
            "Tell maintenance before the next use.",
            "the pack's limit",
        ),
        Rule(
            "temperature_caution",
            "pack temperature reached caution",
            "Let the pack cool; climb with less power.",
            "the pack's caution",
        ),
        Rule(
            "takeoff_temperature",
            "pack too cold or too hot for take-off",
            "Warm or cool the pack before start.",
            "the pack's limits for take-off",
        ),
        Rule(
            "times_improbable",
            "times improbable",
            "Compare with the paper; correct the times.",
            "energy aboard against least power, energy used against most power; else common practice, no source",
        ),
        Rule(
            "overlap",
            "flights overlap",
            "Correct the times of one of the two flights.",
            "one aeroplane flies one flight at a time",
        ),
        Rule(
            "meter_gap",
            "hour meter does not fit",
            "Enter the missing flight or correct the meter.",
            "common practice, no source",
        ),
        Rule(
            "record_incomplete",
            "record incomplete",
            "Fill in what the law wants.",
            "14 CFR 61.51(b); AMC1 FCL.050 (read second-hand)",
        ),
        Rule(
            "two_pics",
            "two in command",
            "Correct the function of one of them.",
            "FCL.010, 14 CFR 1.1: one pilot in command; 14 CFR 61.51(d): solo is sole occupant",
        ),
        Rule(
            "person_twice",
            "one person twice",
            "Correct the name of the pilot or of the second person.",
            "nobody sits in two seats",
        ),
        Rule(
            "pack_not_fitted",
            "pack not fitted then",
            "Record the fitting, or correct the serial number.",
            "14 CFR 43.10: time accrues only while installed",
        ),
        Rule(
            "pack_quarantined",
            "grounded pack flown",
            "Stop using the pack until maintenance has released it.",
            "the operator's own quarantine",
        ),
        Rule(
            "readings_missing",
            "charge not read",
            "Fill in the reading if somebody knows it; the start of the next charge may tell.",
            "the estimates need both charges",
        ),
        Rule(
            "ledger_gap",
            "gap in the line of charge",
            "Enter the missing charge or flight, or correct the reading.",
            "conservation of charge",
        ),
        Rule(
            "charge_start_differs",
            "landing charge differs from the next charge",
            "Correct whichever was mistyped.",
            "conservation of charge",
        ),
        Rule(
            "packs_swapped",
            "packs' readings look exchanged",
            "Exchange the two landing charges if that is so.",
            "conservation of charge",
        ),
        Rule(
            "soh_rose",
            "state of health rose",
            "Record a baseline break, or correct the reading.",
            "packs do not grow younger",
        ),
        Rule(
            "recording_differs",
            "recording differs from what was written down",
            "Find out which is right: correct the record, or take the recorded value over with logbook recorded; look at the recorder's clock.",
            "common practice, no source",
        ),
        Rule(
            "conditions_exceed_flight",
            "more night, IFR or instrument time than flight",
            "Compare with the paper; correct that time, or the block times.",
            "14 CFR 61.51(b)(3), AMC1 FCL.050 (read second-hand): conditions are parts of the flight or lesson",
        ),
        Rule(
            "value_improbable",
            "value improbable",
            "Compare with the paper; correct the value.",
            "common practice, no source",
        ),
    )
}
"""Every rule by its id."""

_CHECKS: Final[tuple[Check, ...]] = (
    reserve_rules.landing_below_reserve,
    reserve_rules.final_reserve_short,
    reserve_rules.departure_below_minimum,
    temperature_rules.temperatures,
    temperature_rules.takeoff_temperature,
    pack_rules.pack_grounded,
    reserve_rules.packs_apart,
    reserve_rules.soc_rose,
    time_rules.times_improbable,
    time_rules.overlap,
    time_rules.meter_gap,
    pack_rules.pack_not_fitted,
    pack_rules.ledger_gap,
    pack_rules.charge_start_differs,
    pack_rules.soh_rose,
    value_rules.value_improbable,
    pack_rules.readings_missing,
    condition_rules.conditions_exceed_flight,
    recording_rules.recording_differs,
    time_rules.record_incomplete,
    crew_rules.two_pics,
    crew_rules.person_twice,
)


def flags_of(case: FlightCase, bands: Thresholds = Thresholds()) -> list[Flag]:  # noqa: B008 - a frozen tuple
    """Everything the rules find in a flight, the serious first; a rule speaks once for each pack."""
    found: dict[tuple[str, str], Flag] = {}
    for check in _CHECKS:
        for flag in check(case, bands):
            found.setdefault((flag.rule, flag.serial_no), flag)
    return sorted(found.values(), key=lambda flag: ORDER.index(flag.severity))
