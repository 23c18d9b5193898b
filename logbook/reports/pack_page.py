"""The component record of one pack by serial number: its life status, where it was, what it exceeded, what was done.

Fields: part and serial number and current life status (14 CFR 43.10(c)); limit, total accumulated and remaining in each
parameter (GM M.A.305(b)-(d)); work, date, person and certificate of each entry (14 CFR 43.9, read second-hand; 91.417(a)).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from logbook.measures import USUAL, Measures, told
from logbook.reports.paper import (
    NOT_RECORDED,
    Block,
    Facts,
    Heading,
    Listing,
    Paper,
    Picture,
    SignHere,
    Words,
    recorded,
)
from logbook.reports.plot import Axis, Band, Plot, Series
from logbook.reports.text_table import Column
from logbook.units import shown_instant

Row = dict[str, Any]

_LIMITS: Final = (
    Column("parameter", "parameter"),
    Column("accumulated", "accumulated", right=True),
    Column("limit", "limit", right=True),
    Column("remaining", "remaining", right=True),
    Column("expected", "expected (low to high)"),
)
_PARAMETERS: Final = {"hours": "hours", "cycles": "cycles", "date": "date, days left", "soh": "SOH, %"}
_FITTINGS: Final = (
    Column("aircraft", "aircraft"),
    Column("position", "position"),
    Column("fitted", "fitted UTC"),
    Column("removed", "removed UTC"),
    Column("aircraft_hours", "aircraft h", right=True),
    Column("hours", "pack h", right=True),
    Column("landings", "landings", right=True),
    Column("reason", "reason"),
)
_EXCEEDED: Final = (
    Column("at", "at UTC"),
    Column("record_id", "flight, charge or observation"),
    Column("words", "what"),
)
_DEFECTS: Final = (
    Column("defect_id", "defect"),
    Column("found", "found UTC"),
    Column("state", "state"),
    Column("text", "what"),
    Column("deferred_until", "deferred until"),
    Column("closed_by_entry", "closed by"),
)
ENTRIES: Final = (
    Column("completed", "completed UTC"),
    Column("text", "work done"),
    Column("done_by", "by"),
    Column("certificate_no", "certificate"),
    Column("next_due", "next due"),
    Column("entry_id", "entry"),
)
_STATES: Final = (
    Column("since", "since UTC"),
    Column("state", "state"),
    Column("why", "why"),
    Column("by", "by"),
)


def pack_page(detail: Mapping[str, Any], digest: str, measures: Measures = USUAL) -> Paper:
    """The component record.

    Args:
        detail: as `services.pack_detail.pack_detail` gives it.
        digest: of the recorded rows behind it.
        measures: the units figures are shown in.
    """
    row: Row = detail["row"]
    blocks: list[Block] = [
        Facts(_identity(row)),
        *([Words(detail["state_note"], strong=True)] if detail["state_note"] else []),
        Heading("Life status: limit, total accumulated and remaining in each parameter"),
        Listing(_LIMITS, limit_rows(row), "No limit is stated for this pack."),
        Words(row["first_limit"], strong=True),
        Facts(_counted(row)),
        Heading("Condition"),
        Facts(_condition(detail, measures)),
        *_capacity_picture(detail["capacity"]),
        Heading("Fittings"),
        Listing(_FITTINGS, recorded(detail["fittings"], "position", "reason"), "No fitting is recorded."),
        Heading("Exceedances and cautions"),
        Listing(_EXCEEDED, told(measures, detail["exceedances"]), "None in the record."),
        Heading("Defects"),
        Listing(_DEFECTS, defect_rows(detail["defects"])),
        Heading("Maintenance entries"),
        Listing(ENTRIES, entry_rows(detail["entries"])),
        Heading("States"),
        Listing(_STATES, recorded(detail["states"], "why", "by"), "No state was ever set."),
        Heading("Line of charge"),
        Words(_gaps(detail)),
        SignHere(),
    ]
    return Paper(f"Component record: battery pack {row['serial_no']}", row["as_of"], digest, blocks)


def _identity(row: Row) -> list[tuple[str, Any]]:
    return [
        ("Serial number", row["serial_no"]),
        ("Part number", row["part_no"] or NOT_RECORDED),
        ("Fitted to", f"{row['aircraft']}, {row['position']}" if row["aircraft"] else "not fitted"),
        ("State", row["state"]),
        ("State since (UTC)", row["state_since"] or NOT_RECORDED),
        ("Why", row["state_reason"] or "no reason given"),
        ("May not fly because", row["grounded"] or "nothing in the record"),
    ]


def _counted(row: Row) -> list[tuple[str, Any]]:
    return [
        ("Time in service [h]", row["time_in_service_hours"]),
        ("Counted", row["hours_basis"]),
        ("Landings", row["landings"]),
        ("Equivalent cycles, discharge", row["equivalent_cycles_discharge"]),
        ("Equivalent cycles, half-sum", row["equivalent_cycles_half_sum"]),
        ("Equivalent cycles by energy", row["equivalent_cycles_by_energy"]),
        ("Cycles counted from", row["cycles_basis"]),
        ("Reference", row["reference_capacity"]),
        ("The maker's cycle", row["cycle_definition"] or "not stated"),
        ("Charges", row["charges"]),
        ("Energy out [kWh]", row["energy_out_kwh"]),
    ]


def _condition(detail: Mapping[str, Any], measures: Measures) -> list[tuple[str, Any]]:
    row, capacity = detail["row"], detail["capacity"]
    flown = capacity["usable_kwh"]
    highest = row["highest_temp_c"]
    highest = NOT_RECORDED if highest is None else measures.figure(highest, "°C")
    return [
        ("State of health as read [%]", NOT_RECORDED if row["soh_pct"] is None else row["soh_pct"]),
        ("Read at (UTC)", row["soh_read_at"] or NOT_RECORDED),
        ("Usable by the SOH scale [kWh]", span_words(row, "usable_kwh")),
        ("Made from", row["usable_basis"]),
        (
            "Usable as flown [kWh]",
            flown and f"{flown['mid']:.2f} ({flown['low']:.2f} to {flown['high']:.2f})",
        ),
        (f"Highest temperature [{measures.unit('°C')}]", highest),
        ("Over-temperature flights", row["exceedances"]),
        ("Flights in caution", row["cautions"]),
        ("Charges too cold or warm", row["charge_exceedances"]),
        ("Observations beyond a limit", row["observation_exceedances"]),
        *_seen(detail["observations"]),
    ]


def _seen(found: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """Cells and insulation as last read, with their limit and when it is expected to be met."""
    facts: list[tuple[str, Any]] = []
    for name, words, unit in (
        ("cells_apart_mv", "Cells apart", "mV"),
        ("insulation_mohm", "Insulation", "MΩ"),
    ):
        known = [row for row in found["rows"] if row[name] is not None]
        last = f"{known[-1][name]:g}, on {known[-1]['at'][:10]}" if known else NOT_RECORDED
        facts.append((f"{words} as last read [{unit}]", last))
        facts.append((f"{words}: limit", found["trends"][f"{name}_per_year"]["limit_words"]))
    return facts


def span_words(row: Row, name: str) -> str | None:
    """An estimate of a row as mid (low to high), digits as they are in the row; None where it is unknown."""
    if row[f"{name}_mid"] is None:
        return None
    return f"{row[f'{name}_mid']} ({row[f'{name}_low']} to {row[f'{name}_high']})"


def limit_rows(row: Row) -> list[Row]:
    """A line for each limit of a pack, from its row; one that cannot be judged says why."""
    found = []
    for name, words in _PARAMETERS.items():
        if row[f"{name}_limit"] is None:
            continue
        expected = _expected(*(row[f"{name}_expected_{end}"] for end in ("low", "mid", "high")))
        found.append(
            {
                "parameter": words,
                "accumulated": row[f"{name}_accumulated"],
                "limit": row[f"{name}_limit"],
                "remaining": row[f"{name}_remaining"],
                "expected": row[f"{name}_words"] if expected is None else expected,
            }
        )
    return found


def _expected(low: str | None, mid: str | None, high: str | None) -> str | None:
    """An expected day as mid (low to high); None where there is none at all, and words say why."""
    if low is None:
        return None
    if mid is None:
        return f"not within 100 years ({low} at the earliest)"
    return mid if low == high else f"{mid} ({low} to {high or 'more than 100 years on'})"


def entry_rows(entries: Sequence[Row]) -> list[Row]:
    """Maintenance entries; what each must say (14 CFR 43.9(a)) and does not is told."""
    return recorded(map(entry_row, entries), "text", "done_by", "certificate_no")


def defect_rows(defects: Sequence[Row]) -> list[Row]:
    """Defects; one that was put off without saying until when, on what basis or by whom is told so."""
    names = ("deferred_until", "deferred_basis", "deferred_by")
    return [
        recorded([row], *names)[0] if str(row["state"]).startswith("deferred") else row for row in defects
    ]


def entry_row(entry: Row) -> Row:
    """A maintenance entry with what it makes due next in one cell."""
    parts = [
        f"{entry[name]:g} {unit}" if isinstance(entry[name], float) else str(entry[name])
        for name, unit in (("next_due_date", ""), ("next_due_hours", "h"), ("next_due_cycles", "cycles"))
        if entry[name] is not None
    ]
    return entry | {"next_due": ", ".join(parts)}


def _gaps(detail: Mapping[str, Any]) -> str:
    gaps: Sequence[Row] = detail["gaps"]
    unread = f" {detail['unread']} readings were not made." if detail["unread"] else ""
    if not gaps:
        return f"Unbroken: every charge follows on from the one before.{unread}"
    first = gaps[-1]
    return (
        f"Broken at {len(gaps)} places; cycles count each as the change that it is. The last is at {shown_instant(first['at'])}: "
        f"{first['words']}{unread}"
    )


def _capacity_picture(capacity: Mapping[str, Any]) -> list[Block]:
    history = capacity["history"]
    if len(history) < 3:
        return []
    x = [float(date.fromisoformat(point["at"][:10]).toordinal()) for point in history]
    spans = [point["usable_kwh"] for point in history]
    low, mid, high = ([span[end] for span in spans] for end in ("low", "mid", "high"))
    plot = Plot(
        "Usable capacity as flown",
        Axis("date", dated=True),
        Axis("usable capacity", "kWh", decimals=2),
        [Series("usable", x, mid)],
        [Band("nine times in ten", x, low, high)],
    )
    words = f"Usable capacity as flown, from {len(history)} flights: {mid[0]:.2f} kWh at first, {mid[-1]:.2f} kWh at last."
    return [Picture(plot, words)]
