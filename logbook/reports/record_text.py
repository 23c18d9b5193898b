"""One record as plain text: what was recorded, what follows from it, what was noticed, what it was before."""

from __future__ import annotations

from typing import Any, TextIO

from logbook.measures import TIME, USUAL, Measures, quantity_of, stem_of
from logbook.planning.words import WHOLE_AEROPLANE
from logbook.reports.recording_text import recordings_told, write_beside
from logbook.reports.text_table import Column, liked_columns, liked_row, write_facts, write_table

_APART = ("readings", "crew", "phases", "derived", "flags", "answers", "versions", "token", "packs")

_READING = (
    Column("serial_no", "pack"),
    Column("soc_departure_pct", "from %", right=True),
    Column("soc_landing_pct", "to %", right=True),
    Column("soh_pct", "SOH %", right=True),
    Column("temp_departure_c", "before °C", right=True),
    Column("temp_max_c", "highest °C", right=True),
    Column("temp_landing_c", "after °C", right=True),
    Column("energy", "kWh (low to high)", right=True),
    Column("usable", "usable kWh (low to high)", right=True),
    Column("source", "source"),
)


def write_record(stream: TextIO, kind: str, record: dict[str, Any], measures: Measures = USUAL) -> None:
    """Writes a record as `services.questions.show` gives it; figures in other units than stored name them."""
    write_facts(
        stream, [_named(name, value, measures) for name, value in record.items() if name not in _APART]
    )
    if record.get("readings"):
        _heading(stream, "Readings")
        write_table(
            stream,
            liked_columns(_READING, measures),
            [liked_row(_reading_row(reading), measures) for reading in record["readings"]],
            empty="none",
        )
    for part in ("crew", "phases", "packs"):
        rows = record.get(part)
        if rows:
            _heading(stream, part.capitalize())
            names = [name for name in rows[0] if any(row.get(name) not in (None, "") for row in rows)]
            write_table(
                stream,
                liked_columns([Column(name, name) for name in names], measures),
                [liked_row(row, measures) for row in rows],
                empty="none",
            )
    if record.get("derived"):
        _write_derived(stream, record, measures)
    if record.get("flags"):
        _heading(stream, "Flags")
        for flag in record["flags"]:
            state = " (answered)" if flag["answered"] else ""
            of = f"{flag['flight_id']}: " if "flight_id" in flag else ""
            words = f"{of}{measures.sentence(flag['words'])} [{flag['rule']}]{state}"
            write_facts(stream, [(flag["severity"], words)])
    if record.get("answers"):
        _heading(stream, "Answers")
        write_table(
            stream,
            [
                Column("at", "at UTC"),
                Column("by_whom", "by"),
                Column("rule", "flag"),
                Column("words", "words"),
            ],
            record["answers"],
            empty="none",
        )
    if record.get("versions"):
        _heading(stream, "Earlier states")
        rows = [
            dict(version) | {"differs": _difference(version, record, measures)}
            for version in record["versions"]
        ]
        columns = [
            Column("at", "changed at UTC"),
            Column("by_whom", "by"),
            Column("why", "why"),
            Column("record", "what"),
            Column("differs", "was, where it differs from now"),
        ]
        write_table(stream, columns, rows, empty="none")
    if kind in ("flight", "pack", "plan"):
        stream.write(
            "\nA record and planning aid; the flight manual, local rules and licensed people decide.\n"
        )


def _write_derived(stream: TextIO, record: dict[str, Any], measures: Measures) -> None:
    derived = record["derived"]
    if "block_min" not in derived:  # of a pack or an aeroplane: figures by their names
        _heading(stream, "Derived")
        write_facts(stream, [_named(name, _plain(value), measures) for name, value in derived.items()])
        return
    _heading(stream, "Derived (low to high is meant to hold the truth nine times in ten)")
    one_gauge = all(reading["serial_no"] is None for reading in record["readings"])
    write_facts(stream, _derived(derived, measures, one_gauge=one_gauge))
    if derived.get("recordings"):
        _heading(stream, "Recorded by the aeroplane")
        write_facts(stream, recordings_told(derived))
        write_beside(stream, derived["beside"], empty="Nothing that could be compared.", measures=measures)


