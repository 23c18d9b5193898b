"""One record as plain text: what was recorded, what follows from it, what was noticed, what it was before."""

from __future__ import annotations

from typing import Any, TextIO

from logbook.reports.recording_text import recordings_told, write_beside
from logbook.reports.text_table import Column, write_facts, write_table

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


def write_record(stream: TextIO, kind: str, record: dict[str, Any]) -> None:
    """Writes a record as `services.questions.show` gives it."""
    write_facts(stream, [(name, value) for name, value in record.items() if name not in _APART])
    if record.get("readings"):
        _heading(stream, "Readings")
        write_table(stream, _READING, [_reading_row(reading) for reading in record["readings"]], empty="none")
    for part in ("crew", "phases", "packs"):
        rows = record.get(part)
        if rows:
            _heading(stream, part.capitalize())
            names = [name for name in rows[0] if any(row.get(name) not in (None, "") for row in rows)]
            write_table(stream, [Column(name, name) for name in names], rows, empty="none")
    if record.get("derived"):
        _write_derived(stream, record["derived"])
    if record.get("flags"):
        _heading(stream, "Flags")
        for flag in record["flags"]:
            state = " (answered)" if flag["answered"] else ""
            write_facts(stream, [(flag["severity"], f"{flag['words']} [{flag['rule']}]{state}")])
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
        rows = [dict(version) | {"differs": _difference(version, record)} for version in record["versions"]]
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


def _write_derived(stream: TextIO, derived: dict[str, Any]) -> None:
    _heading(stream, "Derived (low to high is meant to hold the truth nine times in ten)")
    write_facts(stream, _derived(derived))
    if derived.get("recordings"):
        _heading(stream, "Recorded by the aeroplane")
        write_facts(stream, recordings_told(derived))
        write_beside(stream, derived["beside"], empty="Nothing that could be compared.")


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


def _derived(derived: dict[str, Any]) -> list[tuple[str, Any]]:
    energy = _span(derived, "energy_kwh")
    per_minute = derived["energy_kwh_per_min"]
    left = derived["minutes_left"]
    return [
        ("block time [min]", derived["block_min"]),
        ("air time [min]", derived["air_min"]),
        ("energy [kWh]", energy),
        (
            "observed energy per minute [kWh/min]",
            None
            if per_minute is None
            else f"{per_minute:.3f} ({derived['energy_kwh_per_min_low']:.3f} to {derived['energy_kwh_per_min_high']:.3f}); a record, not a planning rate",
        ),
        ("weaker pack landed with [%]", derived["landing_soc_pct"]),
        (
            "minutes left [min]",
            None
            if left is None
            else f"{left:.0f} ({derived['minutes_left_low']:.0f} to {derived['minutes_left_high']:.0f}) at {derived['minutes_left_at_kw']:g} kW",
        ),
        ("compared with", derived["final_reserve_rule"]),
        ("made from", derived["how"]),
    ]


def _difference(version: dict[str, Any], record: dict[str, Any]) -> str:
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
        f"{name}={'unknown' if value is None else value}"
        for name, value in was.items()
        if now.get(name) != value
    ]
    owner = (
        f"{was.get('serial_no') or was.get('person')}: " if version["record"] in ("reading", "crew") else ""
    )
    return owner + ", ".join(changed)
