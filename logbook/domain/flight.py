"""A flight as it is written down: times, people, what was flown, and the readings of each pack."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, ClassVar, Literal, Self

from pydantic import Field, model_validator

from logbook.domain.fields import (
    Celsius,
    Count,
    Date,
    Health,
    Hours,
    Instant,
    Kw,
    Minutes,
    Name,
    Number,
    Percent,
    Text,
    Yes,
)
from logbook.domain.record import Part, Record

Kind = Literal["circuits", "local", "cross-country", "ferry", "check"]
Outcome = Literal["flown", "ground-run", "aborted", "rejected", "device"]
State = Literal["open", "closed"]
Function = Literal["pic", "dual", "instructor", "solo", "picus", "copilot"]
TimeSource = Literal["track", "recorder"]
Source = Literal["read", "confirmed", "recorder", "remembered", "not-read"]

_IN_ORDER = (
    ("off_blocks", "off blocks"),
    ("takeoff", "take-off"),
    ("landing", "landing"),
    ("on_blocks", "on blocks"),
)


class Reading(Part):
    """What the instruments of one pack showed on one flight.

    Attributes:
        serial_no: the pack; absent when one figure stands for the whole aeroplane, which is never copied to packs.
        soc_departure_pct: charge before first moving [%].
        soc_takeoff_pct: charge at take-off, where it was read too [%].
        soc_touchdown_pct: charge at touchdown, where it was read too [%].
        soc_landing_pct: charge after coming to rest [%].
        soh_pct: state of health as indicated, a scale of its own [%].
        temp_departure_c: pack temperature before start [°C]; `temp_max_c` the highest, `temp_landing_c` after stop.
        source: where the figures come from; absent: read off the instrument.
    """

    kind: ClassVar[str] = "reading"

    serial_no: Name | None = None
    soc_departure_pct: Percent | None = None
    soc_takeoff_pct: Percent | None = None
    soc_touchdown_pct: Percent | None = None
    soc_landing_pct: Percent | None = None
    soh_pct: Health | None = None
    temp_departure_c: Celsius | None = None
    temp_max_c: Celsius | None = None
    temp_landing_c: Celsius | None = None
    source: Source = "read"


class Crew(Part):
    """One person's part in a flight: function, who had the controls, and whose landings they were."""

    kind: ClassVar[str] = "crew"

    person: Name
    function: Function | None = None
    handled: Yes = 0
    takeoffs_day: Count | None = None
    takeoffs_night: Count | None = None
    landings_day: Count | None = None
    landings_night: Count | None = None
    landings_night_full_stop: Count | None = None


class Phase(Part):
    """One stretch of a flight, from a recorder: minutes [min], feet climbed [ft], mean power [kW]."""

    kind: ClassVar[str] = "phase"

    sequence: Count
    phase: Name
    minutes: Minutes | None = None
    climb_ft: Number | None = None
    mean_kw: Kw | None = None


