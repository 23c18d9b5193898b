"""Keeps the derived figures and flags of flights true: recomputed in the transaction that changed something."""

from __future__ import annotations

from logbook.energy.usable import Z90
from logbook.rules.case import FlightCase
from logbook.rules.catalogue import flags_of
from logbook.rules.flag import ORDER, Flag
from logbook.rules.thresholds import Thresholds
from logbook.services.cases import Cases
from logbook.store.database import Book
from logbook.store.derived import Derived, FlagRow, IndexRow
from logbook.store.flights import Flights
from logbook.store.records import Records

_BATCH = 500


def thresholds(book: Book) -> Thresholds:
    """The bands of the rules as set in this book."""
    kept = Derived(book).setting("thresholds") or {}
    return Thresholds(**{name: value for name, value in kept.items() if name in Thresholds._fields})


def refresh(book: Book, limit: int = 1_000_000_000) -> int:
    """Computes what is stale again (inside a transaction). Returns how many flights that were."""
    derived = Derived(book)
    stale = derived.stale(limit)
    cases, bands = Cases(book), thresholds(book)
    for start in range(0, len(stale), _BATCH):
        batch = stale[start : start + _BATCH]
        index: list[IndexRow] = []
        flags: list[FlagRow] = []
        for n, flight in zip(batch, Flights(book).read(batch), strict=True):
            case = cases.build(n, flight)
            found = [] if flight["struck"] else flags_of(case, bands)
            rows = _flag_rows(book, n, flight["flight_id"], found)
            flags += rows
            index.append(_index_row(n, case, rows))
        derived.put(index, flags, batch)
    return len(stale)


def freshen(book: Book) -> None:
    """Brings a book up to date that another tool changed; costs one look where nothing did."""
    if Derived(book).stale(1):
        with book.writing():
            refresh(book)


def _answers(book: Book, flight_id: str) -> set[tuple[str, str, str]]:
    rows = Records(book, "answer").select("flight_id = ? AND struck = 0", (flight_id,))
    return {(row["rule"], row["serial_no"] or "", row["figures"]) for _, row in rows}


def _flag_rows(book: Book, n: int, flight_id: str, found: list[Flag]) -> list[FlagRow]:
    if not found:
        return []
    answers = _answers(book, flight_id)
    packs = book.keys.numbers("pack")
    return [
        FlagRow(
            n,
            flag.rule,
            packs.get(flag.serial_no, 0),
            flag.severity,
            flag.words,
            flag.fingerprint,
            int((flag.rule, flag.serial_no, flag.fingerprint) in answers),
        )
        for flag in found
    ]


def _index_row(n: int, case: FlightCase, flags: list[FlagRow]) -> IndexRow:
    energies = [pack.energy_kwh for pack in case.packs]
    known = [energy for energy in energies if energy is not None]
    whole = bool(known) and len(known) == len(energies)
    landed = [
        pack.reading["soc_landing_pct"] for pack in case.packs if pack.reading["soc_landing_pct"] is not None
    ]
    unanswered = [flag.severity for flag in flags if not flag.answered]
    return IndexRow(
        flight=n,
        block_min=case.block_min,
        air_min=case.air_min,
        energy_kwh=round(sum(energy.mid for energy in known), 4) if whole else None,
        energy_sd_kwh=round(sum(((e.high - e.low) / 2 / Z90) ** 2 for e in known) ** 0.5, 4)
        if whole
        else None,
        landing_soc_pct=min(landed) if landed else None,
        minutes_left=round(case.minutes_left.mid, 2) if case.minutes_left else None,
        open_flags=len(unanswered),
        worst=min(unanswered, key=ORDER.index) if unanswered else None,
    )
