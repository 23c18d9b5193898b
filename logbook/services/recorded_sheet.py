"""What the aeroplane recorded, as a block of a flight's sheet."""

from __future__ import annotations

from logbook.reports.recording_text import beside_told, recordings_told
from logbook.services.flight_sheet import Block, Flight, SheetLine


def recorded_beside(flight: Flight) -> list[Block]:
    """What the aeroplane recorded, beside what was written down: the difference, and which of the two counts."""
    found = flight["derived"]
    if not found.get("recordings"):
        return []
    lines = [SheetLine(name, "", "", words) for name, words in recordings_told(found)]
    for row in found["beside"]:
        told = beside_told(row)
        name = f"{row['serial_no']} {row['words']}".strip()
        apart = f"written down {told['typed']}" + (f", {told['difference']}" if told["difference"] else "")
        tone = "warning" if row["difference"] else ""
        lines.append(SheetLine(name, told["recorded"], "", f"{apart}; counts: {row['counts']}", tone))
    return [Block("Recorded by the aeroplane", tuple(lines))]
