"""A recording as plain text: how it was read, what was found, and its values beside those that were written down."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TextIO

from logbook.measures import USUAL, Measures
from logbook.reports.text_table import Column, write_facts, write_table
from logbook.units import plain_number

Row = Mapping[str, Any]

_BESIDE = (
    Column("serial_no", "pack"),
    Column("words", "what"),
    Column("typed", "written down", right=True),
    Column("recorded", "recorded", right=True),
    Column("difference", "difference", right=True),
    Column("counts", "counts"),
)
_PHASES = (
    Column("phase", "phase"),
    Column("minutes", "min", right=True),
    Column("climb_ft", "climbed ft", right=True),
    Column("mean_kw", "mean kW", right=True),
    Column("energy_kwh", "kWh out", right=True),
    Column("energy_back_kwh", "kWh back", right=True),
)


def write_taken(stream: TextIO, recording: Row, findings: Row) -> None:
    """What was read from a recording.

    Args:
        stream: where to.
        recording: its columns.
        findings: as `Findings._asdict` gives them.
    """
    write_facts(stream, [*_reading(recording), *findings["times"].items(), *findings["flown"].items()])
    write_facts(stream, [("energy", energy_told(findings))])
    for pack in findings["packs"]:
        stream.write(f"\nPack {pack['serial_no']}\n")
        write_facts(stream, [(name, value) for name, value in pack.items() if name != "serial_no"])
    if findings["phases"]:
        stream.write("\nPhases\n")
        write_table(stream, _PHASES, [_phase(phase) for phase in findings["phases"]], empty="none")
    stream.writelines(f"\n{note}\n" for note in findings["notes"])


def _reading(recording: Row) -> Iterator[tuple[str, Any]]:
    left_out = json.loads(recording["left_out"])
    words = "; ".join(f"{count} with {reason}" for reason, count in left_out.items())
    interval = recording["interval_s"]
    yield from (
        ("file", recording["file_name"]),
        ("sha256", recording["digest"]),
        ("mapping", recording["mapping"]),
        ("units", recording["units"]),
        ("clock offset [s]", plain_number(recording["clock_offset_s"])),
        ("from, to (UTC)", f"{recording['started']} to {recording['ended']}"),
        ("rows", f"{recording['row_count']}, of which {recording['used_count']} were used"),
        ("left out", words or "none"),
        ("a row every [s]", None if interval is None else f"{interval:.2f}"),
        ("gaps", f"{recording['gap_count']} longer than {recording['gap_limit_s']:g} s"),
    )


def energy_told(findings: Row) -> str:
    """The measured energy in words: "at least" where some is missing, and for how long nothing is known."""
    if findings["energy_kwh"] is None:
        return "not recorded"
    least = "at least " if findings["at_least"] else ""
    back = findings["energy_back_kwh"]
    words = f"{least}{findings['energy_kwh']:.2f} kWh out"
    words += f", {back:.2f} kWh back" if back else ""
    missing = findings["without_data_min"]
    return words + (f"; {missing:.1f} min without data" if missing else "")


def recordings_told(derived: Row) -> list[tuple[str, str]]:
    """The recordings of a flight, each with its measured energy beside that by the charges.

    Args:
        derived: of a flight that has some, as `services.questions.show` gives it.
    """
    told = []
    for recording in derived["recordings"]:
        lost = recording["row_count"] - recording["used_count"]
        rows = f"{recording['used_count']} rows used, {lost} left out, {recording['gap_count']} gaps"
        told.append((recording["file_name"], f"{rows}; clock offset {recording['clock_offset_s']:g} s"))
        if recording["energy_kwh"] is not None:
            by_charge = "not known" if derived["energy_kwh"] is None else f"{derived['energy_kwh']:.2f} kWh"
            told.append(("measured by recording", f"{energy_told(recording)}; by the charges {by_charge}"))
    return told


def _phase(phase: Row) -> dict[str, Any]:
    sums = {
        name: sum(pack[name] for pack in phase["packs"].values())
        for name in ("energy_kwh", "energy_back_kwh")
    }
    shown = {name: f"{value:.2f}" for name, value in sums.items()} if phase["packs"] else {}
    return {**phase, **shown, "minutes": f"{phase['minutes']:.1f}"}


def write_beside(stream: TextIO, rows: Sequence[Row], *, empty: str, measures: Measures = USUAL) -> None:
    """Recorded values beside those that were written down, and which of the two counts."""
    write_table(stream, _BESIDE, [beside_told(row, measures) for row in rows], empty=empty)


def beside_told(row: Row, measures: Measures = USUAL) -> dict[str, Any]:
    """One value in words with its unit."""
    unit = str({"min": "UTC", "points": "%"}.get(row["unit"], row["unit"]))

    def told(value: Any) -> str:
        if value is None:
            return "not written down"
        return f"{value[11:16]} {unit}" if isinstance(value, str) else measures.say(value, unit)

    apart = row["difference"]
    return {
        "serial_no": row["serial_no"],
        "words": row["words"],
        "typed": told(row["typed"]),
        "recorded": told(row["recorded"]),
        "difference": "" if apart is None else _difference(apart, row["unit"], measures),
        "counts": row["counts"],
    }


def _difference(apart: float, unit: str, measures: Measures) -> str:
    sign = "+" if apart >= 0 else ""
    return f"{sign}{measures.step(apart, unit)}"
