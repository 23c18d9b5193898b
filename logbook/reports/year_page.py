"""The report of a year on paper: each aeroplane and all of them, then each pack, with intervals where a figure is estimated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from logbook.measures import TIME, USUAL, Measures
from logbook.reports.paper import Block, Facts, Heading, Listing, Paper, Words
from logbook.reports.text_table import Column

Row = dict[str, Any]
_STANDING: Final = "As recorded by the operator; no account and not a release to service."
_PACKS: Final = (
    Column("serial_no", "pack"),
    Column("aircraft", "aeroplane"),
    Column("hours", "h", right=True),
    Column("cycles", "cycles", right=True),
    Column("exceedances", "over temp.", right=True),
    Column("charge_exceedances", "charges off temp.", right=True),
    Column("begin", "usable kWh before"),
    Column("end", "after"),
)


def year_page(
    days: tuple[str, str],
    figures: Sequence[Row],
    packs: Sequence[Row],
    digest: str,
    *,
    prices: Mapping[str, float | None],
    currency: str = "",
    measures: Measures = USUAL,
) -> Paper:
    """The report.

    Args:
        days: the first and the last day that count.
        figures: as `services.year_figures.year_figures` gives them, that of all aeroplanes last.
        packs: as `services.year_upkeep.pack_year` gives them.
        digest: of the recorded rows behind it.
        prices: of the kWh at the meter, by aeroplane.
        currency: of all prices; empty where the book names none.
        measures: the units figures are shown in.
    """
    first, last = days
    costs = _costs(figures, prices)
    blocks: list[Block] = [Words(f"From {first} to {last}, both included.", strong=True)]
    for row in [figures[-1], *figures[:-1]]:
        blocks += [
            Heading(row["aircraft"] or "All aeroplanes"),
            Facts(_facts(row, costs[row["aircraft"]], currency, measures)),
        ]
    shown = [
        row | {"begin": span_of(row["capacity_begin"]), "end": span_of(row["capacity_end"])} for row in packs
    ]
    blocks += [
        Heading("Packs"),
        Listing(_PACKS, shown, "No packs are recorded."),
        Words(
            "Cycles are equivalent full cycles by discharge. Usable capacity is as flown, mid (low to high), and meant to hold "
            "the truth nine times in ten; energy is summed over the flights whose energy is known, low to high as if every "
            "estimate of capacity were off the same way."
        ),
    ]
    return Paper(f"Report of the year {first[:4]}", f"{last}T23:59Z", digest, blocks, _STANDING)


def _facts(row: Row, cost: float | None, currency: str, measures: Measures) -> list[tuple[str, Any]]:
    energy = row["energy"]
    return [
        ("Flights", row["flights"]),
        ("Block time", measures.say(row["block_min"], TIME)),
        ("Air time", measures.say(row["air_min"], TIME)),
        ("Landings", row["landings"]),
        ("Energy known of", f"{energy['known']} of {row['flights']} flights"),
        ("Energy aboard at departure [kWh]", _span(energy, "departed")),
        ("Energy aboard after landing [kWh]", _span(energy, "landed")),
        ("Energy flown [kWh]", _span(energy, "flown")),
        ("Energy at the meter [kWh]", _metered(row)),
        ("Cost as written down", _paid(row, currency)),
        *_by_price(row, cost, currency),
        ("Landed below the reserve of charge", row["below_reserve"]),
        ("Landed below the final reserve in minutes", row["below_final_reserve"]),
        ("Defects found", row["defects_opened"]),
        ("Defects closed", row["defects_closed"]),
    ]


def span_of(value: Row | None) -> str:
    """An estimate as mid (low to high); words where it is not known."""
    return "not known" if value is None else f"{value['mid']:.2f} ({value['low']:.2f} to {value['high']:.2f})"


def _span(energy: Row, name: str) -> str:
    if not energy["known"]:
        return "not known"
    low, mid, high = energy[name]
    return f"{mid:.1f} ({low:.1f} to {high:.1f})"


def _metered(row: Row) -> str:
    words = f"{row['meter_kwh']:.1f} in {row['sessions']} charge{'' if row['sessions'] == 1 else 's'}"
    return f"{words}, {row['unmetered']} of them without a meter reading" if row["unmetered"] else words


def _paid(row: Row, currency: str) -> str:
    if row["price"] is None:
        return "not recorded"
    words = f"{row['price']:.2f} {currency}".strip()
    unpriced = row["unpriced"]
    return (
        f"{words}; {unpriced} charge{' has' if unpriced == 1 else 's have'} no price" if unpriced else words
    )


def _by_price(row: Row, cost: float | None, currency: str) -> list[tuple[str, Any]]:
    """What the meter comes to at the price of the kWh; charges that were not read at the meter are left out."""
    if cost is None:
        return []
    words = f"{cost:.2f} {currency}".strip() + " at the price of a kWh set now"
    return [
        ("Cost of the meter's energy", f"{words}; charges not read left out" if row["unmetered"] else words)
    ]


def _costs(figures: Sequence[Row], prices: Mapping[str, float | None]) -> dict[str, float | None]:
    """The meter's energy at the price of each aeroplane; in all, only where every one that charged has a price."""
    found: dict[str, float | None] = {}
    for row in figures[:-1]:
        price = prices.get(row["aircraft"])
        found[row["aircraft"]] = None if price is None or not row["sessions"] else row["meter_kwh"] * price
    charged = [found[row["aircraft"]] for row in figures[:-1] if row["sessions"]]
    known = [cost for cost in charged if cost is not None]
    found[figures[-1]["aircraft"]] = sum(known) if known and len(known) == len(charged) else None
    return found
