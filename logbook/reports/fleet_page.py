"""Every pack on one paper: where it is, what it went through, and what is left of each of its limits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from logbook.measures import USUAL, Measures
from logbook.reports.pack_page import limit_rows
from logbook.reports.paper import Block, Heading, Listing, Paper, SignHere, Words
from logbook.reports.text_table import Column, liked_columns, liked_row

Row = dict[str, Any]
PACKS: Final = (
    Column("serial_no", "pack"),
    Column("part_no", "part"),
    Column("position", "position"),
    Column("state", "state"),
    Column("time_in_service_hours", "h", right=True),
    Column("landings", "landings", right=True),
    Column("equivalent_cycles_discharge", "cycles", right=True),
    Column("soh_pct", "SOH %", right=True),
    Column("exceedances", "over temp.", right=True),
)
LIFE: Final = (
    Column("pack", "pack"),
    Column("position", "position"),
    Column("parameter", "parameter"),
    Column("accumulated", "accumulated", right=True),
    Column("limit", "limit", right=True),
    Column("remaining", "remaining", right=True),
    Column("expected", "expected (low to high)"),
)
_MORE: Final = (
    Column("equivalent_cycles_half_sum", "half-sum", right=True),
    Column("energy_out_kwh", "kWh out", right=True),
    Column("usable_kwh_low", "usable kWh low", right=True),
    Column("usable_kwh_mid", "mid", right=True),
    Column("usable_kwh_high", "high", right=True),
    Column("highest_temp_c", "highest °C", right=True),
)


def fleet_page(rows: Sequence[Row], as_of: str, digest: str, measures: Measures = USUAL) -> Paper:
    """The fleet of packs.

    Args:
        rows: as `services.pack_status.pack_rows` gives them.
        as_of: the moment up to which the record counts (UTC).
        digest: of the rows.
        measures: the units figures are shown in.
    """
    columns = [PACKS[0], PACKS[1], Column("aircraft", "aircraft"), *PACKS[2:], *_MORE]
    shown = [liked_row(row, measures) for row in rows]
    blocks: list[Block] = [
        Listing(liked_columns(columns, measures), shown, "No packs are recorded."),
        Words(
            "Cycles are equivalent full cycles by discharge. Low to high is meant to hold the truth nine times in ten."
        ),
        Heading("How hours were counted"),
        Listing([PACKS[0], Column("hours_basis", "counted")], rows, "No packs are recorded."),
        Heading("Limit, total accumulated and remaining in each parameter"),
        Listing(LIFE, life_rows(rows), "No limit is stated."),
        *(
            Words(f"{row['serial_no']} may not fly: {row['grounded']}.", strong=True)
            for row in rows
            if row["grounded"]
        ),
        SignHere(),
    ]
    return Paper("Battery packs", as_of, digest, blocks)


def life_rows(packs: Sequence[Row]) -> list[Row]:
    """A line for each limit of each pack."""
    return [
        line | {"pack": pack["serial_no"], "position": pack["position"]}
        for pack in packs
        for line in limit_rows(pack)
    ]
