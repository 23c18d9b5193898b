"""Energy at the charger's meter: one meter for two packs is counted once.

A session is all the rows of one charging session. Where one meter served them all, its figure stands in the row of each pack
and counts once; it is divided among the packs by what was filled into each (points × capacity), and the parts add up to it exactly.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from logbook.energy.record import ChargeFacts
from logbook.energy.worth import Worths, points_between

_Key = tuple[str, object, object, object]


class MeterTotal(NamedTuple):
    """Energy at the meter over a number of sessions."""

    kwh: float
    sessions: int
    unmetered: int
    """Sessions without any meter reading: the total is too low by them."""


class MeterShare(NamedTuple):
    """What of a session's meter figure belongs to one pack."""

    charge_id: str
    serial_no: str
    kwh: float | None
    """``None``: not metered."""
    how: str
    """own meter, shared by what was filled, shared equally, or not metered."""


def sessions_of(charges: Iterable[ChargeFacts]) -> list[list[ChargeFacts]]:
    """Rows of one charging session together, in order of first appearance.

    Rows belong together by the session's id; rows with one shared meter also when charger, start and that figure are the same.
    """
    sessions: dict[_Key, list[ChargeFacts]] = {}
    by_id: dict[str, _Key] = {}
    for row in charges:
        key: _Key = (row.charge_id, None, None, None)
        if row.charge_id in by_id:
            key = by_id[row.charge_id]
        elif row.shared_energy_kwh is not None:
            key = ("", row.charger, row.started, row.shared_energy_kwh)
        by_id[row.charge_id] = key
        sessions.setdefault(key, []).append(row)
    return list(sessions.values())


def session_kwh(rows: Sequence[ChargeFacts]) -> float | None:
    """Energy at the meter of one session [kWh]: the shared meter's, else the sum of the packs' own; ``None``: not metered."""
    shared = [row.shared_energy_kwh for row in rows if row.shared_energy_kwh is not None]
    if shared:
        return shared[0]
    own = [row.energy_kwh for row in rows if row.energy_kwh is not None]
    return sum(own) if own else None


def meter_total(charges: Iterable[ChargeFacts]) -> MeterTotal:
    """Energy at the meter over all charges [kWh]; a meter shared by packs is counted once."""
    figures = [session_kwh(rows) for rows in sessions_of(charges)]
    known = [figure for figure in figures if figure is not None]
    return MeterTotal(sum(known), len(figures), len(figures) - len(known))


def meter_shares(
    rows: Sequence[ChargeFacts],
    usable_kwh: Callable[[str], float | None] | None = None,
    worths: Callable[[str], Worths | None] = lambda _: None,
) -> list[MeterShare]:
    """Divides one session's meter figure among its packs.

    Args:
        rows: The rows of one session.
        usable_kwh: Usable capacity of a pack by serial number [kWh]; where one is unknown, points filled alone decide.
        worths: What a percent is worth in each tenth of a pack, by serial number.
    Returns: One share a row; they add up to `session_kwh` exactly where a shared meter was read.
    """
    total = next((row.shared_energy_kwh for row in rows if row.shared_energy_kwh is not None), None)
    if total is None:
        return [
            MeterShare(
                row.charge_id,
                row.serial_no,
                row.energy_kwh,
                "own meter" if row.energy_kwh is not None else "not metered",
            )
            for row in rows
        ]
    own = [row.energy_kwh for row in rows]
    if None not in own and sum(filter(None, own)) > 0:
        parts, how = [kwh or 0.0 for kwh in own], "shared by the packs' own meters"
    else:
        parts, how = _filled(rows, usable_kwh, worths)
    whole = sum(parts)
    shares = [total * part / whole for part in parts]
    shares[-1] = total - sum(shares[:-1])
    return [MeterShare(row.charge_id, row.serial_no, kwh, how) for row, kwh in zip(rows, shares, strict=True)]


def _filled(
    rows: Sequence[ChargeFacts],
    usable_kwh: Callable[[str], float | None] | None,
    worths: Callable[[str], Worths | None],
) -> tuple[list[float], str]:
    """What was filled into each pack, and how that was told."""
    points = [
        max(points_between(worths(row.serial_no), row.soc_end_pct, row.soc_start_pct), 0.0)
        if row.soc_start_pct is not None and row.soc_end_pct is not None
        else None
        for row in rows
    ]
    if None in points or sum(filter(None, points)) <= 0:
        return [1.0] * len(rows), "shared equally: what was filled is not known"
    capacities = [usable_kwh(row.serial_no) if usable_kwh else None for row in rows]
    if None in capacities:
        return [point or 0.0 for point in points], "shared by points filled"
    filled = [(point or 0.0) * (kwh or 0.0) for point, kwh in zip(points, capacities, strict=True)]
    return filled, "shared by what was filled"