def _named(name: str, value: Any, measures: Measures) -> tuple[str, Any]:
    """Name and value; where another unit is chosen than the one in the name, that unit beside the name."""
    quantity = quantity_of(name)
    if not isinstance(value, (int, float)) or measures.unit(quantity) in (quantity, "h:mm"):
        return name, value
    return f"{stem_of(name)} [{measures.unit(quantity)}]", measures.figure(value, quantity)


def _plain(value: Any) -> Any:
    """A list of objects as words: each object's values, then the next object's."""
    if isinstance(value, list):
        return "; ".join(" ".join(map(str, part.values())) for part in value) or "none"
    return value


def _told(name: str, value: Any, measures: Measures) -> tuple[str, str]:
    label, shown = _named(name, value, measures)
    return label, str(shown)


def _time(name: str, minutes: float | None, measures: Measures) -> tuple[str, Any]:
    """Recorded minutes stay minutes where times are shown as a clock shows them: this page has plain figures."""
    unit = "min" if measures.duration == "h:mm" else measures.duration
    return f"{name} [{unit}]", minutes if unit == "min" or minutes is None else measures.figure(minutes, TIME)


def _heading(stream: TextIO, words: str) -> None:
    stream.write(f"\n{words}\n")


def _span(row: dict[str, Any], name: str) -> str:
    if row.get(name) is None:
        return "unknown"
    return f"{row[name]:.2f} ({row[name + '_low']:.2f} to {row[name + '_high']:.2f})"


def _reading_row(reading: dict[str, Any]) -> dict[str, Any]:
    derived = reading["derived"]
    whole = {"serial_no": reading["serial_no"] or "(whole aeroplane)"}
    return (
        dict(reading)
        | whole
        | {"energy": _span(derived, "energy_kwh"), "usable": _span(derived, "usable_kwh")}
    )


def _derived(derived: dict[str, Any], measures: Measures, *, one_gauge: bool) -> list[tuple[str, Any]]:
    energy = _span(derived, "energy_kwh")
    per_minute = derived["energy_kwh_per_min"]
    left = derived["minutes_left"]
    return [
        _time("block time", derived["block_min"], measures),
        _time("air time", derived["air_min"], measures),
        ("energy [kWh]", energy),
        (
            "observed energy per minute [kWh/min]",
            None
            if per_minute is None
            else f"{per_minute:.3f} ({derived['energy_kwh_per_min_low']:.3f} to {derived['energy_kwh_per_min_high']:.3f}); a record, not a planning rate",
        ),
        ("landed with [%]" if one_gauge else "weaker pack landed with [%]", derived["landing_soc_pct"]),
        (
            "minutes left [min]",
            None
            if left is None
            else f"{left:.0f} ({derived['minutes_left_low']:.0f} to {derived['minutes_left_high']:.0f}) at {derived['minutes_left_at_kw']:g} kW",
        ),
        ("compared with", derived["final_reserve_rule"]),
        ("made from", derived["how"]),
    ]


def _difference(version: dict[str, Any], record: dict[str, Any], measures: Measures) -> str:
    was = version["was"]
    if was is None:
        return "this part was added"
    now = record
    if version["record"] == "reading":
        now = next((r for r in record.get("readings", ()) if r["serial_no"] == was["serial_no"]), {})
    if version["record"] == "crew":
        now = next((r for r in record.get("crew", ()) if r["person"] == was["person"]), {})
    if "packs" in record:
        now = next((r for r in record["packs"] if r["serial_no"] == was["serial_no"]), {})
    changed = [
        "=".join(_told(name, "unknown" if value is None else value, measures))
        for name, value in was.items()
        if now.get(name) != value
    ]
    owner = ""
    if version["record"] == "reading":
        owner = f"{was['serial_no'] or WHOLE_AEROPLANE}: "
    if version["record"] == "crew":
        owner = f"{was['person']}: "
    return owner + (", ".join(changed) or "as it is now")
