"""A record of any kind in words: its title, and its fields as label, figure and unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from logbook.measures import USUAL, Measures, quantity_of
from logbook.services.form_readers import UNITS, type_name, types_of
from logbook.services.form_words import FORM_WORDS
from logbook.services.kinds import kind_of
from logbook.services.money import unit_of
from logbook.services.record_form import as_typed, title_of
from logbook.store.catalogue import TABLES
from logbook.units import plain_number

Line = tuple[str, str, str, str]
"""Label, value, unit, remark."""


def title(kind: str, shown: Mapping[str, Any]) -> str:
    """What a record is, such as `Place HOME`."""
    name = shown.get(TABLES[kind_of(kind).table].key) or shown.get("item") or shown.get("text") or ""
    return f"{title_of(kind).capitalize()}: {name}" if name else title_of(kind).capitalize()


def lines(kind: str, shown: Mapping[str, Any], measures: Measures = USUAL, currency: str = "") -> list[Line]:
    """The filled fields of a record in the order of its form, and who entered it; prices in the currency of the book."""
    types = types_of(kind_of(kind).load())
    found: list[Line] = []
    for part in FORM_WORDS[kind]:
        for words in part.fields:
            value = shown.get(words.name)
            if value not in (None, "", []):
                found.append(
                    (
                        words.label,
                        *_said(
                            words.name,
                            value,
                            (type_name(types[words.name]), unit_of(words.name, currency) or words.unit),
                            measures,
                        ),
                        "",
                    )
                )
    entered = shown.get("entered_at")
    if entered:
        found.append(
            ("Entered", f"{as_typed(entered)} UTC by {shown.get('entered_by') or 'nobody named'}", "", "")
        )
    return found


_TELLING = {
    "aircraft": ("type", "base"),
    "pack-type": ("nominal_kwh", "maker_text"),
    "pack": ("part_no", "state"),
    "person": ("role_text", "licence_no"),
    "person-item": ("item", "valid_until"),
    "place": ("zone",),
    "installation": ("aircraft", "position", "fitted", "removed"),
}


_ENDINGS: Final = {"nominal_kwh": " kWh", "fitted": " UTC", "removed": " UTC"}


def one_line(kind: str, row: Mapping[str, Any]) -> tuple[str, str, str]:
    """A record for a list: its id, its name, and what tells it from others."""
    table = TABLES[kind_of(kind).table]
    name = row.get(table.key) or row.get("person") or row.get("serial_no") or row.get("aircraft") or ""
    words = []
    for column in _TELLING.get(kind, ()):
        value = row.get(column)
        if value in (None, ""):
            continue
        prefix = {"fitted": "from ", "removed": "to ", "valid_until": "until "}.get(column, "")
        words.append(f"{prefix}{as_typed(value)}{_ENDINGS.get(column, '')}")
    return str(row[table.file_id]), str(name), ", ".join(words)


def _said(name: str, value: Any, declared: tuple[str, str], measures: Measures) -> tuple[str, str]:
    """Figure and unit; `declared` is the type of the column and the unit its form names."""
    kind, unit = declared
    quantity = quantity_of(name)
    if quantity:
        return measures.figure(value, quantity), measures.unit_after(quantity)
    said = _SAID.get(kind)
    if said is not None:
        return said(value)
    if kind == "Date" or isinstance(value, str) or name == "positions":
        return as_typed(value), ""
    return as_typed(value), unit or UNITS.get(kind, "")


_SAID: Final[Mapping[str, Callable[[Any], tuple[str, str]]]] = {
    "Yes": lambda value: ("yes" if value else "no", ""),
    "Fraction": lambda value: (f"{value * 100:g}", "% of the nominal capacity"),
    "Tenths": lambda value: (" ".join(plain_number(one) for one in value), "full to empty"),
    "Instant": lambda value: (f"{as_typed(value)} UTC", ""),
}
"""How values of some types are said: the figure, and its unit."""
