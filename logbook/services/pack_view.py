"""What the screen of one pack shows, asked for at once: its detail, its line of charge, its heat, and whether it may be charged."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.measures import USUAL, Measures, told
from logbook.services.charge_now import Asked, charge_now, in_words
from logbook.services.liked_units import measures_of
from logbook.services.pack_detail import pack_detail
from logbook.services.pack_ledger import gaps_of, rows_of
from logbook.services.pack_record import PackRecord, read_fleet
from logbook.services.pack_totals import scale_of
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep

Row = dict[str, Any]


class Warmest(NamedTuple):
    """The highest temperature read on one flight [°C], and when it left the blocks (UTC)."""

    flight_id: str
    at: str
    highest_c: float


class PackView(NamedTuple):
    """Everything about one pack.

    Attributes:
        detail: as `pack_detail` gives it.
        ledger: every reading in order of time, with gaps, as `ledger_of` gives it.
        warmest: the flights with a temperature, in order of time.
        breaks: moments (UTC) at which estimates start anew, and why.
        kwh_at_limit: usable capacity at the SOH limit by the SOH scale [kWh]; None where there is no such limit.
        charging: may it be charged now, in sentences.
        records: what each record of the ledger and of the exceedances is: flight, charge or observation.
        measures: the units figures are shown in.
    """

    detail: Row
    ledger: list[Row]
    warmest: list[Warmest]
    breaks: list[tuple[str, str]]
    kwh_at_limit: float | None
    charging: list[str]
    records: dict[str, str]
    measures: Measures = USUAL

    @property
    def row(self) -> Row:
        """The line of the pack in the list of packs."""
        row: Row = self.detail["row"]
        return row


def pack_view(book: Book, serial_no: str, now: str) -> PackView:
    """Asks everything about one pack (slow where the record is long).

    Args:
        book: the open book.
        serial_no: the pack.
        now: the present moment (UTC, stored form).

    Raises:
        DataRefused: the book knows no such pack.
    """
    measures = measures_of(book)
    detail = pack_detail(book, serial_no)
    sweep = PackSweep(book, [serial_no])
    fleet = read_fleet(book, sweep.companions(), "9")
    record = fleet.packs[serial_no]
    moment = max(now, sweep.newest() or "")  # a book that is ahead of the clock is taken at its word
    return PackView(
        detail,
        rows_of(record.events, gaps_of(fleet, serial_no)),
        _warmest(record),
        [(seen.at, seen.baseline_break) for seen in record.observations if seen.baseline_break],
        _at_limit(record),
        told(measures, in_words(charge_now(book, serial_no, Asked(at=moment)))),
        _kinds(record),
        measures,
    )


def _warmest(record: PackRecord) -> list[Warmest]:
    found = []
    for row in record.flights:
        known = [one for one in (row.temp_departure_c, row.temp_max_c, row.temp_landing_c) if one is not None]
        if known:
            found.append(Warmest(row.flight_id, row.off_blocks, max(known)))
    return found


def _at_limit(record: PackRecord) -> float | None:
    limit = record.figures["limit_soh_pct"]
    found = None if limit is None else scale_of(record)(limit)
    return None if found is None else found.mid


def _kinds(record: PackRecord) -> dict[str, str]:
    found = {row.flight_id: "flight" for row in record.flights}
    found |= {row.charge_id: "charge" for row in record.charges}
    return found | {row.observation_id: "observation" for row in record.observations}
