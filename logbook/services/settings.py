"""The settings of a book: bands of the rules, the clock, the looks; each with what it means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.errors import DataRefused
from logbook.measures import CHOICES
from logbook.rules.thresholds import Thresholds
from logbook.services import typed
from logbook.services.liked_units import SETTING as UNITS_SETTING
from logbook.services.liked_units import measures_of, wanted_measures
from logbook.services.money import SETTING as CURRENCY
from logbook.services.money import currency_of, read_currency
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.refresh import thresholds
from logbook.services.rule_settings import read_rule_settings, rule_settings_of
from logbook.services.typed import Meaning, Reader
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


CLOCKS: Final = ("utc", "local")
_UNITS: Final = {
    "mass": ("Mass", "Take-off mass, empty mass."),
    "temperature": ("Temperature", "Of packs and of the air."),
    "distance": ("Distance", "Of the legs of a plan."),
    "duration": ("Flight times", "Block, air and other flight times: as a clock shows them, in minutes, or in hours with a decimal point. Minutes left, final reserves and the legs of a plan stay in minutes, as the law and the handbooks have them."),
}  # fmt: skip


def units_form(book: Book) -> PlainForm:
    """The form of the units; what is recorded stays as it is."""
    now = measures_of(book)._asdict()
    fields = tuple(
        FormField(
            name,
            label,
            "  ".join(f"{number} {unit}" for number, unit in enumerate(CHOICES[name], 1)),
            f"{words} Another unit may always be typed by its name, such as 154 lb.",
            expected=now[name],
        )
        for name, (label, words) in _UNITS.items()
    )
    return PlainForm("Units", fields, {name: _unit(CHOICES[name]) for name in _UNITS}, changing=True)


def _unit(units: tuple[str, ...]) -> Reader:
    """Reads one of some units by its number or its name, without its sign of a degree if need be."""

    def read(text: str) -> Meaning:
        low = text.strip().casefold().lstrip("°")
        named = [unit for unit in units if unit.casefold().lstrip("°") == low]
        if low.isdecimal() and len(low) == 1 and 1 <= int(low) <= len(units):
            named = [units[int(low) - 1]]
        if len(named) != 1:
            return Meaning(problem="one of " + "  ".join(f"{n} {unit}" for n, unit in enumerate(units, 1)))
        return Meaning(named[0], named[0])

    return read


def settings_of(book: Book) -> dict[str, str]:
    """What is set, as `logbook settings` says it: who is at the keys, the clock, the currency, the units, rules."""
    kept = Derived(book)
    return {
        "operator": kept.setting("operator") or "",
        "clock": kept.setting("clock") or CLOCKS[0],
        "currency": currency_of(book),
        **measures_of(book)._asdict(),
        **rule_settings_of(book),
    }


def change_settings(book: Book, changes: Mapping[str, str]) -> dict[str, str]:
    """Changes settings, all or none.

    Raises:
        DataRefused: there is no such setting, or it cannot be that.
    """
    units = {name: value for name, value in changes.items() if name in CHOICES}
    rules = read_rule_settings(changes)
    others = {name: value for name, value in changes.items() if name not in CHOICES and name not in rules}
    for name, value in others.items():
        if name not in ("operator", "clock", CURRENCY):
            raise DataRefused(
                f"There is no setting '{name}'.", next_step=f"There are: {', '.join(settings_of(book))}."
            )
        if name == "clock" and value not in CLOCKS:
            raise DataRefused(f"clock '{value}' is no clock.", next_step="There are: utc, local.")
    if CURRENCY in others:
        others[CURRENCY] = read_currency(others[CURRENCY])
    measures = wanted_measures(book, units)
    with book.writing():
        Derived(book).set(UNITS_SETTING, measures._asdict())
        for name, value in others.items():
            Derived(book).set(name, value or None)
        for name, kept in rules.items():
            Derived(book).set(name, kept)
    return settings_of(book)


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
