"""What was filled in on the form of a mapping, as the words of a mapping file, and these as TOML."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any, Final

from logbook.errors import DataRefused

SEPARATORS: Final = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
DECIMALS: Final = {"point": ".", "comma": ","}
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
CELLS: Final = ("time of day", "date and time")
"""What a cell with a time holds."""
TIMES: Final = ("off_blocks", "takeoff", "landing", "on_blocks")
LENGTHS: Final = {"block_time": ("on_blocks", "off_blocks"), "air_time": ("landing", "takeoff")}
"""A duration: the time it leads to, and the time it counts from."""
UNITS: Final[dict[str, tuple[str, dict[str, str], tuple[str, ...]]]] = {
    "mass_unit": ("Masses", {"kg": "", "lb": "lb"}, ("mass_kg",)),
    "temperature_unit": (
        "Temperatures", {"celsius": "", "fahrenheit": "fahrenheit"}, ("outside_temp_c", "temp_max_c"),
    ),
    "height_unit": ("Heights", {"ft": "", "m": "m"}, ("climb_ft", "highest_ft")),
    "wind_unit": ("Wind", {"kt": "", "km/h": "km/h", "m/s": "m/s", "mph": "mph"}, ("wind_kt",)),
    "level_unit": ("Level time", {"minutes": "", "hours": "hours"}, ("level_min",)),
    "charge_unit": ("Charges", {"percent": "", "fraction": "fraction"}, ("soc_departure_pct", "soc_landing_pct")),
}  # fmt: skip
"""What is asked about units: label, the words of the form with those of a mapping, and the fields it is about. The first is ours."""

WORDS: Final[dict[str, tuple[str, ...]]] = {
    "kind_words": ("kind",),
    "function_words": ("function", "second_function"),
}
"""What the file's own words are asked for, and the fields they stand in."""

PACKS: Final = 2
READINGS: Final = {
    "soc_departure_pct": "charge before",
    "soc_landing_pct": "charge after",
    "temp_max_c": "highest temp.",
}
WHOLE: Final = ("soc_departure_pct", "soc_landing_pct")
"""What may have been read once for the whole aeroplane."""


def told_of(values: Mapping[str, Any], order: tuple[str, ...]) -> dict[str, Any]:
    """What was filled in, as the words of a mapping file.

    Args:
        values: the fields of the form.
        order: the fields of a flight, as they stand in the file.

    Raises:
        DataRefused: a field is missing that another one needs, or two say the same time; `field` names it.
    """
    file = {"separator": SEPARATORS[values.get("separator") or "comma"]}
    file |= {"encoding": values["encoding"]} if values.get("encoding") else {}
    file |= {"decimal": DECIMALS[values["decimal"]]} if values.get("decimal") else {}
    dates: dict[str, Any] = {name: values[name] for name in ("order", "zone", "twice") if values.get(name)}
    dates |= {"century": values["century"]} if values.get("century") else {}
    columns: dict[str, Any] = {}
    for name in order:
        if values.get(name):
            columns |= _column(name, values)
    _refuse_without_day(values, columns)
    _refuse_words_alone(values, columns)
    groups = _groups(values)
    return {"kind": "flight", "file": file, "dates": dates, "columns": columns} | (
        {"readings": groups} if groups else {}
    )


def _refuse_without_day(values: Mapping[str, Any], columns: Mapping[str, Any]) -> None:
    by_clock = [
        name for name in TIMES if isinstance(columns.get(name), dict) and columns[name].get("as") == "time"
    ]
    if by_clock and not isinstance(values.get("date"), str):
        raise DataRefused(
            "Times of day need the column with their day.",
            next_step="Name the column of the date.",
            field="date",
        )


def _refuse_words_alone(values: Mapping[str, Any], columns: Mapping[str, Any]) -> None:
    for asked, names in WORDS.items():
        if values.get(asked) and not any("words" in columns.get(name, {}) for name in names):
            raise DataRefused(
                "Words are told for a column that is not.",
                next_step="Name the column in which they stand.",
                field=names[0],
            )


