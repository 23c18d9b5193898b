"""What a recording of the aeroplane said of a flight: where it came from, how much of it could be used, what was found.

The raw file is not kept in the book. Its digest tells whether a file somebody holds is the one that was read.
"""

from __future__ import annotations

import json
from typing import Annotated, Any, ClassVar, Self

from pydantic import Field, ValidationError, model_validator

from logbook.domain.fields import (
    Celsius,
    Count,
    Instant,
    Kw,
    Kwh,
    Minutes,
    Name,
    Number,
    Percent,
    Text,
    Yes,
)
from logbook.domain.record import Part, Record

_MOST_PACKS, _MOST_PHASES = 50, 2_000


class RecordedEnergy(Part):
    """One pack in one stretch: given and taken back [kWh], minutes without data [min]."""

    kind: ClassVar[str] = "recorded energy"

    energy_kwh: Kwh
    energy_back_kwh: Kwh
    without_data_min: Minutes


class RecordedPhase(Part):
    """One stretch of the flight, as in `phases.csv`, with the energy of each pack by serial number."""

    kind: ClassVar[str] = "recorded phase"

    sequence: Count
    phase: Name
    minutes: Minutes
    climb_ft: Number | None = None
    mean_kw: Kw | None = None
    packs: dict[Name, RecordedEnergy] = Field(default_factory=dict)


class RecordedPack(Part):
    """One pack as recorded.

    Attributes:
        energy_kwh: given from departure to rest [kWh], `energy_back_kwh` taken back; unknown without power.
        mean_kw: over the time that is known, what was taken back subtracted [kW]; `peak_kw` the highest.
        without_data_min: of the flight [min].
        soc_step_pct: the smallest change of charge the recorder showed [%]; likewise of temperature [°C].
        temp_low_departure_c: the lowest of its temperatures before start [°C]; the others are its highest.
    """

    kind: ClassVar[str] = "recorded pack"

    serial_no: Name
    energy_kwh: Kwh | None = None
    energy_back_kwh: Kwh | None = None
    mean_kw: Kw | None = None
    peak_kw: Kw | None = None
    without_data_min: Minutes = 0.0
    soc_departure_pct: Percent | None = None
    soc_takeoff_pct: Percent | None = None
    soc_touchdown_pct: Percent | None = None
    soc_landing_pct: Percent | None = None
    soc_step_pct: Number | None = None
    temp_departure_c: Celsius | None = None
    temp_max_c: Celsius | None = None
    temp_landing_c: Celsius | None = None
    temp_low_departure_c: Celsius | None = None
    temp_step_c: Number | None = None


class Found(Part):
    """What was found: times, what was flown, packs, phases, and what could not be told."""

    kind: ClassVar[str] = "finding"

    off_blocks: Instant | None = None
    takeoff: Instant | None = None
    landing: Instant | None = None
    on_blocks: Instant | None = None
    circuits: Count | None = None
    landings: Count | None = None
    climb_ft: Number | None = None
    highest_ft: Number | None = None
    level_min: Minutes | None = None
    packs: Annotated[list[RecordedPack], Field(max_length=_MOST_PACKS)] = Field(default_factory=list)
    phases: Annotated[list[RecordedPhase], Field(max_length=_MOST_PHASES)] = Field(default_factory=list)
    notes: Annotated[list[Text], Field(max_length=100)] = Field(default_factory=list)


class Recording(Record):
    """A recording that was read for a flight.

    Attributes:
        file_name: of the raw file, without its folder.
        digest: SHA-256 of the raw file, in hexadecimal.
        mapping: the name of the mapping by which it was read.
        clock_offset_s: added to the recorder's clock [s].
        units: the units and signs the mapping states, in words.
        started: its first row that was used; `ended` the last.
        row_count: rows with values; `used_count` those that were used.
        left_out: the others, a JSON object of reasons and counts.
        interval_s: mean time between rows, without gaps [s].
        gap_limit_s: rows further apart were a gap [s]; `gap_count` how many there were.
        energy_kwh: given by all packs from departure to rest [kWh]; `energy_back_kwh` taken back.
        at_least: 1: energy is missing from these sums.
        without_data_min: of the flight, longest of any pack [min].
        findings: the rest, as JSON.
    """

    kind: ClassVar[str] = "recording"

    recording_id: Name | None = None
    flight_id: Name
    file_name: Name
    digest: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    mapping: Name
    clock_offset_s: Number = 0.0
    units: Text
    started: Instant
    ended: Instant
    row_count: Count
    used_count: Count
    left_out: Text = "{}"
    interval_s: Number | None = None
    gap_limit_s: Number
    gap_count: Count = 0
    energy_kwh: Kwh | None = None
    energy_back_kwh: Kwh | None = None
    at_least: Yes = 0
    without_data_min: Minutes = 0.0
    findings: Text

    @model_validator(mode="after")
    def _readable(self) -> Self:
        try:
            Found.model_validate(json.loads(self.findings))
        except RecursionError:
            raise ValueError("what was found is no JSON of a recording") from None
        except ValidationError as error:
            first = error.errors(include_url=False, include_context=False)[0]
            where = ".".join(str(part) for part in first["loc"])
            raise ValueError(f"what was found cannot be: {where}: {first['msg']}") from None
        except ValueError:
            raise ValueError("what was found is no JSON") from None
        _counts(self.left_out)
        if self.ended < self.started:
            raise ValueError(f"it ended ({self.ended}) before it started ({self.started})")
        if self.used_count > self.row_count:
            raise ValueError("more rows were used than it has")
        return self


def _counts(text: str) -> None:
    """Refuses what is not an object of counts."""
    try:
        told: Any = json.loads(text)
    except (ValueError, RecursionError):
        raise ValueError("what was left out is no JSON") from None
    if not isinstance(told, dict) or not all(
        isinstance(count, int) and count >= 0 for count in told.values()
    ):
        raise ValueError("what was left out is no object of counts")
