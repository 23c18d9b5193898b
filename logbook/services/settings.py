"""The settings of a book: bands of the rules, the clock, the looks; each with what it means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.rules.thresholds import Thresholds
from logbook.services import typed
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.refresh import thresholds
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.units import plain_number

_BANDS: Final = {
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
    "conditions_over_min": ("Conditions over", "min", "Night, IFR or instrument time may exceed the flight by so much.", 1440),
    "recorded_soc_pct": ("Recorded charge", "points", "A charge that was written down may differ by so much from the recorded one.", 100),
    "recorded_temp_c": ("Recorded temperature", "°C", "A temperature that was written down may differ by so much from the recorded one.", 100),
    "recorded_time_min": ("Recorded time", "min", "A time that was written down may differ by so much from the recorded one.", 1440),
}  # fmt: skip


def bands_form(book: Book) -> PlainForm:
    """The bands of the rules: what stands now is what is expected; `-` takes the usual value again."""
    now = thresholds(book)._asdict()
    fields = tuple(
        FormField(
            name, label, unit, f"{words} Common practice, no published source.", "", plain_number(now[name])
        )
        for name, (label, unit, words, _) in _BANDS.items()
    )
    readers = {name: typed.number(unit, 0, most) for name, (_, unit, _, most) in _BANDS.items()}
    return PlainForm("When rules speak", fields, readers, changing=True)


def save_bands(book: Book, values: Mapping[str, Any]) -> int:
    """Keeps the bands; every flight is looked at again. Returns how many bands are not the usual ones."""
    usual = Thresholds()._asdict()
    wanted = thresholds(book)._asdict() | dict(values)
    own = {name: value for name, value in wanted.items() if value is not None and value != usual[name]}
    with book.writing():
        derived = Derived(book)
        derived.set("thresholds", own)
        derived.mark_all()
    return len(own)
