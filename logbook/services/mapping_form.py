"""A form that makes a mapping: which column of a foreign CSV file is which field. Nothing is guessed, a table is proposed."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from logbook.errors import DataRefused, FileTrouble
from logbook.exchange.conversions import IN_FORMS
from logbook.exchange.mapping import ORDERS, TWICE, mapping_of
from logbook.services import typed, typed_time
from logbook.services.export_list import free_path
from logbook.services.flight_fields import FUNCTIONS, KINDS
from logbook.services.mapping_told import (
    CELLS,
    DECIMALS,
    LENGTHS,
    PACKS,
    READINGS,
    SEPARATORS,
    TIMES,
    UNITS,
    WHOLE,
    told_of,
    toml_of,
)
from logbook.services.mapping_words_typed import words_reader
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Meaning, Reader

_ENCODINGS: Final = ("utf-8", "utf-8-sig", "cp1252", "latin-1")
_CHOICES: Final = ("function", "second_function", "kind")
_LABELS: Final = {
    "aircraft": "Aeroplane", "date": "Date", "off_blocks": "Off blocks", "takeoff": "Take-off", "landing": "Landing",
    "on_blocks": "On blocks", "block_time": "or block time", "air_time": "or air time", "pilot": "Pilot", "function": "Function", "second_person": "Second person",
    "second_function": "Their function", "place_from": "From", "place_to": "To", "kind": "Kind",
    "landings_day": "Landings, day", "landings_night": "Landings, night", "circuits": "Circuits",
    "climb_ft": "Climbed", "highest_ft": "Highest", "level_min": "Level time", "mass_kg": "Mass",
    "outside_temp_c": "Outside", "wind_dir": "Wind from", "wind_kt": "Wind", "aboard": "Aboard",
    "exercise": "Exercise", "remarks": "Remarks",
}  # fmt: skip
_ORDER: Final = tuple(_LABELS)
_WHOLE_HELP: Final = (
    "One charge that was read for the whole aeroplane: kept as such, never copied into two packs."
)
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
    return max(SEPARATORS.values(), key=line.count)


def mapping_form(path: Path) -> PlainForm:
    """The form for a file of flights: its signs, then a column for each field.

    What the file's first line shows is offered, and counts only where it is confirmed or typed; so does a heading that
    is called exactly as the field.

    Raises:
        DataRefused: its first line is no row of headings.
        FileTrouble: it cannot be read.
    """
    names = columns_of(path)
    fields = [*_of_the_file(path), *_of_columns(names), *_of_words(), *_of_units()]
    column, plain = _column(names, _samples(path)), _column(names, _samples(path), constants=False)
    readers: dict[str, Reader] = {
        "separator": typed.one_of(tuple(SEPARATORS)),
        "encoding": typed.one_of(_ENCODINGS),
        "decimal": typed.one_of(tuple(DECIMALS)),
        "order": typed.one_of(tuple(ORDERS)),
        "century": _century,
        "cells": typed.one_of(CELLS),
        "zone": _zone,
        "twice": typed.one_of(TWICE),
        "lengths": typed.one_of(IN_FORMS),
        **{name: typed.one_of(tuple(words)) for name, (_, words, _) in UNITS.items()},
        **{name: plain if name in (*TIMES, *LENGTHS, "date") else column for name in _ORDER},
        **{f"whole.{name}": column for name in WHOLE},
        "kind_words": words_reader(KINDS),
        "function_words": words_reader(FUNCTIONS),
    }
    for pack in range(1, PACKS + 1):
        fields += _of_pack(pack)
        readers |= {f"pack{pack}.{name}": column for name in READINGS}
    fields += [
        FormField(
            f"whole.{name}", READINGS[name].capitalize(), "", _WHOLE_HELP, "Read once for all packs together"
        )
        for name in WHOLE
    ]
    return PlainForm(f"Mapping for {path.name}", tuple(fields), readers)


def _of_the_file(path: Path) -> list[FormField]:
    line, file, dates = _first_line(path), "The file", "Dates and times"
    separator = next(word for word, sign in SEPARATORS.items() if sign == _separator_of(line))
    return [
        FormField("separator", "Separator", "needed", f"Between cells: {', '.join(SEPARATORS)}.", file, separator, True),
        FormField("encoding", "Encoding", "", f"Of the letters: {', '.join(_ENCODINGS)}. Empty: utf-8.", file),
        FormField("decimal", "Decimal sign", "", "Point or comma. Empty: point.", file),
        FormField("order", "Order of dates", "needed", f"One of: {', '.join(ORDERS)}.", dates, "", True),
        FormField("century", "Century", "", "Added to years of two digits: 2000 or 1900. Empty: such years are refused.", dates),
        FormField("cells", "Times hold", "", f"{CELLS[0]} (the day is that of the date), or {CELLS[1]} in one cell. Empty: {CELLS[0]}.", dates),
        FormField("zone", "Clock of times", "", "UTC, or a time zone such as Europe/Rome; needed where there are times.", dates),
        FormField("twice", "Clocks put back", "", f"A local time that came twice: {', '.join(TWICE)}. Empty: refused.", dates),
        FormField("lengths", "Durations as", "", "h:mm is 1:15, decimal hours 1.25, minutes 75; needed where a block or air time is named.", dates),
    ]  # fmt: skip


def _of_columns(names: list[str]) -> list[FormField]:
    found = []
    for name in _ORDER:
        same = next((one for one in names if one.casefold() == name), "")
        needed = name == "aircraft"
        found.append(
            FormField(name, _LABELS[name], "needed" if needed else "", _help(name), "Columns", same, needed)
        )
    return found


def _of_words() -> list[FormField]:
    part = "Words of the file, where they are not ours"
    return [
        FormField(
            name, label, "", f"{about} = ours, with commas between: {', '.join(ours)}; - is unknown.", part
        )
        for name, label, about, ours in (
            ("kind_words", "Kinds", "Theirs", KINDS),
            ("function_words", "Functions", "Theirs", FUNCTIONS),
        )
    ]


def _of_units() -> list[FormField]:
    part = "Units of the file, where they are not ours"
    return [
        FormField(name, label, "", f"One of: {', '.join(words)}. Empty: {next(iter(words))}.", part)
        for name, (label, words, _) in UNITS.items()
    ]


def _of_pack(pack: int) -> list[FormField]:
    part = f"Readings of pack {pack}"
    place_help = "Where the pack is fitted, as the aeroplane calls it: the book knows which pack that was."
    return [
        FormField(f"pack{pack}.fitted", "Position", "", place_help, part),
        *(
            FormField(f"pack{pack}.{name}", label.capitalize(), "", f"The column with the {label}.", part)
            for name, label in READINGS.items()
        ),
    ]


def _help(name: str) -> str:
    if name in LENGTHS:
        end, start = (_LABELS[one] for one in LENGTHS[name])
        return f"The column with how long it took, where there is none for {end}: counted from {start}."
    if name in TIMES:
        return "The column with the time."
    if name == "date":
        return "The column of the local day. Needed unless times hold the date; without it the day in UTC."
    if name in _CHOICES:
        return "The column. Where its words are not ours, say below what they mean."
    return "The heading of the column, or =TEXT for the same in every row."


def _zone(text: str) -> Meaning:
    """A zone of the public zone database."""
    bare = text.strip()
    if typed_time.zone_named(bare) is None:
        return Meaning(problem="no such zone is known; UTC, or a name such as Europe/Rome")
    return Meaning(bare, bare)


def _century(text: str) -> Meaning:
    return (
        Meaning(int(text), text.strip())
        if text.strip() in ("1900", "2000")
        else Meaning(problem="2000 or 1900")
    )


def _samples(path: Path) -> dict[str, str]:
    """What stands below each heading in the first row, to be shown beside what is typed."""
    try:
        with path.open("rb") as file:
            raw = [file.readline(_MOST) for _ in range(2)]
    except OSError:
        return {}
    text = [line.decode("utf-8-sig", "replace").rstrip("\r\n") for line in raw]
    heads, cells = (next(csv.reader([line], delimiter=_separator_of(text[0])), []) for line in text)
    return {head.strip(): cell.strip() for head, cell in zip(heads, cells, strict=False)}


def _column(names: list[str], samples: Mapping[str, str], *, constants: bool = True) -> Reader:
    known = typed.known_name(tuple(names), "column")

    def read(text: str) -> Meaning:
        bare = text.strip()
        if constants and bare.startswith("=") and bare[1:].strip():
            value = bare[1:].strip()
            return Meaning({"value": value}, f"always {value}")
        found = known(text)
        if found.problem.startswith("no column"):
            return Meaning(problem=f"no column is called so; there are: {', '.join(names[:6])} …")
        if found.value in samples:
            return found._replace(echo=f"{found.value}: first row '{samples[found.value][:24]}'")
        return found

    return read


def save_mapping(path: Path, values: Mapping[str, Any]) -> Path:
    """Writes the mapping beside the file, under a name that is free, once it is one that can be used.

    Raises:
        DataRefused: a field is missing that another one needs; `field` names it.
        UsageError: it cannot be used, with the reason.
        FileTrouble: it cannot be written.
    """
    told = told_of(values, _ORDER)
    mapping_of(told)
    target = free_path(path.with_name(f"{path.stem}.mapping.toml"))
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(f"# How the columns of {json.dumps(path.name)} are read.\n{toml_of(told)}")
    except OSError as error:
        raise FileTrouble(
            f"{target} cannot be written: {error.strerror}.", next_step="Put the file where you may write."
        ) from error
    return target
