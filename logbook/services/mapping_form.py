"""A form that makes a mapping: which column of a foreign CSV file is which field. Nothing is guessed, a table is proposed."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from logbook.errors import DataRefused, FileTrouble
from logbook.exchange.mapping import ORDERS, mapping_of
from logbook.services import typed
from logbook.services.export_list import free_path
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Meaning, Reader

_SEPARATORS: Final = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
_DECIMALS: Final = {"point": ".", "comma": ","}
_ENCODINGS: Final = ("utf-8", "utf-8-sig", "cp1252", "latin-1")
_TIMES: Final = ("off_blocks", "takeoff", "landing", "on_blocks")
_WORDS: Final = ("aircraft", "pilot", "second_person", "place_from", "place_to", "exercise", "remarks")
_NUMBERS: Final = ("landings_day", "landings_night", "circuits", "climb_ft", "level_min", "mass_kg", "aboard")
_CHOICES: Final = ("function", "second_function", "kind")
_LABELS: Final = {
    "aircraft": "Aeroplane", "date": "Date", "off_blocks": "Off blocks", "takeoff": "Take-off", "landing": "Landing",
    "on_blocks": "On blocks", "pilot": "Pilot", "function": "Function", "second_person": "Second person",
    "second_function": "Their function", "place_from": "From", "place_to": "To", "kind": "Kind",
    "landings_day": "Landings, day", "landings_night": "Landings, night", "circuits": "Circuits",
    "climb_ft": "Feet climbed", "level_min": "Level minutes", "mass_kg": "Mass [kg]", "aboard": "Aboard",
    "exercise": "Exercise", "remarks": "Remarks",
}  # fmt: skip
_ORDER: Final = tuple(_LABELS)
_PACKS: Final = 2
_READINGS: Final = {
    "soc_departure_pct": "charge before",
    "soc_landing_pct": "charge after",
    "temp_max_c": "highest temp.",
}
_MOST: Final = 2**16


def columns_of(path: Path) -> list[str]:
    """The headings of a CSV file, whichever of the usual signs stands between them.

    Raises:
        DataRefused: its first line is no row of headings.
        FileTrouble: it cannot be read.
    """
    line = _first_line(path)
    row = next(csv.reader([line], delimiter=_separator_of(line)), [])
    found = [cell.strip() for cell in row if cell.strip()]
    if len(found) < 2:
        raise DataRefused(
            f"The first line of {path.name} holds no headings.",
            next_step="Write a mapping by hand: docs/exchange.md.",
        )
    return found


def _first_line(path: Path) -> str:
    try:
        with path.open("rb") as file:
            raw = file.readline(_MOST)
    except OSError as error:
        raise FileTrouble(f"{path} cannot be read: {error.strerror}.", next_step="Check its name.") from error
    try:
        return raw.decode("utf-8-sig").rstrip("\r\n")
    except UnicodeDecodeError:
        return raw.decode("latin-1").rstrip("\r\n")


def _separator_of(line: str) -> str:
    return max(_SEPARATORS.values(), key=line.count)


def mapping_form(path: Path) -> PlainForm:
    """The form for a file of flights: its signs, then a column for each field.

    What the file's first line shows is offered, and counts only where it is confirmed or typed; so does a heading that
    is called exactly as the field.

    Raises:
        DataRefused: its first line is no row of headings.
        FileTrouble: it cannot be read.
    """
    names = columns_of(path)
    line = _first_line(path)
    separator = next(word for word, sign in _SEPARATORS.items() if sign == _separator_of(line))
    file = "The file"
    fields = [
        FormField("separator", "Separator", "needed", f"Between cells: {', '.join(_SEPARATORS)}.", file, separator, True),
        FormField("encoding", "Encoding", "", f"Of the letters: {', '.join(_ENCODINGS)}. Empty: utf-8.", file),
        FormField("decimal", "Decimal sign", "", "Point or comma. Empty: point.", file),
        FormField("order", "Order of dates", "needed", f"One of: {', '.join(ORDERS)}.", file, "", True),
        FormField("zone", "Clock of times", "", "UTC, or a time zone such as Europe/Rome; needed where there are times.", file),
    ]  # fmt: skip
    readers: dict[str, Reader] = {
        "separator": typed.one_of(tuple(_SEPARATORS)),
        "encoding": typed.one_of(_ENCODINGS),
        "decimal": typed.one_of(tuple(_DECIMALS)),
        "order": typed.one_of(tuple(ORDERS)),
    }
    column = _column(names)
    for name in _ORDER:
        same = next((one for one in names if one.casefold() == name), "")
        needed = name in ("aircraft", "date")
        help_words = _help(name)
        fields.append(
            FormField(name, _LABELS[name], "needed" if needed else "", help_words, "Columns", same, needed)
        )
        readers[name] = column
    for pack in range(1, _PACKS + 1):
        part = f"Readings of pack {pack}"
        place = f"pack{pack}.fitted"
        fields.append(
            FormField(
                place,
                "Position",
                "",
                "Where the pack is fitted, as the aeroplane calls it: the book knows which pack that was.",
                part,
            )
        )
        for name, label in _READINGS.items():
            fields.append(
                FormField(f"pack{pack}.{name}", label.capitalize(), "", f"The column with the {label}.", part)
            )
            readers[f"pack{pack}.{name}"] = column
    return PlainForm(f"Mapping for {path.name}", tuple(fields), readers)


def _help(name: str) -> str:
    if name in _TIMES:
        return "The column with the time of day; the day is that of the date."
    if name in _CHOICES:
        return "The column; its words must be those of this program, else write them into the mapping file."
    return "The heading of the column, or =TEXT for the same in every row."


def _column(names: list[str]) -> Reader:
    known = typed.known_name(tuple(names), "column")

    def read(text: str) -> Meaning:
        bare = text.strip()
        if bare.startswith("=") and bare[1:].strip():
            value = bare[1:].strip()
            return Meaning({"value": value}, f"always {value}")
        found = known(text)
        if found.problem.startswith("no column"):
            return Meaning(problem=f"no column is called so; there are: {', '.join(names[:6])} …")
        return found

    return read


def save_mapping(path: Path, values: Mapping[str, Any]) -> Path:
    """Writes the mapping beside the file, under a name that is free, once it is one that can be used.

    Raises:
        UsageError: it cannot be used, with the reason.
        FileTrouble: it cannot be written.
    """
    told = told_of(values)
    mapping_of(told)
    target = free_path(path.with_name(f"{path.stem}.mapping.toml"))
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(f"# How the columns of {json.dumps(path.name)} are read.\n{_toml(told)}")
    except OSError as error:
        raise FileTrouble(
            f"{target} cannot be written: {error.strerror}.", next_step="Put the file where you may write."
        ) from error
    return target


def told_of(values: Mapping[str, Any]) -> dict[str, Any]:
    """What was filled in, as the words of a mapping file."""
    file = {"separator": _SEPARATORS[values.get("separator") or "comma"]}
    file |= {"encoding": values["encoding"]} if values.get("encoding") else {}
    file |= {"decimal": _DECIMALS[values["decimal"]]} if values.get("decimal") else {}
    dates = {name: values[name] for name in ("order", "zone") if values.get(name)}
    day = values.get("date")
    columns = {name: _cell(name, values[name], day) for name in _ORDER if values.get(name)}
    readings = {}
    for pack in range(1, _PACKS + 1):
        group = {name: values[f"pack{pack}.{name}"] for name in _READINGS if values.get(f"pack{pack}.{name}")}
        place = values.get(f"pack{pack}.fitted")
        if group:
            readings[f"pack{pack}"] = ({"serial_no": {"fitted": place}} if place else {}) | group
    return {"kind": "flight", "file": file, "dates": dates, "columns": columns} | (
        {"readings": readings} if readings else {}
    )


def _cell(name: str, chosen: Any, day: Any) -> Any:
    if isinstance(chosen, dict):
        return chosen
    if name == "date":
        return {"column": chosen, "as": "date"}
    if name in _TIMES:
        earlier = {} if name == _TIMES[0] else {"after": _TIMES[0]}
        return {"column": chosen, "as": "time", "date": day if isinstance(day, str) else ""} | earlier
    return chosen


def _toml(told: Mapping[str, Any], path: str = "") -> str:
    """TOML of nested tables of texts; a text of JSON is one of TOML (TOML 1.0, basic strings)."""
    plain = {name: value for name, value in told.items() if not isinstance(value, dict) or _inline(path)}
    lines = [f"{name} = {_value(value)}" for name, value in plain.items()]
    text = "\n".join(lines) + "\n" if lines else ""
    for name, value in told.items():
        if name not in plain:
            inner = f"{path}.{name}" if path else name
            heading = "" if inner == "readings" else f"\n[{inner}]\n"
            text += heading + _toml(value, inner)
    return text


def _inline(path: str) -> bool:
    """Below these headings, what is a table stands on one line."""
    return path == "columns" or path.startswith("readings.")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_value(one)}" for name, one in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)
