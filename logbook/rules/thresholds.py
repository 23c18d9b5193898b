"""Bands of the rules: common practice, no published source; each can be set in the book."""

from __future__ import annotations

from typing import NamedTuple


class Thresholds(NamedTuple):
    """How far a figure may be off before a rule speaks.

    Attributes:
        apart_departure_pct: packs may differ by so much before start [points]; `apart_landing_pct` after landing.
        soc_rise_pct: charge may seem to rise in flight by so much [points].
        gap_pct: departure may differ from the last reading by so much [points], and
            `gap_pct_per_day` more for each day that passed (self-discharge and settling).
        charge_start_pct: a charge may start so far from the landing reading [points].
        soh_rise_pct: state of health may rise by so much without a baseline break [points].
        meter_gap_h: the hour meter may start so far from where it ended [h].
        least_power_share: no aeroplane flies on less than this share of its cruise power [1].
        longest_block_min: a longer block time is improbable [min].
        date_apart_days: the date as flown may differ from the day of off blocks (UTC) by so much [days].
        ahead_days: off blocks may lie so far after the moment of entry [days]: a slip in the century, while forms ask about
            any time to come; a book that enters nothing ahead may set it to 1.
        most_power_times: the mean power of a flight is at most so many times the cruise power [1].
        emptied_min: no full pack is emptied in less [min].
        meter_over_h: the hour meter may run so much longer than the block time [h].
        legs_over_min: level minutes may exceed the block time by so much [min].
        least_circuit_min: no circuit takes less [min].
        most_mass_kg: a greater take-off mass is improbable in a light aeroplane [kg].
        most_mass_times: and one of so many times the mass of the handbook's figures [1].
        conditions_over_min: night, IFR or instrument time may exceed the flight by so much [min]: whoever keeps times in
            tenths of an hour rounds up by three minutes at most.
        recorded_soc_pct: a charge that was written down may differ by so much from the recorded one [points].
        recorded_temp_c: a temperature may [°C].
        recorded_time_min: a time may [min].
    """

    apart_departure_pct: float = 5.0
    apart_landing_pct: float = 12.0
    soc_rise_pct: float = 1.0
    gap_pct: float = 3.0
    gap_pct_per_day: float = 0.2
    charge_start_pct: float = 2.0
    soh_rise_pct: float = 3.0
    meter_gap_h: float = 0.11
    least_power_share: float = 0.35
    longest_block_min: float = 600.0
    date_apart_days: float = 1.0
    ahead_days: float = 3653.0
    most_power_times: float = 3.0
    emptied_min: float = 6.0
    meter_over_h: float = 0.2
    legs_over_min: float = 15.0
    least_circuit_min: float = 1.5
    most_mass_kg: float = 5700.0
    most_mass_times: float = 1.5
    conditions_over_min: float = 3.0
    recorded_soc_pct: float = 3.0
    recorded_temp_c: float = 3.0
    recorded_time_min: float = 3.0
