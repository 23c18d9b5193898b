"""The form of the bands: how far a figure may be off before a rule speaks, of flights and of charges."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.rules.charge_rules import ChargeBands
from logbook.rules.thresholds import Thresholds
from logbook.services import typed
from logbook.services.charge_cases import bands as charge_bands
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.refresh import thresholds
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.settings import Settings
from logbook.units import plain_number

_OF_FLIGHTS: Final = {
    "apart_departure_pct": ("Apart, before", "points", "Packs may differ by so much before start.", 100),
    "apart_landing_pct": ("Apart, after", "points", "Packs may differ by so much after landing.", 100),
    "soc_rise_pct": ("Charge may rise", "points", "Charge may seem to rise in flight by so much.", 100),
    "gap_pct": ("Gap", "points", "A departure charge may differ from the last reading by so much.", 100),
    "gap_pct_per_day": ("and a day", "points", "And so much more for each day that passed.", 100),
    "charge_start_pct": ("Charge start", "points", "A charge may start so far from the landing reading.", 100),
    "soh_rise_pct": ("SOH may rise", "points", "State of health may rise by so much without a baseline break.", 100),
    "meter_gap_h": ("Meter gap", "h", "The hour meter may start so far from where it ended.", 10),
    "least_power_share": ("Least power", "of cruise power", "No aeroplane flies on a smaller share of its cruise power.", 1),
    "longest_block_min": ("Longest block", "min", "A longer block time is improbable.", 1440),
    "date_apart_days": ("Date apart", "days", "The date may differ from the day of off blocks (UTC) by so much.", 10_000),
    "ahead_days": ("Entered ahead", "days", "Off blocks may lie so far after the moment of entry.", 10_000),
    "most_power_times": ("Most power", "times cruise power", "The mean power of a flight is at most so many times the cruise power.", 100),
    "emptied_min": ("Emptied in", "min", "No full pack is emptied in less.", 1440),
    "meter_over_h": ("Meter over", "h", "The hour meter may run so much longer than the block time.", 24),
    "legs_over_min": ("Level over", "min", "Level minutes may exceed the block time by so much.", 1440),
    "least_circuit_min": ("Shortest circuit", "min", "No circuit takes less.", 60),
    "most_mass_kg": ("Most mass", "kg", "A greater take-off mass is improbable.", 1e6),
    "most_mass_times": ("and at most", "times handbook mass", "Or one of so many times the mass of the handbook's figures.", 100),
    "conditions_over_min": ("Conditions over", "min", "Night, IFR or instrument time may exceed the flight by so much.", 1440),
    "recorded_soc_pct": ("Recorded charge", "points", "A charge that was written down may differ by so much from the recorded one.", 100),
    "recorded_temp_c": ("Recorded temperature", "°C", "A temperature that was written down may differ by so much from the recorded one.", 100),
    "recorded_time_min": ("Recorded time", "min", "A time that was written down may differ by so much from the recorded one.", 1440),
}  # fmt: skip
_OF_CHARGES: Final = {
    "fall_pct": ("Charge may fall", "points", "Charge may seem to fall by so much while charging.", 100),
    "least_over_filled": ("Meter, at least", "times filled", "The meter over what was filled into the packs, at least.", 10),
    "most_over_filled": ("Meter, at most", "times filled", "The same, at most: above it more went in than can be explained.", 10),
    "slack_kwh": ("and besides", "kWh", "For standby and the gauge's steps, on top of both.", 100),
    "balancing_days": ("Balancing, days", "days", "A full charge with balancing is due after so many days.", 10_000),
    "balancing_cycles": ("or cycles", "cycles", "Or after so many cycles since the last.", 10_000),
    "parked_days": ("Parked full", "days", "A pack may stand so long above its charge for storage.", 10_000),
    "longest_h": ("Longest charge", "h", "A longer charge is improbable.", 10_000),
}  # fmt: skip
"""Column to label, unit, what it means, and the most it can be."""


def bands_form(book: Book) -> PlainForm:
    """The bands of the rules: what stands now is what is expected; `-` takes the usual value again."""
    groups: tuple[tuple[str, Mapping[str, tuple[str, str, str, float]], Mapping[str, float]], ...] = (
        ("Flights", _OF_FLIGHTS, thresholds(book)._asdict()),
        ("Charges", _OF_CHARGES, charge_bands(book)._asdict()),
    )
    fields = tuple(
        FormField(
            name, label, unit, f"{words} Common practice, no published source.", part, plain_number(now[name])
        )
        for part, group, now in groups
        for name, (label, unit, words, _) in group.items()
    )
    readers = {
        name: typed.number(unit, 0, most)
        for _, group, _ in groups
        for name, (_, unit, _, most) in group.items()
    }
    return PlainForm("When rules speak", fields, readers, changing=True)


def save_bands(book: Book, values: Mapping[str, Any]) -> int:
    """Keeps the bands; every flight is looked at again. Returns how many bands are not the usual ones."""
    of_flights = _unusual(thresholds(book)._asdict(), values, Thresholds()._asdict())
    of_charges = _unusual(charge_bands(book)._asdict(), values, ChargeBands()._asdict())
    with book.writing():
        kept = Settings(book)
        kept.set("thresholds", of_flights)
        kept.set("charge_bands", of_charges)
        Derived(book).mark_all()
    return len(of_flights) + len(of_charges)


def bands_changed(book: Book) -> int:
    """How many bands are not the usual ones."""
    kept = Settings(book)
    return sum(len(kept.value(name) or {}) for name in ("thresholds", "charge_bands"))


def _unusual(
    now: Mapping[str, float], values: Mapping[str, Any], usual: Mapping[str, float]
) -> dict[str, float]:
    """Those of one kind that differ from the usual ones, after some values were typed; None takes the usual again."""
    wanted = {name: values.get(name, now[name]) for name in usual}
    return {name: value for name, value in wanted.items() if value is not None and value != usual[name]}
