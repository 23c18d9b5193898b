"""The settings of a book: the clock, the units, the currency, rules typed as a whole; each with what it means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from logbook.errors import DataRefused
from logbook.measures import CHOICES
from logbook.services.liked_units import SETTING as UNITS_SETTING
from logbook.services.liked_units import measures_of, wanted_measures
from logbook.services.money import SETTING as CURRENCY
from logbook.services.money import currency_of, read_currency
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.rule_settings import read_rule_settings, rule_settings_of
from logbook.services.typed import Meaning, Reader
from logbook.store.database import Book
from logbook.store.settings import Settings

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
    kept = Settings(book)
    return {
        "operator": kept.value("operator") or "",
        "clock": kept.value("clock") or CLOCKS[0],
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
        Settings(book).set(UNITS_SETTING, measures._asdict())
        for name, value in others.items():
            Settings(book).set(name, value or None)
        for name, kept in rules.items():
            Settings(book).set(name, kept)
    return settings_of(book)
