"""What a recording says of a flight: times, energy by phase and by pack, charge and temperature at its moments.

Charge before first moving is the last value before it moved, after coming to rest the first after it stood; a value more than
a minute away counts as not recorded. Highest temperature is that of the whole recording, also after coming to rest.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, NamedTuple

from logbook.exchange.recording_course import CIRCUITS, CLIMB, Course, Stretch, course_of
from logbook.exchange.recording_mapping import RecordingMapping
from logbook.exchange.recording_trace import Energy, PackTrace, Trace

_LEAST_COVERED = 0.5
"""A mean power is told where power was known for at least this share of the time."""
_MINUTE_S = 60.0


class Findings(NamedTuple):
    """What was found.

    Attributes:
        times: off_blocks, takeoff, landing, on_blocks (UTC, to the minute), each None where it cannot be told.
        flown: circuits, landings, climb_ft, highest_ft, level_min, each None where it cannot be told.
        phases: one after the other: sequence, phase, minutes, climb_ft, mean_kw, and energy of each pack.
        packs: for each pack its energy, power, charge and temperatures, and how fine the recorder is.
        energy_kwh: given by all packs [kWh]; `energy_back_kwh` taken back; None where one is unknown.
        without_data_min: of the flight, longest of any pack [min].
        at_least: energy is missing from the sums, as there were gaps or a part of the flight is not on it.
        notes: what could not be told, and why.
    """

    times: dict[str, str | None]
    flown: dict[str, float | None]
    phases: list[dict[str, Any]]
    packs: list[dict[str, Any]]
    energy_kwh: float | None
    energy_back_kwh: float | None
    without_data_min: float
    at_least: bool
    notes: list[str]


def findings_of(
    trace: Trace,
    mapping: RecordingMapping,
    serials: dict[str, str],
    blocks: tuple[float, float] | None = None,
) -> Findings:
    """What a recording says.

    Args:
        trace: the recording.
        mapping: how it was read.
        serials: the packs by their names in the mapping.
        blocks: off and on blocks of the flight as the book has them [s since 1970]: a recording that does not reach
            from one to the other lacks data.
    """
    course = course_of(trace, over_ground=mapping.over_ground)
    outside_s = _outside(trace, course, blocks)
    packs = _packs(trace, course, serials, outside_s, over_ground=mapping.over_ground)
    without_data_min = max((float(pack["without_data_min"]) for pack in packs), default=0.0)
    notes = list(course.notes)
    if outside_s:
        notes.append(f"It does not reach over the whole flight: {outside_s / 60:.0f} min are not on it.")
    return Findings(
        times={
            "off_blocks": _stored(trace, None if course.departed is None else course.departed + 1),
            "takeoff": _stored(trace, course.takeoff),
            "landing": _stored(trace, course.landing),
            "on_blocks": _stored(trace, course.stopped),
        },
        flown=_flown(course),
        phases=[
            _phase(trace, stretch, number, serials)
            for number, stretch in enumerate((s for s in course.stretches if s.phase), start=1)
        ],
        packs=packs,
        energy_kwh=_total(packs, "energy_kwh"),
        energy_back_kwh=_total(packs, "energy_back_kwh"),
        without_data_min=without_data_min,
        at_least=without_data_min > 0 or _cut_off(course, over_ground=mapping.over_ground),
        notes=notes,
    )


def _total(packs: list[dict[str, Any]], name: str) -> float | None:
    """The sum over the packs [kWh]; None where one of them is unknown."""
    values = [pack[name] for pack in packs]
    return None if not values or None in values else round(sum(values), 4)


def _cut_off(course: Course, *, over_ground: bool) -> bool:
    """Whether the recording begins or ends under way."""
    if not course.stretches:
        return False
    ends = (course.takeoff, course.landing)
    return None in ((*ends, course.departed, course.stopped) if over_ground else ends)


def _packs(
    trace: Trace, course: Course, serials: dict[str, str], outside_s: float, *, over_ground: bool
) -> list[dict[str, Any]]:
    start = 0 if course.departed is None else course.departed
    end = len(trace.at) - 1 if course.stopped is None else course.stopped
    moments = _moments(trace, course, over_ground=over_ground)
    packs = []
    for pack in trace.packs:
        energy = pack.energy(start, end) if pack.has_power else None
        missing = 0.0 if energy is None else energy.missing_s + outside_s
        about = {"serial_no": serials[pack.label], "without_data_min": round(missing / 60, 2)}
        packs.append(about | _pack(trace, pack, moments, energy))
    return packs


def _outside(trace: Trace, course: Course, blocks: tuple[float, float] | None) -> float:
    """How much of the flight in the book lies before and after the recording [s].

    Where it was seen to leave or to come to rest nothing lies beyond; a minute at each end is rounding.
    """
    if blocks is None:
        return 0.0
    before = trace.at[0] - blocks[0] if course.departed is None else 0.0
    after = blocks[1] - trace.at[-1] if course.stopped is None else 0.0
    return sum(seconds for seconds in (before, after) if seconds > _MINUTE_S)


def _flown(course: Course) -> dict[str, float | None]:
    feet = [stretch.climb_ft for stretch in course.stretches if stretch.phase not in ("", CIRCUITS)]
    told = course.highest_ft is not None and course.landing is not None and course.takeoff is not None
    return {
        "circuits": sum(stretch.circuits for stretch in course.stretches) if told else None,
        "landings": course.landings if told else None,
        "climb_ft": round(sum(value for value in feet if value is not None)) if told else None,
        "highest_ft": None if course.highest_ft is None else round(course.highest_ft),
        "level_min": None if course.level_s is None or not told else round(course.level_s / 60),
    }


def _phase(trace: Trace, stretch: Stretch, number: int, serials: dict[str, str]) -> dict[str, Any]:
    seconds = trace.at[stretch.end] - trace.at[stretch.start]
    energies = {
        serials[pack.label]: pack.energy(stretch.start, stretch.end) for pack in trace.packs if pack.has_power
    }
    means = [
        energy.mean_kw if energy.covered_s >= _LEAST_COVERED * seconds else None
        for energy in energies.values()
    ]
    known = [mean for mean in means if mean is not None]
    whole = bool(means) and len(known) == len(means) == len(trace.packs)
    climbs = stretch.climb_ft is not None and stretch.phase in (CLIMB, CIRCUITS)
    return {
        "sequence": number,
        "phase": stretch.phase,
        "minutes": round(seconds / 60, 2),
        "climb_ft": round(stretch.climb_ft or 0) if climbs else None,
        "mean_kw": round(sum(known), 3) if whole else None,
        "packs": {
            serial: {
                "energy_kwh": round(energy.out_kwh, 4),
                "energy_back_kwh": round(energy.back_kwh, 4),
                "without_data_min": round(energy.missing_s / 60, 2),
            }
            for serial, energy in energies.items()
        },
    }


class _Moments(NamedTuple):
    """The four moments at which packs are read, by places in the trace; None where one cannot be told."""

    departure: int | None
    takeoff: int | None
    touchdown: int | None
    landing: int | None


def _moments(trace: Trace, course: Course, *, over_ground: bool) -> _Moments:
    """A recording that does not tell when the aeroplane moved is itself the flight, from its first to its last row."""
    whole = not over_ground and (course.takeoff is None) == (course.landing is None)
    if whole or not course.stretches:
        return _Moments(0, course.takeoff, course.landing, len(trace.at) - 1)
    return _Moments(course.departed, course.takeoff, course.landing, course.stopped)


def _pack(trace: Trace, pack: PackTrace, at: _Moments, energy: Energy | None) -> dict[str, Any]:
    before, after = trace.value_before, trace.value_after
    return {
        **_energy(energy),
        "soc_departure_pct": _rounded(before, pack.soc, at.departure, 2),
        "soc_takeoff_pct": _rounded(before, pack.soc, at.takeoff, 2),
        "soc_touchdown_pct": _rounded(before, pack.soc, at.touchdown, 2),
        "soc_landing_pct": _rounded(after, pack.soc, at.landing, 2),
        "soc_step_pct": pack.soc_step_pct,
        "temp_departure_c": _rounded(before, pack.hot, at.departure, 1),
        "temp_max_c": _highest(pack),
        "temp_landing_c": _rounded(after, pack.hot, at.landing, 1),
        "temp_low_departure_c": _rounded(before, pack.cold, at.departure, 1),
        "temp_step_c": pack.temp_step_c,
    }


def _rounded(
    look: Callable[[array[float], int], float | None], values: array[float], place: int | None, digits: int
) -> float | None:
    found = None if place is None else look(values, place)
    return None if found is None else round(found, digits)


def _energy(energy: Energy | None) -> dict[str, float | None]:
    if energy is None or energy.covered_s <= 0:
        return dict.fromkeys(("energy_kwh", "energy_back_kwh", "mean_kw", "peak_kw"))
    return {
        "energy_kwh": round(energy.out_kwh, 4),
        "energy_back_kwh": round(energy.back_kwh, 4),
        "mean_kw": None if energy.mean_kw is None else round(energy.mean_kw, 3),
        "peak_kw": None if energy.peak_kw is None else round(energy.peak_kw, 3),
    }


def _highest(pack: PackTrace) -> float | None:
    known = [value for value in pack.hot if value == value]  # noqa: PLR0124 - not-a-number differs from itself
    return round(max(known), 1) if known else None


def _stored(trace: Trace, place: int | None) -> str | None:
    return None if place is None else stored(trace.at[place])


def stored(seconds: float) -> str:
    """A moment in seconds since 1970 as an instant, to the minute."""
    return f"{datetime.fromtimestamp(seconds, UTC):%Y-%m-%dT%H:%MZ}"
