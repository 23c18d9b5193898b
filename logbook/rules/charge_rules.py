"""Rules on charging: temperatures, energy, charge that fell, overlaps, balancing, and packs left standing too full."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.worth import Worths, points_between
from logbook.rules.flag import CHECK, NOTE, ORDER, SERIOUS, Flag, Rule


class ChargeBands(NamedTuple):
    """How far a figure may be off before a rule speaks (common practice, no source); each can be set in the book.

    Attributes:
        fall_pct: charge may seem to fall while charging by so much [points].
        most_over_filled: energy at the meter beside what was filled, at most [1].
        least_over_filled: the same, at least [1].
        slack_kwh: on top of that, for standby and the gauge's steps [kWh].
        balancing_days: days without a full charge with balancing [days]; `balancing_cycles` cycles.
        parked_days: days a pack may stand above its storage charge [days].
        longest_h: a longer charge is improbable [h].
    """

    fall_pct: float = 1.0
    most_over_filled: float = 1.35
    least_over_filled: float = 0.85
    slack_kwh: float = 0.6
    balancing_days: float = 60.0
    balancing_cycles: float = 20.0
    parked_days: float = 7.0
    longest_h: float = 24.0


class ChargeCase(NamedTuple):
    """One pack in one charging session, and what lies around it.

    Attributes:
        serial_no: the pack.
        charge_id: the session.
        minutes: how long it took; None where its end is not known.
        purpose: what it was meant for.
        soc_start_pct: charge before; `soc_end_pct` after [%].
        temp_start_c: temperature before; `temp_end_c` after [°C].
        least_temp_c: least temperature for charging; `most_temp_c` the most [°C].
        own_kwh: the pack's own meter [kWh].
        shared_kwh: one meter for the session [kWh], and `shared_differs` where its rows give different figures.
        usable_kwh: what the pack holds that day [kWh].
        worths: what a percent is worth in each tenth of charge, where that is stated.
        session_filled_kwh: what was filled into all packs of the session [kWh], by their high ends; None if unknown.
        session_holds_kwh: what all packs of the session can hold together [kWh], by their high ends.
        overlaps: what it overlaps with in time, in words, or empty.
        days_since_full: days since the last full charge with balancing before it; None if there is none on record.
        cycles_since_full: cycles by discharge since then, or since the record began.
        is_full: this charge itself is one.
        is_newest: the pack was not charged since.
        storage_pct: highest charge for storage [%].
        stood_days: how long the pack stood after it, until something else happened, or until now [days].
    """

    serial_no: str
    charge_id: str
    minutes: int | None = None
    purpose: str = ""
    soc_start_pct: float | None = None
    soc_end_pct: float | None = None
    temp_start_c: float | None = None
    temp_end_c: float | None = None
    least_temp_c: float | None = None
    most_temp_c: float | None = None
    own_kwh: float | None = None
    shared_kwh: float | None = None
    shared_differs: bool = False
    usable_kwh: Estimate | None = None
    worths: Worths | None = None
    session_filled_kwh: float | None = None
    session_holds_kwh: float | None = None
    overlaps: str = ""
    days_since_full: float | None = None
    cycles_since_full: float = 0.0
    is_full: bool = False
    is_newest: bool = True
    storage_pct: float | None = None
    stood_days: float | None = None


Check = Callable[[ChargeCase, ChargeBands], Iterator[Flag]]


RULES: Final = {
    rule.rule: rule
    for rule in (
        Rule(
            "charge_temperature",
            "charged too cold or too warm",
            "Let the pack come to temperature before charging; tell maintenance.",
            "the pack's limits for charging",
        ),
        Rule(
            "charge_energy",
            "meter and charge do not agree",
            "Compare with the paper; correct the meter or the charge.",
            "conservation of energy; the bands are common practice, no source",
        ),
        Rule(
            "charge_too_much",
            "more energy than the packs can hold",
            "Correct the meter.",
            "conservation of energy",
        ),
        Rule(
            "charge_meter_differs",
            "one meter, two figures",
            "Give the shared meter the same figure in each row.",
            "one meter has one reading",
        ),
        Rule("charge_fell", "charge fell while charging", "Correct the readings.", "conservation of charge"),
        Rule(
            "charge_overlap",
            "charge overlaps",
            "Correct the times of one of the two.",
            "a pack is in one place at a time",
        ),
        Rule("charge_long", "charge of more than a day", "Correct the times.", "common practice, no source"),
        Rule(
            "balancing_due",
            "no full charge with balancing for long",
            "Charge to full with balancing at the next occasion.",
            "common practice, no source; the pack's manual decides",
        ),
        Rule(
            "parked_full",
            "parked above storage charge",
            "Charge shortly before flying, or fly it down before leaving it.",
            "the pack's storage charge",
        ),
    )
}
"""Every rule on charges by its id."""


def temperature(case: ChargeCase, _: ChargeBands) -> Iterator[Flag]:
    """Began or ended outside the charging temperatures; the limit itself is allowed."""
    for value in (case.temp_start_c, case.temp_end_c):
        if value is None:
            continue
        if case.least_temp_c is not None and value < case.least_temp_c:
            limit, side = case.least_temp_c, "below the least"
        elif case.most_temp_c is not None and value > case.most_temp_c:
            limit, side = case.most_temp_c, "above the most"
        else:
            continue
        words = f"Pack {case.serial_no} was charged at {value:g} °C, {side} for charging ({limit:g} °C)."
        yield Flag("charge_temperature", SERIOUS, words, {"temp_c": value, "limit_c": limit}, case.serial_no)


def energy(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """The pack's own meter against what was filled into it."""
    kwh, usable = case.own_kwh, case.usable_kwh
    if kwh is None or usable is None or case.purpose in ("preheat", "cooling"):
        return
    if case.soc_start_pct is None or case.soc_end_pct is None:
        return
    points = max(case.soc_end_pct - case.soc_start_pct, 0.0)
    filled = max(points_between(case.worths, case.soc_end_pct, case.soc_start_pct), 0.0) / 100
    most = bands.most_over_filled * filled * usable.high + bands.slack_kwh
    least = bands.least_over_filled * filled * usable.low - bands.slack_kwh
    if least <= kwh <= most:
        return
    words = (
        f"Pack {case.serial_no} took {kwh:g} kWh at its meter for {points:g} points; "
        f"{max(least, 0.0):.1f} to {most:.1f} kWh would fit what it holds ({usable.mid:.1f} kWh)."
    )
    yield Flag("charge_energy", CHECK, words, {"kwh": kwh, "points": points}, case.serial_no)


