"""Which columns the lists show, with units in the headings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from logbook.measures import TIME, USUAL, Measures
from logbook.reports.text_table import Column
from logbook.services.kinds import kind_of

if TYPE_CHECKING:
    from logbook.store.database import Book

_FLIGHTS = (
    Column("flight_id", "flight"),
    Column("date", "date"),
    Column("aircraft", "aircraft"),
    Column("off", "off UTC"),
    Column("block", "block h:mm", right=True),
    Column("air", "air h:mm", right=True),
    Column("kind", "kind"),
    Column("pilot", "pilot"),
    Column("charge", "charge %"),
    Column("energy_kwh", "kWh", right=True),
    Column("per_min", "kWh/min", right=True),
    Column("left", "min left", right=True),
    Column("flags", "flags"),
)

_DUE = (
    Column("due", "due"),
    Column("what", "what"),
    Column("of", "of"),
    Column("text", "text"),
    Column("left", "left", right=True),
)

_OTHERS: dict[str, tuple[Column, ...]] = {
    "charge": (
        Column("charge_id", "charge"),
        Column("serial_no", "pack"),
        Column("started", "started UTC"),
        Column("ended", "ended UTC"),
        Column("charger", "charger"),
        Column("soc_start_pct", "from %", right=True),
        Column("soc_end_pct", "to %", right=True),
        Column("energy_kwh", "own kWh", right=True),
        Column("shared_energy_kwh", "shared kWh", right=True),
    ),
    "pack": (
        Column("serial_no", "pack"),
        Column("part_no", "part"),
        Column("state", "state"),
        Column("place", "where"),
        Column("hours", "h", right=True),
        Column("limit_hours", "limit h", right=True),
        Column("cycles", "cycles", right=True),
        Column("limit_cycles", "limit cycles", right=True),
        Column("soh", "SOH %", right=True),
        Column("first", "first limit expected"),
    ),
    "aircraft": (
        Column("registration", "aircraft"),
        Column("type", "type"),
        Column("positions", "positions"),
        Column("reserve_soc_pct", "reserve %", right=True),
        Column("minimum_departure_soc_pct", "least departure %", right=True),
        Column("base", "base"),
    ),
    "person": (Column("person", "person"), Column("licence_no", "licence"), Column("role_text", "role")),
    "place": (
        Column("place", "place"),
        Column("latitude_deg", "latitude °", right=True),
        Column("longitude_deg", "longitude °", right=True),
        Column("elevation_ft", "elevation ft", right=True),
        Column("zone", "zone"),
    ),
    "installation": (
        Column("serial_no", "pack"),
        Column("aircraft", "aircraft"),
        Column("position", "position"),
        Column("fitted", "fitted UTC"),
        Column("removed", "removed UTC"),
        Column("reason", "reason"),
    ),
    "defect": (
        Column("defect_id", "defect"),
        Column("found", "found UTC"),
        Column("aircraft", "aircraft"),
        Column("serial_no", "pack"),
        Column("state", "state"),
        Column("deferred_until", "deferred until"),
        Column("text", "text"),
    ),
    "maintenance": (
        Column("entry_id", "entry"),
        Column("completed", "completed UTC"),
        Column("aircraft", "aircraft"),
        Column("serial_no", "pack"),
        Column("work", "work"),
        Column("done_by", "by"),
        Column("text", "text"),
    ),
    "paper": (
        Column("what", "what"),
        Column("which", "of"),
        Column("as_of", "as of UTC"),
        Column("issued", "issued UTC"),
        Column("by_whom", "by"),
        Column("file_name", "file"),
        Column("paper_id", "paper"),
    ),
}


def columns_of(word: str, measures: Measures = USUAL) -> tuple[Column, ...]:
    """The columns of a list."""
    if word == "due":
        return _DUE
    kind = kind_of(word)
    if kind.name == "flight":
        unit = measures.unit(TIME)
        return tuple(column._replace(title=column.title.replace("h:mm", unit)) for column in _FLIGHTS)
    if kind.table in _OTHERS:
        return _OTHERS[kind.table]
    from logbook.domain.cells import column_types

    hidden = (
        "struck",
        "entered_by",
        "entered_at",
        "payload",
        "signature",
        "inputs",
        "answer",
        "findings",
        "units",
        "left_out",
    )
    return tuple(Column(name, name) for name in column_types(kind.load()) if name not in hidden)


def recorded_columns(word: str) -> tuple[str, ...]:
    """Every column of a kind as the files have it, for lists that other programs read."""
    if word == "due":
        return tuple(column.key for column in _DUE)
    from logbook.exchange.layout import LAYOUTS

    return tuple(LAYOUTS[kind_of(word).file].columns)


def pack_text_rows(book: Book, rows: Iterable[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Packs as lines: where each is, what it has accrued, its limits (its own, else its type's), and which comes first."""
    from logbook.services.add import now
    from logbook.services.pack_lines import pack_lines

    lines = {line.serial_no: line for line in pack_lines(book, now(), {})}
    for row in rows:
        line = lines.get(row["serial_no"])
        if line is None:  # struck out
            yield row
            continue
        found = line.row
        cycles = found["cycles_accumulated"]
        cycles = found["equivalent_cycles_discharge"] if cycles is None else cycles
        yield {
            "serial_no": line.serial_no,
            "part_no": row["part_no"],
            "state": f"{found['state']}, MAY NOT FLY: {found['grounded']}"
            if found["grounded"]
            else found["state"],
            "place": line.place,
            "hours": f"{found['time_in_service_hours']:.1f}",
            "limit_hours": found["hours_limit"],
            "cycles": f"{cycles:.1f}",
            "limit_cycles": found["cycles_limit"],
            "soh": found["soh_pct"],
            "first": line.first_limit,
        }


def flight_text_row(flight: dict[str, Any], measures: Measures = USUAL) -> dict[str, Any]:
    """A flight as one line: charge of each pack from and to, times as a clock shows them."""
    derived = flight["derived"]
    charges = [
        f"{_percent(reading['soc_departure_pct'])}→{_percent(reading['soc_landing_pct'])}"
        for reading in flight["readings"]
    ]
    left = derived["minutes_left"]
    return {
        "flight_id": flight["flight_id"],
        "date": flight["date"],
        "aircraft": flight["aircraft"],
        "off": (flight["off_blocks"] or "")[11:16],
        "block": "" if derived["block_min"] is None else measures.figure(derived["block_min"], TIME),
        "air": "" if derived["air_min"] is None else measures.figure(derived["air_min"], TIME),
        "kind": flight["kind"] or flight["outcome"],
        "pilot": flight["pilot"],
        "charge": "  ".join(charges),
        "energy_kwh": "" if derived["energy_kwh"] is None else f"{derived['energy_kwh']:.1f}",
        "per_min": "" if derived["energy_kwh_per_min"] is None else f"{derived['energy_kwh_per_min']:.3f}",
        "left": "" if left is None else f"{left:.0f}",
        "flags": " ".join(flag["rule"] for flag in flight["flags"] if not flag["answered"]),
    }


def _percent(value: float | None) -> str:
    return "?" if value is None else f"{value:g}"