def _column(name: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """One field of the form as the fields of a mapping it stands for."""
    chosen = values[name]
    if name in LENGTHS:
        return _length(name, values)
    if isinstance(chosen, dict):
        return {name: chosen}
    if name == "date":
        return {name: {"column": chosen, "as": "date"}}
    if name in TIMES:
        if values.get("cells") == CELLS[1]:
            return {name: {"column": chosen, "as": "instant"}}
        earlier = {} if name == TIMES[0] else {"after": TIMES[0]} if values.get(TIMES[0]) else {}
        day = values.get("date")
        return {
            name: {"column": chosen, "as": "time", "date": day if isinstance(day, str) else "-"} | earlier
        }
    words = next((values.get(asked) for asked, names in WORDS.items() if name in names), None)
    meant = {"column": chosen, "words": dict(words)} if words else _in_unit(name, chosen, values)
    return {name: meant}


def _length(name: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """A duration instead of the time it leads to."""
    end, start = LENGTHS[name]
    if values.get(end):
        raise DataRefused(
            "The end of that time is told twice.",
            next_step="Name its column, or how long it took.",
            field=name,
        )
    if not values.get(start):
        raise DataRefused(
            "How long it took needs the time it counts from.",
            next_step="Name the column of that.",
            field=start,
        )
    if not values.get("lengths"):
        raise DataRefused(
            "How durations are written is needed.",
            next_step="Say it: 1:15, 1.25 hours or 75 minutes.",
            field="lengths",
        )
    return {end: {"column": values[name], "as": "duration", "in": values["lengths"], "after": start}}


def _in_unit(name: str, chosen: Any, values: Mapping[str, Any]) -> Any:
    """A column with the unit of the file, where it is not ours; a constant is in ours."""
    if isinstance(chosen, dict):
        return chosen
    for asked, (_, words, fields) in UNITS.items():
        unit = words.get(values.get(asked) or "", "")
        if name in fields and unit:
            return {"column": chosen, "from": unit}
    return chosen


def _groups(values: Mapping[str, Any]) -> dict[str, Any]:
    """The readings: of each pack by its position, and those read once for all of them."""
    groups: dict[str, Any] = {}
    for pack in range(1, PACKS + 1):
        found = _readings(f"pack{pack}", tuple(READINGS), values)
        place = values.get(f"pack{pack}.fitted")
        if found and not place:
            raise DataRefused(
                f"The position of pack {pack} is needed.",
                next_step="Name it, or use the fields of all packs together.",
                field=f"pack{pack}.fitted",
            )
        if found:
            groups[f"pack{pack}"] = {"serial_no": {"fitted": place}} | found
    whole = _readings("whole", WHOLE, values)
    return groups | ({"whole": whole} if whole else {})


def _readings(group: str, names: tuple[str, ...], values: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: _in_unit(name, values[f"{group}.{name}"], values)
        for name in names
        if values.get(f"{group}.{name}")
    }


def toml_of(told: Mapping[str, Any], path: str = "") -> str:
    """TOML of nested tables of texts; a text of JSON is one of TOML (TOML 1.0, basic strings)."""
    plain = {name: value for name, value in told.items() if not isinstance(value, dict) or _inline(path)}
    lines = [f"{name} = {_value(value)}" for name, value in plain.items()]
    text = "\n".join(lines) + "\n" if lines else ""
    for name, value in told.items():
        if name not in plain:
            inner = f"{path}.{name}" if path else name
            heading = "" if inner == "readings" else f"\n[{inner}]\n"
            text += heading + toml_of(value, inner)
    return text


def _inline(path: str) -> bool:
    """Below these headings, what is a table stands on one line."""
    return path == "columns" or path.startswith("readings.")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(name)} = {_value(one)}" for name, one in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)


def _key(name: str) -> str:
    """A key as TOML has it: bare where it may be, else quoted (TOML 1.0, keys)."""
    return name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=False)