def too_much(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """More energy than the packs of the session can hold, losses allowed for."""
    kwh = case.shared_kwh if case.shared_kwh is not None else case.own_kwh
    holds = case.session_holds_kwh
    if case.shared_kwh is None:
        full = points_between(case.worths, 100.0, 0.0) / 100
        holds = None if case.usable_kwh is None else case.usable_kwh.high * full
    if kwh is None or holds is None or case.purpose in ("preheat", "cooling"):
        return
    most = bands.most_over_filled * holds + bands.slack_kwh
    if kwh > most:
        words = f"{kwh:g} kWh at the meter is more than the packs can hold, losses included ({most:.1f} kWh)."
        yield Flag("charge_too_much", CHECK, words, {"kwh": kwh}, case.serial_no)
        return
    filled = case.session_filled_kwh
    if (
        case.shared_kwh is not None
        and filled is not None
        and kwh > bands.most_over_filled * filled + bands.slack_kwh
    ):
        words = f"{kwh:g} kWh at the shared meter is more than was filled into the packs ({filled:.1f} kWh at most)."
        yield Flag("charge_energy", CHECK, words, {"kwh": kwh}, case.serial_no)


def meter_differs(case: ChargeCase, _: ChargeBands) -> Iterator[Flag]:
    """One meter for the session, but its rows give different figures."""
    if case.shared_differs:
        words = f"The rows of charge {case.charge_id} give different figures for one shared meter; the first counts."
        yield Flag("charge_meter_differs", CHECK, words, {"kwh": case.shared_kwh}, case.serial_no)


def fell(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """The charge was lower after than before, unless that was the purpose."""
    if case.soc_start_pct is None or case.soc_end_pct is None:
        return
    if case.purpose in ("preheat", "cooling", "storage"):
        return
    if case.soc_end_pct < case.soc_start_pct - bands.fall_pct:
        words = f"Pack {case.serial_no} went from {case.soc_start_pct:g} to {case.soc_end_pct:g} % while charging."
        figures = {"soc_start_pct": case.soc_start_pct, "soc_end_pct": case.soc_end_pct}
        yield Flag("charge_fell", CHECK, words, figures, case.serial_no)


def overlap(case: ChargeCase, _: ChargeBands) -> Iterator[Flag]:
    """The same pack was charged, or flown, at the same time elsewhere in the record."""
    if case.overlaps:
        words = f"Pack {case.serial_no}: this charge overlaps {case.overlaps}."
        yield Flag("charge_overlap", CHECK, words, {"with": case.overlaps}, case.serial_no)


def too_long(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """A charge of more than a day."""
    if case.minutes is not None and case.minutes > 60 * bands.longest_h:
        words = f"The charge of pack {case.serial_no} took {case.minutes / 60:.0f} h."
        yield Flag("charge_long", CHECK, words, {"minutes": case.minutes}, case.serial_no)


def balancing(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """Neither the newest charge of a pack nor one of the last days or cycles was full with balancing."""
    if case.is_full or not case.is_newest:
        return
    days, cycles = case.days_since_full, case.cycles_since_full
    if (days is None or days <= bands.balancing_days) and cycles <= bands.balancing_cycles:
        return
    since = "since the record began" if days is None else f"for {days:.0f} days"
    words = f"Pack {case.serial_no} had no full charge with balancing {since} and {cycles:.1f} cycles."
    figures = {"days": None if days is None else round(days), "cycles": round(cycles, 1)}
    yield Flag("balancing_due", NOTE, words, figures, case.serial_no)


def parked(case: ChargeCase, bands: ChargeBands) -> Iterator[Flag]:
    """The pack was left standing above its storage charge."""
    if case.storage_pct is None or case.soc_end_pct is None or case.stood_days is None:
        return
    if case.soc_end_pct > case.storage_pct and case.stood_days > bands.parked_days:
        words = (
            f"Pack {case.serial_no} stood at {case.soc_end_pct:g} % for {case.stood_days:.0f} days; "
            f"its storage charge is {case.storage_pct:g} %."
        )
        figures = {"soc_pct": case.soc_end_pct, "days": round(case.stood_days)}
        yield Flag("parked_full", NOTE, words, figures, case.serial_no)


_CHECKS: Final[tuple[Check, ...]] = (
    temperature,
    too_much,
    energy,
    meter_differs,
    fell,
    overlap,
    too_long,
    balancing,
    parked,
)


def charge_flags(case: ChargeCase, bands: ChargeBands = ChargeBands()) -> list[Flag]:  # noqa: B008 - a frozen tuple
    """Everything the rules find in one pack's part of a charge, the serious first; each rule speaks once."""
    found: dict[str, Flag] = {}
    for check in _CHECKS:
        for flag in check(case, bands):
            found.setdefault(flag.rule, flag)
    return sorted(found.values(), key=lambda flag: ORDER.index(flag.severity))
