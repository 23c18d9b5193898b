"""Rules on the packs themselves: fitted then, fit to fly, and one continuous line of charge."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.domain.sources import TRUSTED
from logbook.rules.case import Event, FlightCase, PackCase
from logbook.rules.flag import CHECK, NOTE, SERIOUS, Flag
from logbook.rules.thresholds import Thresholds
from logbook.units import minutes_of, shown_instant


def pack_not_fitted(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """A reading of a pack that the record does not know as fitted in this aeroplane then."""
    if case.flight.get("off_blocks") is None:
        return  # not off blocks yet: what is fitted then cannot be said
    for pack in case.packs:
        if pack.serial_no is not None and pack.position is None:
            yield Flag(
                "pack_not_fitted",
                CHECK,
                f"Pack {pack.serial_no} was not fitted in {case.flight['aircraft']} then, as far as the record knows.",
                {"aircraft": case.flight["aircraft"], "off_blocks": case.flight.get("off_blocks")},
                pack.serial_no,
            )


def pack_grounded(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """A pack that was quarantined then, or needed inspection before next use, was flown; a later release changes nothing."""
    if case.flight["outcome"] != "flown":
        return
    for pack in case.packs:
        if pack.serial_no is not None and pack.grounded:
            yield Flag(
                "pack_quarantined",
                SERIOUS,
                f"Pack {pack.serial_no} flew although {pack.grounded.replace('it is ', 'it was ', 1)}.",
                {"why": pack.grounded},
                pack.serial_no,
            )


def readings_missing(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """A fitted pack without both charges: the flight stays out of the estimates."""
    if case.flight["outcome"] != "flown" or case.flight["state"] != "closed":
        return
    whole = any(pack.serial_no is None for pack in case.packs)
    read = {pack.serial_no: pack for pack in case.packs if pack.serial_no is not None}
    for serial_no in dict.fromkeys([*read, *([] if whole else case.fitted)]):
        pack = read.get(serial_no)
        missing = [
            words
            for column, words in (("soc_departure_pct", "before start"), ("soc_landing_pct", "after landing"))
            if pack is None or pack.reading.get(column) is None
        ]
        if missing:
            yield Flag(
                "readings_missing",
                NOTE,
                f"Charge of pack {serial_no} {' and '.join(missing)} was not read; the estimates leave this flight out.",
                {"missing": missing},
                serial_no,
            )


def _believed(event: Event, value: float | None) -> float | None:
    return value if event.source in TRUSTED else None


def _last_soc(pack: PackCase) -> tuple[float, Event] | None:
    """The last known charge before the flight; None where an event since then left it unknown."""
    if not pack.before:
        return None
    last = pack.before[-1]
    value = _believed(last, last.soc_after_pct)
    return None if value is None else (value, last)


def ledger_gap(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """Charge before start differs from the last reading plus the charges since."""
    off_blocks = case.flight.get("off_blocks")
    for pack in case.packs:
        departure, last = pack.reading.get("soc_departure_pct"), _last_soc(pack)
        if departure is None or last is None or off_blocks is None or pack.serial_no is None:
            continue
        soc, event = last
        days = max(0, minutes_of(off_blocks) - minutes_of(event.until or event.at)) / 1440
        gap = round(departure - soc, 2)
        if abs(gap) <= bands.gap_pct + (bands.gap_pct_per_day * days if gap < 0 else 0):
            continue
        cause = "a charge may be missing" if gap > 0 else "a flight or a discharge may be missing"
        yield Flag(
            "ledger_gap",
            CHECK,
            f"Pack {pack.serial_no} started with {departure:g} %, but the {event.what} of {shown_instant(event.at)} ended at "
            f"{soc:g} % ({gap:+g} points): {cause}, or a reading is mistyped.",
            {"soc_departure_pct": departure, "last_pct": soc, "gap_pct": gap, "last": event.record_id},
            pack.serial_no,
        )


def _charge_starts(case: FlightCase) -> list[tuple[PackCase, float, float, Event]]:
    """Packs whose next event is a charge, with the landing charge and the charge at its start."""
    found = []
    for pack in case.packs:
        landed, after = pack.reading.get("soc_landing_pct"), pack.after
        if pack.serial_no and landed is not None and after is not None and after.what == "charge":
            start = after.soc_before_pct
            if start is not None and pack.reading.get("source", "read") in TRUSTED:
                found.append((pack, landed, start, after))
    return found


def charge_start_differs(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """The next charge starts elsewhere than the flight landed; both packs exchanged means swapped readings."""
    pairs = _charge_starts(case)
    off = [pair for pair in pairs if abs(pair[1] - pair[2]) > bands.charge_start_pct]
    if len(pairs) == 2 and len(off) == 2:
        (one, landed_1, start_1, _e1), (two, landed_2, start_2, _e2) = pairs
        crossed = max(abs(landed_1 - start_2), abs(landed_2 - start_1))
        if crossed <= bands.charge_start_pct:
            yield Flag(
                "packs_swapped",
                CHECK,
                f"Landing charges of {one.serial_no} ({landed_1:g} %) and {two.serial_no} ({landed_2:g} %) look "
                f"exchanged: the next charge started at {start_1:g} % and {start_2:g} %.",
                {one.serial_no or "": [landed_1, start_1], two.serial_no or "": [landed_2, start_2]},
            )
            return
    for pack, landed, start, event in off:
        yield Flag(
            "charge_start_differs",
            CHECK,
            f"Pack {pack.serial_no} landed with {landed:g} %, but the charge of {shown_instant(event.at)} started at "
            f"{start:g} %.",
            {"soc_landing_pct": landed, "charge_start_pct": start, "charge": event.record_id},
            pack.serial_no or "",
        )


def soh_rose(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """State of health rose since the last flight without a baseline break."""
    for pack in case.packs:
        soh = pack.reading.get("soh_pct")
        earlier = [event for event in pack.before if event.what == "flight" and event.soh_pct is not None]
        if soh is None or not earlier or pack.break_since:
            continue
        last = earlier[-1]
        before = last.soh_pct or 0.0
        if soh > before + bands.soh_rise_pct:
            yield Flag(
                "soh_rose",
                CHECK,
                f"State of health of pack {pack.serial_no} rose from {before:g} % ({shown_instant(last.at)}) to {soh:g} %; "
                "if the pack was repaired or its software changed, record a baseline break.",
                {"soh_pct": soh, "before_pct": before},
                pack.serial_no or "",
            )
