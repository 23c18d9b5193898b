"""Rules on times: what cannot have been flown with the energy aboard, and flights that overlap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from logbook.energy.usable import FLOWN_FOR_MIN
from logbook.energy.worth import points_between
from logbook.rules.case import FlightCase
from logbook.rules.flag import CHECK, NOTE, Flag
from logbook.rules.thresholds import Thresholds
from logbook.units import hours_and_minutes, minutes_of, shown_instant


def times_improbable(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """A date far from off blocks, a time to come, a block time longer than any flight, or one that the energy contradicts."""
    for said in (_dated_apart, _to_come, _too_long, _too_little_aboard, _too_much_drawn, _nothing_drawn):
        found = said(case, bands)
        if found is not None:
            yield Flag("times_improbable", CHECK, *found)
            return


_Said = tuple[str, dict[str, Any]]


def _dated_apart(case: FlightCase, bands: Thresholds) -> _Said | None:
    day, off = case.flight.get("date"), case.flight.get("off_blocks")
    if day is None or off is None:
        return None
    apart = abs((date.fromisoformat(day) - date.fromisoformat(off[:10])).days)
    if apart <= bands.date_apart_days:
        return None
    return (
        f"The date is {day}, but off blocks is {shown_instant(off)}: {apart} days apart.",
        {"date": day, "off_blocks": off, "days": apart},
    )


def _to_come(case: FlightCase, bands: Thresholds) -> _Said | None:
    off, entered = case.flight.get("off_blocks"), case.flight.get("entered_at")
    if off is None or entered is None or minutes_of(off) - minutes_of(entered) <= 1440 * bands.ahead_days:
        return None
    return (
        f"Off blocks is {shown_instant(off)}, but the flight was entered at {shown_instant(entered)}, before that.",
        {"off_blocks": off, "entered_at": entered},
    )


def _too_long(case: FlightCase, bands: Thresholds) -> _Said | None:
    if case.block_min is None or case.block_min <= bands.longest_block_min:
        return None
    return (
        f"A block time of {hours_and_minutes(case.block_min)} h is improbable.",
        {"block_min": case.block_min},
    )


def _too_little_aboard(case: FlightCase, bands: Thresholds) -> _Said | None:
    """Air time × least credible power exceeds the energy aboard."""
    cruise_kw = _cruise_power_kw(case)
    minutes = case.air_min if case.air_min is not None else case.block_min
    aboard_kwh = _energy_aboard_kwh(case)
    if cruise_kw is None or minutes is None or aboard_kwh is None or case.flight["outcome"] != "flown":
        return None
    least_kwh = minutes / 60 * cruise_kw * bands.least_power_share
    if least_kwh <= aboard_kwh:
        return None
    return (
        (
            f"{minutes} min in the air at no less than {cruise_kw * bands.least_power_share:.0f} kW take "
            f"{least_kwh:.1f} kWh, more than the {aboard_kwh:.1f} kWh aboard at departure."
        ),
        {"minutes": minutes, "least_kwh": round(least_kwh, 2), "aboard_kwh": round(aboard_kwh, 2)},
    )


def _too_much_drawn(case: FlightCase, bands: Thresholds) -> _Said | None:
    """Charge left the packs faster than the aeroplane can draw it; both times may be a minute off by rounding."""
    if case.block_min is None or case.flight["outcome"] == "device":
        return None
    minutes, cruise_kw = case.block_min + 1, _cruise_power_kw(case)
    known = [pack.energy_kwh.low for pack in case.packs if pack.energy_kwh is not None]
    if cruise_kw is not None and 60 * sum(known) / minutes > bands.most_power_times * cruise_kw:
        return (
            (
                f"{sum(known):.1f} kWh or more in a block time of {case.block_min} min are a mean of "
                f"{60 * sum(known) / minutes:.0f} kW, far above what the aeroplane draws in cruise ({cruise_kw:.0f} kW)."
            ),
            {"block_min": case.block_min, "kwh_at_least": round(sum(known), 2), "cruise_kw": cruise_kw},
        )
    used = [_points_used(pack.reading) for pack in case.packs]
    most = max((points for points in used if points is not None), default=0.0)
    if most * bands.emptied_min <= 100 * minutes:
        return None
    return (
        f"A block time of {case.block_min} min is improbable for {most:g} % of charge used.",
        {"block_min": case.block_min, "used_pct": most},
    )


def _nothing_drawn(case: FlightCase, bands: Thresholds) -> _Said | None:
    """No gauge fell while the aeroplane flew; beyond the gauge's own error it rose, which has a rule of its own."""
    used = [points for pack in case.packs if (points := _points_used(pack.reading)) is not None]
    minutes = case.air_min if case.air_min is not None else case.block_min
    if minutes is None or minutes < FLOWN_FOR_MIN or case.flight["outcome"] != "flown" or not used:
        return None
    if max(used) > 0 or min(used) < -bands.soc_rise_pct:
        return None
    return (
        f"{minutes} min in the air and no charge used: before start and after stop the gauge showed the same.",
        {"minutes": minutes, "used_pct": max(used)},
    )