class Flight(Record):
    """One flight, or an attempt at one.

    Attributes:
        date: the local day on which it was flown; absent: the UTC day of off blocks.
        state: `open` with readings before start only, or `closed`.
        off_blocks_source: where that time was taken from, `track` or `recorder`, and likewise of the other times; absent:
            somebody wrote it down.
        circuits: each one take-off, climb, level leg and approach in the pattern, ended by a landing,
            touch-and-go or go-around; a flight that leaves and lands once has none.
        climb_ft: feet climbed outside circuits [ft]; or `highest_ft`, the highest altitude above sea level [ft].
        level_min: minutes in level flight outside circuits [min], at `level_kw` as set [kW].
        handled_by: who had the controls; absent: the pilot. Effects of the person follow this.
        pilot_estimate_soc_pct: the landing charge the pilot expected before start [%].
        reserve_soc_pct: the limit in force on that day, and likewise the others; absent: the aeroplane's.
        night_min: of the flight by night as written down [min]; absent: what the Sun says. 0 is a flight by day.
        ifr_min: of it under instrument flight rules [min].
        instrument_min: of it in actual instrument conditions [min].
        simulated_instrument_min: of it, or of the lesson in a device, in simulated instrument conditions [min].
        ground_training_min: ground training received with this flight or lesson, beside its time [min].
        safety_pilot: who looked out while the pilot could not (14 CFR 91.109).
        approaches_text: instrument approaches, each with place and type.
        device_text: type and qualification of the training device.
    """

    kind: ClassVar[str] = "flight"

    flight_id: Name | None = None
    date: Date
    aircraft: Name
    state: State = "closed"
    outcome: Outcome = "flown"
    off_blocks: Instant | None = None
    takeoff: Instant | None = None
    landing: Instant | None = None
    on_blocks: Instant | None = None
    off_blocks_source: TimeSource | None = None
    takeoff_source: TimeSource | None = None
    landing_source: TimeSource | None = None
    on_blocks_source: TimeSource | None = None
    meter_start: Hours | None = None
    meter_end: Hours | None = None
    place_from: Name | None = None
    place_to: Name | None = None
    pilot: Name | None = None
    function: Function | None = None
    second_person: Name | None = None
    second_function: Function | None = None
    handled_by: Name | None = None
    flight_kind: Kind | None = Field(default=None, alias="kind")
    landings_day: Count | None = None
    landings_night: Count | None = None
    landings_night_full_stop: Count | None = None
    circuits: Count | None = None
    climb_ft: Number | None = None
    highest_ft: Number | None = None
    level_min: Minutes | None = None
    level_kw: Kw | None = None
    aboard: Count | None = None
    mass_kg: Number | None = None
    outside_temp_c: Celsius | None = None
    wind_dir: Number | None = None
    wind_kt: Number | None = None
    exercise: Text | None = None
    pilot_estimate_soc_pct: Percent | None = None
    remarks: Text | None = None
    debrief: Text | None = None
    reserve_soc_pct: Percent | None = None
    minimum_departure_soc_pct: Percent | None = None
    final_reserve_min: Minutes | None = None
    final_reserve_kw: Kw | None = None
    temp_limit_c: Celsius | None = None
    plan_id: Name | None = None
    temp_caution_c: Celsius | None = None
    expected_back: Instant | None = None
    night_min: Minutes | None = None
    ifr_min: Minutes | None = None
    instrument_min: Minutes | None = None
    simulated_instrument_min: Minutes | None = None
    ground_training_min: Minutes | None = None
    safety_pilot: Name | None = None
    approaches_text: Text | None = None
    device_text: Text | None = None

    readings: tuple[Reading, ...] = ()
    crew: tuple[Crew, ...] = ()
    phases: tuple[Phase, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _date_from_clock(cls, data: object) -> Any:
        """The day of off blocks, where no day is given; lists as tuples."""
        if not isinstance(data, dict):
            return data
        filled = dict(data)
        off_blocks = filled.get("off_blocks")
        if filled.get("date") in (None, "") and isinstance(off_blocks, str):
            filled["date"] = off_blocks[:10]
        for part in ("readings", "crew", "phases"):
            if isinstance(filled.get(part), list):
                filled[part] = tuple(filled[part])
        return filled

    @model_validator(mode="after")
    def _times_in_order(self) -> Self:
        known = [(getattr(self, name), words) for name, words in _IN_ORDER if getattr(self, name) is not None]
        for (earlier, first), (later, second) in pairwise(known):
            if later < earlier:
                raise ValueError(f"{second} ({later}) is before {first} ({earlier})")
        if self.meter_start is not None and self.meter_end is not None and self.meter_end < self.meter_start:
            raise ValueError(f"the hour meter runs back from {self.meter_start} to {self.meter_end}")
        return self

    @model_validator(mode="after")
    def _blocks_when_flown(self) -> Self:
        if self.outcome == "flown" and self.state == "closed" and not (self.off_blocks and self.on_blocks):
            raise ValueError("a flown flight needs off blocks and on blocks (or leave it open)")
        return self

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        packs = [reading.serial_no for reading in self.readings]
        if len(packs) != len(set(packs)):
            whole = packs.count(None) > 1
            raise ValueError(f"{'the whole aeroplane' if whole else 'a pack'} has two readings")
        people = [row.person for row in self.crew]
        if len(people) != len(set(people)):
            raise ValueError("a person is in the crew twice")
        stretches = [phase.sequence for phase in self.phases]
        if len(stretches) != len(set(stretches)):
            raise ValueError("two phases have the same sequence number")
        return self
