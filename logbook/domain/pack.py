"""Battery packs: the type by part number, the pack by serial number, and where each was fitted."""

from __future__ import annotations

from typing import ClassVar, Self

from pydantic import field_validator, model_validator

from logbook.domain.fields import (
    Celsius,
    Date,
    Fraction,
    Health,
    Hours,
    Instant,
    Kwh,
    Name,
    Number,
    Percent,
    Tenths,
    Text,
    above_nought,
)
from logbook.domain.pack_states import known_state
from logbook.domain.record import Keyed, Record


class PackFigures(Keyed):
    """What a pack type says of its packs; a pack may carry the same figures itself, which then go first.

    Attributes:
        nominal_kwh: what the maker rates the pack when new [kWh].
        soh_zero_fraction: usable share of the nominal capacity at state of health 0 [1].
        soh_full_fraction: the same at state of health 100 [1].
        energy_by_decile: energy for one percent in each tenth of charge, from 100-90 down to 10-0 %, in any unit: only
            the ratios count [1]; absent: the same all the way.
        cells_apart_caution_mv: a difference between highest and lowest cell that asks for caution [mV].
        cells_apart_limit_mv: the largest difference that is allowed [mV].
        cell_limit_min_v: the lowest voltage that is allowed of a cell [V]; `cell_limit_max_v` the highest.
        insulation_limit_mohm: the least insulation resistance that is allowed [MΩ].
        cycle_definition: what the maker calls a cycle, in words; limits are compared with nothing else.
    """

    nominal_kwh: Kwh | None = None
    soh_zero_fraction: Fraction | None = None
    soh_full_fraction: Fraction | None = None
    unusable_soc_pct: Percent | None = None
    energy_by_decile: Tenths | None = None
    takeoff_min_temp_c: Celsius | None = None
    takeoff_max_temp_c: Celsius | None = None
    temp_caution_c: Celsius | None = None
    temp_limit_c: Celsius | None = None
    charge_min_temp_c: Celsius | None = None
    charge_max_temp_c: Celsius | None = None
    storage_soc_pct: Percent | None = None
    limit_hours: Hours | None = None
    limit_cycles: Number | None = None
    cycle_definition: Text | None = None
    limit_date: Date | None = None
    limit_soh_pct: Health | None = None
    cells_apart_caution_mv: Number | None = None
    cells_apart_limit_mv: Number | None = None
    cell_limit_min_v: Number | None = None
    cell_limit_max_v: Number | None = None
    insulation_limit_mohm: Number | None = None
    text: Text | None = None

    _holds_something = field_validator(
        "nominal_kwh",
        "cells_apart_caution_mv",
        "cells_apart_limit_mv",
        "cell_limit_min_v",
        "cell_limit_max_v",
        "insulation_limit_mohm",
    )(above_nought)


class PackType(PackFigures):
    """A pack type, by its part number."""

    kind: ClassVar[str] = "pack-type"

    part_no: Name
    maker_text: Text | None = None


class Pack(PackFigures):
    """One battery pack, by its serial number.

    Attributes:
        hours_brought_forward: time in service before this book began [h].
        cycles_brought_forward: equivalent full cycles before this book began.
        state: one of `STATES`, in any case; absent: fitted or store by installation. Another word enters, grounds nothing,
            and is said.
    """

    kind: ClassVar[str] = "pack"

    serial_no: Name
    part_no: Name | None = None
    made_on: Date | None = None
    hours_brought_forward: Hours | None = None
    cycles_brought_forward: Number | None = None
    landings_brought_forward: Number | None = None
    state: Name | None = None
    state_since: Instant | None = None
    state_reason: Text | None = None

    @field_validator("state")
    @classmethod
    def _as_known(cls, state: str | None) -> str | None:
        return None if state is None else known_state(state)


class Installation(Record):
    """A pack in a position of an aeroplane, from a moment up to, but not including, another."""

    kind: ClassVar[str] = "installation"

    installation_id: Name | None = None
    serial_no: Name
    aircraft: Name
    position: Name
    fitted: Instant
    removed: Instant | None = None
    reason: Text | None = None
    aircraft_hours: Hours | None = None

    @model_validator(mode="after")
    def _removed_after_fitted(self) -> Self:
        if self.removed is not None and self.removed <= self.fitted:
            raise ValueError("the pack must be removed after it was fitted")
        return self
