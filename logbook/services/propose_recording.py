"""A recording of the aeroplane as a proposal for a flight: times, what was flown, and readings of its packs from the recorder.

People are not on it. Charges and temperatures carry the source `recorder` once they are taken.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from logbook.errors import DataRefused
from logbook.exchange.recording_findings import Findings, findings_of, stored
from logbook.exchange.recording_parts import parts_of
from logbook.rules.recording_rules import READINGS, TIMES
from logbook.services.proposal import RECORDER, RECORDING, Proposal, ProposedField
from logbook.services.recording_finder import Finder
from logbook.services.recording_read import Reading, ReadRecording, read_recording
from logbook.services.typed_time import clock_text
from logbook.store.database import Book
from logbook.units import plain_number


def propose_recording(book: Book, how: Reading) -> list[Proposal]:
    """A proposal for each flight on a recording, in order; each can be kept beside the flight it becomes.

    Args:
        book: the open book: it knows which pack was fitted where.
        how: what to read, and how; the aeroplane must be named.

    Raises:
        UsageError: the mapping cannot be used, or does not fit the file.
        DataRefused: the file cannot be a recording, holds no flight, or is of another aeroplane.
        FileTrouble: it cannot be read.
    """
    read = read_recording(how)
    of = read.mapping.aircraft
    if of and of != how.aircraft:
        raise DataRefused(
            f"The mapping '{read.mapping.name}' is of {of}; the flight is of {how.aircraft}.",
            next_step="Choose another mapping, or log a flight of that aeroplane.",
        )
    found = []
    for trace in parts_of(read.trace, over_ground=read.mapping.over_ground):
        part = read._replace(trace=trace)
        finder = Finder(book, part)
        serials = finder.serials(None)
        proposal = proposal_of(part, findings_of(trace, read.mapping, serials))
        others = [serial for serial in finder.fitted() if serial not in serials.values()]
        missing = [f"Not on it, nor in its energy: {', '.join(others)}."] if others and serials else []
        found.append(proposal._replace(notes=(*proposal.notes, *missing)))
    return found


def proposal_of(read: ReadRecording, findings: Findings) -> Proposal:
    """What a recording proposes.

    Args:
        read: the recording.
        findings: what was found.
    """
    trace, mapping = read.trace, read.mapping
    began = findings.times["off_blocks"] or stored(trace.at[0])
    ended = findings.times["on_blocks"] or stored(trace.at[-1])
    parts = [f"{began[:10]} {clock_text(began, 'UTC')} to {clock_text(ended, 'UTC')} UTC"]
    if findings.flown["landings"] is not None:
        count = int(findings.flown["landings"])
        parts.append(f"{count} landing{'s' * (count != 1)}")
    if findings.energy_kwh is not None:
        parts.append(energy_words(findings.energy_kwh, at_least=findings.at_least))
    return Proposal(
        kind=RECORDING,
        file=read.name,
        digest=trace.digest,
        offset_s=round(mapping.time.offset_s),
        began=began,
        ended=ended,
        about=", ".join(parts),
        fields=tuple(_fields(findings)),
        notes=tuple(findings.notes),
        recording=read,
    )


def energy_words(kwh: float, *, at_least: bool) -> str:
    """A measured energy as it is said [kWh]."""
    return f"{'at least ' if at_least else ''}{kwh:.2f} kWh"


def _fields(findings: Findings) -> Iterator[ProposedField]:
    for name, words in TIMES:
        value = findings.times[name]
        if value is not None:
            yield ProposedField(name, words.capitalize(), value, f"recording: {_ORIGINS[name]}", RECORDER)
    for name, words, origin in (
        ("circuits", "Circuits", "up and down again within 15 min and 2,000 ft"),
        ("climb_ft", "Climbed, ft", "rises of more than 50 ft outside circuits"),
        ("level_min", "Level, min", "less than 200 ft/min outside circuits"),
        ("highest_ft", "Highest, ft", "altitude as recorded"),
    ):
        count = findings.flown[name]
        if count is not None:
            yield ProposedField(name, words, f"{count:.0f}", f"recording: {origin}")
    for pack in findings.packs:
        yield from _readings(pack)


def _readings(pack: dict[str, Any]) -> Iterator[ProposedField]:
    serial = pack["serial_no"]
    for name, _, unit in READINGS:
        value = pack[name]
        if value is not None:
            step = pack["soc_step_pct" if unit == "points" else "temp_step_c"]
            shown = "%" if unit == "points" else unit
            fine = "" if step is None else f", in steps of {plain_number(step)} {shown}"
            origin = f"recording{fine}"
            words = f"{serial} {_WHEN[name]}, {shown}"
            yield ProposedField(f"{serial}.{name}", words, plain_number(value), origin, RECORDER)


_WHEN = {
    "soc_departure_pct": "before",
    "soc_takeoff_pct": "take-off",
    "soc_touchdown_pct": "touchdown",
    "soc_landing_pct": "after",
    "temp_departure_c": "before",
    "temp_max_c": "highest",
    "temp_landing_c": "after",
}
"""Short enough to stand whole behind a serial number in a low and narrow window; the unit tells charge from temperature."""
_ORIGINS = {
    "off_blocks": "first movement",
    "takeoff": "faster than 30 kt",
    "landing": "slower than 30 kt for good",
    "on_blocks": "came to rest",
}
