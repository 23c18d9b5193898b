"""Rules on charge: what was left, what there was to start with. The weaker pack speaks for the aeroplane."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.rules.case import FlightCase, PackCase
from logbook.rules.flag import CHECK, SERIOUS, Flag
from logbook.rules.thresholds import Thresholds


def _least(case: FlightCase, *columns: str) -> tuple[float, PackCase, str] | None:
    """The lowest reading among the packs; of each pack the first of the columns that was read."""
    found: list[tuple[float, PackCase, str]] = []
    for pack in case.packs:
        for column in columns:
            value = pack.reading.get(column)
            if value is not None:
                found.append((value, pack, column))
                break
    return min(found, key=lambda item: item[0]) if found else None


def _of(pack: PackCase) -> str:
    return f" of pack {pack.serial_no}" if pack.serial_no else ""


def landing_below_reserve(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Landing charge of the weaker pack below the reserve in percent (at touchdown, where it was read)."""
    reserve = case.limit("reserve_soc_pct")
    least = _least(case, "soc_touchdown_pct", "soc_landing_pct")
    if reserve is None or least is None or least[0] >= reserve or case.flight["outcome"] != "flown":
        return
    soc, pack, column = least
    when = "at touchdown" if column == "soc_touchdown_pct" else "after landing"
    yield Flag(
        "landing_below_reserve",
        SERIOUS,
        f"Charge {when}{_of(pack)} was {soc:g} %, below the reserve of {reserve:g} %.",
        {"soc_pct": soc, "reserve_soc_pct": reserve, "short_pct": round(reserve - soc, 2)},
        pack.serial_no or "",
    )


def final_reserve_short(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Minutes left after landing below the planned final reserve, at the power of the case that applies."""
    reserve, left = case.reserve, case.minutes_left
    if reserve is None or reserve.minutes is None or left is None or left.mid >= reserve.minutes:
        return
    if case.flight["outcome"] != "flown":
        return
    yield Flag(
        "final_reserve_short",
        SERIOUS,
        f"About {left.mid:.0f} min ({left.low:.0f} to {left.high:.0f}) were left after landing at "
        f"{reserve.power_kw:g} kW, below the {reserve.words}.",
        {
            "minutes_left": round(left.mid, 1),
            "final_reserve_min": reserve.minutes,
            "power_kw": reserve.power_kw,
            "case": reserve.case,
        },
    )


def departure_below_minimum(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Departed at or below the least departure charge (at take-off, where it was read)."""
    minimum = case.limit("minimum_departure_soc_pct")
    least = _least(case, "soc_takeoff_pct", "soc_departure_pct")
    if minimum is None or least is None or least[0] > minimum or case.flight["outcome"] != "flown":
        return
    soc, pack, _column = least
    yield Flag(
        "departure_below_minimum",
        SERIOUS,
        f"Departed with {soc:g} %{_of(pack)}; the least departure charge is above {minimum:g} %.",
        {"soc_pct": soc, "minimum_departure_soc_pct": minimum},
        pack.serial_no or "",
    )


def packs_apart(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """The packs' charges differ more than they should, before start or after landing."""
    for column, band, when in (
        ("soc_departure_pct", bands.apart_departure_pct, "before start"),
        ("soc_landing_pct", bands.apart_landing_pct, "after landing"),
    ):
        read = [(pack.reading[column], pack) for pack in case.packs if pack.reading.get(column) is not None]
        if len(read) < 2:
            continue
        low, high = min(read, key=lambda item: item[0]), max(read, key=lambda item: item[0])
        apart = round(high[0] - low[0], 2)
        if apart > band:
            yield Flag(
                "packs_apart",
                CHECK,
                f"The packs were {apart:g} points apart {when}: {low[1].serial_no} {low[0]:g} %, "
                f"{high[1].serial_no} {high[0]:g} %.",
                {"low_pct": low[0], "high_pct": high[0], "apart_pct": apart, "when": when},
                low[1].serial_no or "",
            )
            return


def soc_rose(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """Charge after landing above charge before start, beyond the gauge's own error."""
    for pack in case.packs:
        before, after = pack.reading.get("soc_departure_pct"), pack.reading.get("soc_landing_pct")
        if before is not None and after is not None and after > before + bands.soc_rise_pct:
            yield Flag(
                "soc_rose",
                CHECK,
                f"Charge{_of(pack)} rose in flight from {before:g} % to {after:g} %.",
                {"soc_departure_pct": before, "soc_landing_pct": after},
                pack.serial_no or "",
            )
