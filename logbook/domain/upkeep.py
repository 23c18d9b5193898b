"""What maintenance writes down: observations, capacity checks, defects, entries and components."""

from __future__ import annotations

from typing import ClassVar, Literal

from logbook.domain.fields import (
    Celsius,
    Date,
    Health,
    Hours,
    Instant,
    Kw,
    Kwh,
    Name,
    Number,
    Percent,
    Text,
    Yes,
)
from logbook.domain.record import Record


class Observation(Record):
    """What a pack showed outside flight and charge.

    Attributes:
        cell_min_v: lowest cell voltage [V]; `cell_max_v` the highest.
        insulation_mohm: insulation resistance [MΩ].
        counter_hours: the pack's own hour counter [h]; `counter_cycles` its own cycle counter.
        baseline_break: why estimates and health rules restart here (firmware, module change, reset, repair).
    """

    kind: ClassVar[str] = "observation"

    observation_id: Name | None = None
    serial_no: Name
    at: Instant
    soc_pct: Percent | None = None
    soh_pct: Health | None = None
    cell_min_v: Number | None = None
    cell_max_v: Number | None = None
    temp_min_c: Celsius | None = None
    temp_max_c: Celsius | None = None
    insulation_mohm: Number | None = None
    counter_hours: Hours | None = None
    counter_cycles: Number | None = None
    software: Name | None = None
    baseline_break: Text | None = None
    text: Text | None = None


class CapacityCheck(Record):
    """A measured discharge on the bench: energy [kWh] at a stated power [kW]; not capacity as flown."""

    kind: ClassVar[str] = "capacity-check"

    check_id: Name | None = None
    serial_no: Name
    at: Instant
    kwh: Kwh
    power_kw: Kw | None = None
    soc_from_pct: Percent | None = None
    soc_to_pct: Percent | None = None
    temp_c: Celsius | None = None
    by_whom: Name | None = None
    text: Text | None = None


class Defect(Record):
    """Something wrong with an aeroplane or a pack, until a maintenance entry closes it.

    Attributes:
        needs_inspection: 1 means "inspection before next use".
        deferred_until: the last day it may stay open; `deferred_basis` says on what authority, `deferred_by` by whom.
    """

    kind: ClassVar[str] = "defect"

    defect_id: Name | None = None
    aircraft: Name | None = None
    serial_no: Name | None = None
    found: Instant
    found_by: Name | None = None
    flight_id: Name | None = None
    text: Text
    state: Literal["open", "deferred", "closed"] = "open"
    needs_inspection: Yes = 0
    deferred_until: Date | None = None
    deferred_basis: Text | None = None
    deferred_by: Name | None = None
    closed_by_entry: Name | None = None


class Maintenance(Record):
    """A maintenance entry: what was done, when, by whom, with which certificate, and what falls due next.

    Source of the fields: 14 CFR 43.9 (read second-hand) and 14 CFR 91.417(a).
    """

    kind: ClassVar[str] = "maintenance"

    entry_id: Name | None = None
    aircraft: Name | None = None
    serial_no: Name | None = None
    component_id: Name | None = None
    work: Name | None = None
    text: Text
    completed: Instant
    done_by: Name | None = None
    certificate_no: Name | None = None
    aircraft_hours: Hours | None = None
    next_due_date: Date | None = None
    next_due_hours: Hours | None = None
    next_due_cycles: Number | None = None
    closes_defect: Name | None = None


class Component(Record):
    """A part other than a pack with a life or an interval: motor, propeller, controller, rescue system."""

    kind: ClassVar[str] = "component"

    component_id: Name | None = None
    aircraft: Name
    name: Name
    part_no: Name | None = None
    serial_no: Name | None = None
    fitted: Instant | None = None
    removed: Instant | None = None
    hours_brought_forward: Hours | None = None
    limit_hours: Hours | None = None
    limit_date: Date | None = None
    text: Text | None = None
