"""What the aeroplane recorded, as a block of a flight's sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from logbook.measures import USUAL, Measures
from logbook.reports.recording_text import beside_told, recordings_told
from logbook.services.flight_sheet import Block, Flight, SheetLine


def recorded_beside(flight: Flight, measures: Measures = USUAL) -> list[Block]:
    """What the aeroplane recorded, beside what was written down: the difference, and which of the two counts."""
    found = flight["derived"]
    if not found.get("recordings"):
        return []
    lines = [SheetLine(name, "", "", words) for name, words in recordings_told(found)]
    for row in found["beside"]:
        told = beside_told(row, measures)
        name = f"{row['serial_no']} {row['words']}".strip()
        tone = "warning" if row["difference"] else ""
        lines.append(SheetLine(name, told["recorded"], "", _beside(row["counts"], told), tone))
    return [Block("Recorded by the aeroplane", tuple(lines))]


def _beside(counts: str, told: Mapping[str, Any]) -> str:
    """What was written down, and which of the two counts."""
    return {
        "both": "the same as written down",
        "recorded": "taken over: this one counts",
        "neither": "not written down, and not taken over: does not count",
    }.get(counts, f"{told['difference']}; written down {told['typed']}: that one counts")