def _points_used(reading: Mapping[str, Any]) -> float | None:
    before, after = reading.get("soc_departure_pct"), reading.get("soc_landing_pct")
    return None if before is None or after is None else round(before - after, 2)


def _cruise_power_kw(case: FlightCase) -> float | None:
    power: float | None = case.aircraft.get("cruise_power_kw")
    if power:
        return power
    level: float | None = case.aircraft.get("handbook_level_kwh_per_min")
    return level * 60 if level else None


def _energy_aboard_kwh(case: FlightCase) -> float | None:
    """The most the packs can have held at departure [kWh]; None where any of them is unknown."""
    total = 0.0
    for pack in case.packs:
        soc = pack.reading.get("soc_departure_pct")
        if pack.usable_kwh is None or soc is None:
            return None
        total += pack.usable_kwh.high * points_between(pack.limits.worths, soc, 0.0) / 100
    return total if case.packs else None


def overlap(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """The block times of two flights of the aeroplane overlap."""
    off, on = case.flight.get("off_blocks"), case.flight.get("on_blocks")
    for other in (case.previous, case.following):
        if other is None or off is None or on is None or other.off_blocks is None or other.on_blocks is None:
            continue
        if off < other.on_blocks and other.off_blocks < on:
            yield Flag(
                "overlap",
                CHECK,
                f"Block times overlap with the flight of {shown_instant(other.off_blocks)} to {shown_instant(other.on_blocks)}.",
                {
                    "other": other.flight_id,
                    "other_off_blocks": other.off_blocks,
                    "other_on_blocks": other.on_blocks,
                },
            )
            return


def meter_gap(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """The hour meter ran longer than the block time, or does not start where it ended on the flight before."""
    start, end = case.flight.get("meter_start"), case.flight.get("meter_end")
    if start is not None and end is not None and case.block_min is not None:
        ran_h = round(end - start, 3)
        if ran_h > case.block_min / 60 + bands.meter_over_h:
            yield Flag(
                "meter_gap",
                CHECK,
                f"The hour meter ran {ran_h:g} h in a block time of {case.block_min} min: one of the two is mistyped.",
                {"meter_start": start, "meter_end": end, "block_min": case.block_min},
            )
            return
    if start is None or case.previous is None or case.previous.meter_end is None:
        return
    gap = round(start - case.previous.meter_end, 3)
    if abs(gap) > bands.meter_gap_h:
        what = "a flight may be missing" if gap > 0 else "one of the two is mistyped"
        yield Flag(
            "meter_gap",
            CHECK,
            f"The hour meter started at {start:g} h but ended at {case.previous.meter_end:g} h before: {what}.",
            {"meter_start": start, "previous_meter_end": case.previous.meter_end, "gap_h": gap},
        )


_WANTED = (
    ("place_from", "place of departure"),
    ("place_to", "place of arrival"),
    ("pilot", "pilot"),
    ("function", "function of the pilot"),
)
_WANTED_OF_DEVICE = (
    ("place_from", "place of the lesson"),
    ("pilot", "pilot"),
    ("function", "function of the pilot"),
    ("device_text", "type and qualification of the training device"),
)


def record_incomplete(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Something the law wants in the record is not there (14 CFR 61.51(b); AMC1 FCL.050, read second-hand)."""
    flight = case.flight
    if flight["state"] != "closed" or flight["outcome"] not in ("flown", "device"):
        return
    device = flight["outcome"] == "device"
    wanted = _WANTED_OF_DEVICE if device else _WANTED
    missing = [words for column, words in wanted if flight.get(column) is None]
    if (
        not device
        and flight.get("landings_day") is None
        and flight.get("landings_night") is None
        and not flight.get("crew")
    ):
        missing.append("landings")
    if missing:
        yield Flag(
            "record_incomplete", NOTE, f"Not written down: {', '.join(missing)}.", {"missing": missing}
        )
