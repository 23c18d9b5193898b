"""An aeroplane: what its manual and its operator say about it."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field, field_validator

from logbook.domain.fields import (
    Celsius,
    Fraction,
    Kw,
    Kwh,
    Minutes,
    Name,
    Number,
    Percent,
    Rate,
    Tenths,
    Text,
    not_below_nought,
)
from logbook.domain.record import Keyed


class Aircraft(Keyed):
    """An aeroplane, with packs or without.

    Energies, rates and powers are for the whole aeroplane. Some columns (temperatures, the state-of-health
    scale, unusable charge, energy by tenths) apply where the pack type is silent. A missing limit raises no flag.

    Attributes:
        positions: the places where a pack can be fitted, in the operator's words; empty for an aeroplane without.
        reserve_soc_pct: least charge of each pack at landing, by the operator's policy [%].
        minimum_departure_soc_pct: depart above this charge only [%].
        final_reserve_min_local: least minutes that must remain after landing, local flights by day [min].
        final_reserve_kw_local: the power at which these minutes are counted [kW]; likewise day and night.
        temp_caution_c: pack temperature that asks for caution [°C].
        temp_limit_c: pack temperature that must not be reached [°C].
        soh_zero_fraction: usable share of the nominal capacity at state of health 0, by the manual [1].
        soh_full_fraction: the same at state of health 100 [1].
        unusable_soc_pct: charge that cannot be used in flight [%].
        energy_by_decile: energy for one percent in each tenth of charge, full to empty; only the ratios count [1].
        cruise_power_kw: power in cruise [kW] at `cruise_tas_kt` [kt].
        climb_rate_fpm: usual rate of climb [ft/min].
        ceiling_ft: highest altitude of the manual [ft].
        handbook_ground_kwh: energy on the ground, each flight [kWh].
        handbook_climb_kwh_per_1000ft: energy of a climb [kWh/1000 ft]; 0 drops the term, as with each rate.
        handbook_level_kwh_per_min: energy in level flight [kWh/min].
        handbook_circuit_kwh: energy of one circuit [kWh].
        handbook_departure_kwh: once, when anything but circuits is flown [kWh].
        handbook_mass_kg: the mass these figures hold for [kg].
        time_in_service_from: `air` or `meter`: which clock counts as time in service.
    """

    kind: ClassVar[str] = "aircraft"

    registration: Name
    type: Name | None = None
    aircraft_class: Name | None = Field(default=None, alias="class")
    positions: list[Name] = Field(default_factory=list)
    base: Name | None = None
    reserve_soc_pct: Percent | None = None
    minimum_departure_soc_pct: Percent | None = None
    final_reserve_min_local: Minutes | None = None
    final_reserve_kw_local: Kw | None = None
    final_reserve_min_day: Minutes | None = None
    final_reserve_kw_day: Kw | None = None
    final_reserve_min_night: Minutes | None = None
    final_reserve_kw_night: Kw | None = None
    temp_caution_c: Celsius | None = None
    temp_limit_c: Celsius | None = None
    charge_min_temp_c: Celsius | None = None
    charge_max_temp_c: Celsius | None = None
    soh_zero_fraction: Fraction | None = None
    soh_full_fraction: Fraction | None = None
    unusable_soc_pct: Percent | None = None
    energy_by_decile: Tenths | None = None
    cruise_power_kw: Kw | None = None
    cruise_tas_kt: Number | None = None
    climb_rate_fpm: Number | None = None
    ceiling_ft: Number | None = None
    empty_mass_kg: Number | None = None
    handbook_ground_kwh: Kwh | None = None
    handbook_climb_kwh_per_1000ft: Rate | None = None
    handbook_level_kwh_per_min: Rate | None = None
    handbook_circuit_kwh: Kwh | None = None
    handbook_departure_kwh: Kwh | None = None
    handbook_mass_kg: Number | None = None
    electricity_price_per_kwh: Number | None = None
    pack_set_price: Number | None = None
    time_in_service_from: Name | None = None
    takeoff_min_temp_c: Celsius | None = None
    takeoff_max_temp_c: Celsius | None = None
    hours_brought_forward: Number | None = None
    landings_brought_forward: Number | None = None
    text: Text | None = None

    _costs = field_validator(
        "handbook_ground_kwh",
        "handbook_climb_kwh_per_1000ft",
        "handbook_level_kwh_per_min",
        "handbook_circuit_kwh",
        "handbook_departure_kwh",
    )(not_below_nought)

    @field_validator("positions")
    @classmethod
    def _each_once(cls, positions: list[str]) -> list[str]:
        twice = next((name for name in positions if positions.count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"the position '{twice}' is named twice; each position holds one pack")
        return positions
