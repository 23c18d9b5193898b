"""How the text of a field is read, by the type of its column: numbers with units, days, moments, choices, names."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final, Literal, get_args, get_origin, get_type_hints

from logbook.measures import USUAL, Measures, quantity_of
from logbook.services import typed, typed_time
from logbook.services.typed import Meaning, Reader
from logbook.units import canonical_instant, list_of, parse_number

if TYPE_CHECKING:
    from logbook.domain.record import Part

_MOMENT: Final = re.compile(r"(?:(\S+)[ T])?(\d{1,2}):?(\d{2})\s*(?:z|utc)?", re.IGNORECASE)

UNITS: Final = {
    "Percent": "%",
    "Health": "%",
    "Fraction": "share, 0.46 or 46 %",
    "Tenths": "ten numbers, full to empty",
    "Kwh": "kWh",
    "Kw": "kW",
    "Minutes": "min",
    "Hours": "h",
    "Degrees": "°",
    "Date": "such as 2031-05-09",
    "Instant": "UTC, such as 2031-05-09 0830",
}
"""What stands beside an empty field, by the name of its type in `domain.fields`."""


def share(text: str) -> Meaning:
    """A share of one, typed as such or in percent."""
    percent = text.strip().endswith("%")
    meaning = typed.number("", 0, 200 if percent else 2)(text.replace("%", ""))
    if meaning.problem or meaning.value is None:
        return meaning
    value = meaning.value / 100 if percent else meaning.value
    return Meaning(round(value, 4), f"{value * 100:g} %")


def day(now: str) -> Reader:
    """A day; one to come is nothing to doubt in a date until which something is valid."""
    return lambda text: typed_time.read_day(text, now[:10])._replace(doubt="")


def moment(now: str) -> Reader:
    """A moment in UTC: `now`, `0830` today, `2031-05-09 0830`; one to come is doubted: nothing was done at it."""

    def read(text: str) -> Meaning:
        bare = text.strip()
        if bare.casefold() == "now":
            return Meaning(now, f"{now[:10]} {now[11:16]} UTC")
        match = _MOMENT.fullmatch(bare)
        found = typed_time.read_day(match[1] or now[:10], now[:10]) if match else None
        if match is None or found is None or found.problem:
            return Meaning(problem="a day and a time in UTC, such as 2031-05-09 0830, or now")
        try:
            instant = canonical_instant(f"{found.value}T{int(match[2]):02d}:{match[3]}Z")
        except ValueError:
            return Meaning(problem="there is no such time")
        doubt = "a time to come." if typed_time.still_to_come(instant, now) else ""
        return Meaning(instant, f"{instant[:10]} {instant[11:16]} UTC", doubt=doubt)

    return read


def yes_or_no(text: str) -> Meaning:
    """1 for yes, 0 for no."""
    meaning = typed.one_of(("yes", "no"))(text)
    return meaning if meaning.problem else meaning._replace(value=int(meaning.value == "yes"))


def several(text: str) -> Meaning:
    """Words apart by semicolons or commas."""
    found = list_of(text.replace(",", ";"))
    return Meaning(found, " + ".join(found) if found else "none")


def tenths(text: str) -> Meaning:
    """Energy for one percent in each tenth of charge; repeated as shares of the mean, which is all that counts."""
    from logbook.domain.fields import ten_tenths

    bare = text.strip().strip("[]")
    parts = bare.split(";") if ";" in bare else re.split(r",\s+|\s+", bare)
    try:
        found = ten_tenths([parse_number(part) for part in parts if part.strip()])
    except ValueError as error:
        return Meaning(problem=str(error))
    mean = sum(found) / len(found)
    return Meaning(found, "of their mean: " + " ".join(f"{value / mean:.2f}" for value in found))


def types_of(model: type[Part]) -> dict[str, Any]:
    """The declared type of each column, by the names of the files, without `| None`."""
    hints = get_type_hints(model, include_extras=True)
    found = {}
    for name, field in model.model_fields.items():
        kinds = [kind for kind in get_args(hints[name]) if kind is not type(None)]
        optional = get_origin(hints[name]) is not None and type(None) in get_args(hints[name])
        found[field.alias or name] = kinds[0] if optional else hints[name]
    return found


def type_name(kind: Any) -> str:
    """What `domain.fields` calls a type; empty for choices and lists."""
    from logbook.domain import fields

    for name in ("Number", "Rate", "Count", "Yes", "Text", "Name", *UNITS):
        if getattr(fields, name) == kind:
            return name
    return ""


def reader_for(
    kind: Any, now: str, *, column: str = "", unit: str = "", measures: Measures = USUAL
) -> Reader:
    """How the text of a column is read.

    Args:
        kind: its declared type.
        now: the present moment (UTC, stored form).
        column: its name; where it holds a quantity, that is read in the chosen unit.
        unit: of a number whose type does not say it.
        measures: the units figures are typed in.
    """
    quantity = quantity_of(column)
    if quantity == "°C":
        return typed.pack_temperature(measures)
    if quantity:
        return typed.measured(measures, quantity, 0, 1e8)
    if get_origin(kind) is Literal:
        return typed.one_of(tuple(get_args(kind)))
    if get_origin(kind) is list:
        return several
    plain: dict[str, Reader] = {
        "Percent": typed.percent,
        "Health": typed.health,
        "Fraction": share,
        "Tenths": tenths,
        "Kwh": typed.number("kWh", 0, 100_000),
        "Kw": typed.number("kW", 0, 10_000),
        "Rate": typed.number(unit, 0, 10_000),
        "Number": typed.number(unit, -1e9, 1e9),
        "Minutes": typed.number("min", 0, 1e8),
        "Hours": typed.number("h", 0, 1e6),
        "Degrees": typed.number("°", -360, 360),
        "Count": typed.count(10**6, 10**6),
        "Yes": yes_or_no,
        "Date": day(now),
        "Instant": moment(now),
    }
    return plain.get(type_name(kind), typed.words)
