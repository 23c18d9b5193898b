"""The aeroplane on one paper as of a date, for an inspector: times, what is due, life-limited parts, defects, last flights.

Fields: total time in service, status of life-limited parts, inspection status (14 CFR 91.417(a)(2)); deferred defects and the
service life of components (M.A.305; ML.A.305, read second-hand).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.reports.fleet_page import LIFE, PACKS, life_rows
from logbook.reports.pack_page import ENTRIES, defect_rows, entry_rows
from logbook.reports.paper import (
    NOT_RECORDED,
    Block,
    Facts,
    Heading,
    Listing,
    Paper,
    SignHere,
    Words,
    recorded,
)
from logbook.reports.text_table import Column

Row = dict[str, Any]

_DUE: Final = (
    Column("due", "due"),
    Column("what", "what"),
    Column("of", "of"),
    Column("left", "left", right=True),
    Column("text", "text"),
)
_PARTS: Final = (
    Column("name", "part"),
    Column("part_no", "part no."),
    Column("serial_no", "serial no."),
    Column("hours", "h", right=True),
    Column("limit_hours", "limit h", right=True),
    Column("hours_remaining", "left h", right=True),
    Column("limit_date", "limit date"),
)
_DEFECTS: Final = (
    Column("found", "found UTC"),
    Column("of", "of"),
    Column("state", "state"),
    Column("text", "what"),
    Column("deferred_until", "until"),
    Column("deferred_basis", "on what basis"),
    Column("deferred_by", "by"),
)
_FLIGHTS: Final = (
    Column("date", "date"),
    Column("off_blocks", "off UTC"),
    Column("on_blocks", "on UTC"),
    Column("route", "from - to"),
    Column("pilot", "pilot"),
    Column("landings", "landings", right=True),
    Column("charge", "charge %"),
)


def aircraft_page(status: Mapping[str, Any], digest: str) -> Paper:
    """The aeroplane as of a date.

    Args:
        status: as `services.pack_papers.aircraft_status` gives it.
        digest: of the recorded rows behind it.
    """
    row, total = status["aircraft"], status["totals"]
    blocks: list[Block] = [
        Facts(
            [
                ("Registration", row["registration"]),
                ("Type", row["type"] or NOT_RECORDED),
                ("Total time [h]", total["hours"]),
                ("Counted", total["words"]),
                ("Brought forward [h]", row["hours_brought_forward"] or 0),
                *((f"Total time as read on {at[:10]} [h]", hours) for at, hours in status["read"]),
                ("Landings", total["landings"]),
                ("Flights in this record", total["flights"]),
                ("Meter as last read [h]", NOT_RECORDED if status["meter"] is None else status["meter"]),
            ]
        ),
        Heading("Open and deferred defects"),
        Listing(_DEFECTS, defect_rows(status["defects"]), "None open, none deferred."),
        Heading("Due"),
        Listing(_DUE, status["due"], "Nothing is due, as far as the record knows."),
        Heading("Battery packs"),
        Listing(PACKS, status["packs"], "No pack is fitted."),
        Heading("Life-limited: limit, total accumulated and remaining in each parameter"),
        Listing(LIFE, life_rows(status["packs"]), "No limit is stated for the packs fitted."),
        *(Words(f"{pack['serial_no']}: {pack['first_limit']}") for pack in status["packs"]),
        *(
            Words(f"{pack['serial_no']} may not fly: {pack['grounded']}.", strong=True)
            for pack in status["packs"]
            if pack["grounded"]
        ),
        Heading("Other parts"),
        Listing(_PARTS, recorded(status["components"], "part_no", "serial_no")),
        Heading("Last maintenance"),
        Listing(ENTRIES, entry_rows(status["entries"])),
        Heading("Last ten flights"),
        Listing(
            _FLIGHTS,
            recorded(status["flights"], "on_blocks", "pilot", "landings"),
            "No flights are recorded.",
        ),
        SignHere(),
    ]
    return Paper(f"Aeroplane {row['registration']}: status", status["as_of"], digest, blocks)
