"""Keeps the derived figures and flags of flights true: recomputed in the transaction that changed something."""

from __future__ import annotations

from logbook.energy.estimate import Z90
from logbook.rules.case import FlightCase
from logbook.rules.catalogue import flags_of
from logbook.rules.flag import ORDER, Flag
from logbook.rules.thresholds import Thresholds
from logbook.services.answers_given import Answers
from logbook.services.cases import Cases
from logbook.services.flight_energy import total_energy
from logbook.store.database import Book
from logbook.store.derived import Derived, FlagRow, IndexRow
from logbook.store.flights import Flights
from logbook.store.records import Row
from logbook.store.settings import Settings

_BATCH = 500
_MANY = 300
"""From so many stale flights on, one sweep over all of them is cheaper than questions for each."""


def thresholds(book: Book) -> Thresholds:
    """The bands of the rules as set in this book."""
    kept = Settings(book).value("thresholds") or {}
    return Thresholds(**{name: value for name, value in kept.items() if name in Thresholds._fields})


def refresh(book: Book, limit: int = 1_000_000_000) -> int:
    """Computes what is stale again (inside a transaction). Returns how many flights that were."""
    derived = Derived(book)
    stale = derived.stale(limit)
    if len(stale) >= _MANY and len(stale) * 2 > derived.flight_count():
        return refresh_all(book)
    cases, bands, answers = Cases(book), thresholds(book), Answers(book)
    for start in range(0, len(stale), _BATCH):
        batch = stale[start : start + _BATCH]
        rows = _Rows(book, bands, answers)
        flights = Flights(book).read(batch)
        cases.read_ahead(flights)
        for n, flight in zip(batch, flights, strict=True):
            rows.add(n, cases.build(n, flight))
        derived.put(rows.index, rows.flags, batch)
    return len(stale)


def refresh_all(book: Book) -> int:
    """Computes the figures and flags of all flights anew in one sweep (inside a transaction)."""
    from logbook.services.cases_bulk import Sweep

    derived = Derived(book)
    derived.clear()
    cases, bands, answers = Cases(book), thresholds(book), Answers(book, whole=True)
    rows, done = _Rows(book, bands, answers), 0
    for n, flight, around in Sweep(book):
        rows.add(n, cases.assemble(flight, around))
        done += 1
        if len(rows.index) >= _BATCH:
            derived.put_fresh(rows.index, rows.flags)
            rows = _Rows(book, bands, answers)
    derived.put_fresh(rows.index, rows.flags)
    return done


class _Rows:
    """Figures and flags of some flights on their way into the book."""

    def __init__(self, book: Book, bands: Thresholds, answers: Answers) -> None:
        self.index: list[IndexRow] = []
        self.flags: list[FlagRow] = []
        self._bands = bands
        self._answers = answers
        self._keys = book.keys

    def add(self, n: int, case: FlightCase) -> None:
        if case.flight["struck"]:
            return  # what is struck out counts nowhere
        found = flags_of(case, self._bands)
        flags = self._flag_rows(n, case.flight, found) if found else []
        self.flags += flags
        self.index.append(_index_row(n, case, flags))

    def _flag_rows(self, n: int, flight: Row, found: list[Flag]) -> list[FlagRow]:
        answers = self._answers.of(flight["flight_id"])
        return [
            FlagRow(
                n,
                flag.rule,
                self._keys.find("pack", flag.serial_no or None) or 0,
                flag.severity,
                flag.words,
                flag.fingerprint,
                int((flag.rule, flag.serial_no, flag.fingerprint) in answers),
                flight["date"],
                flight["off_blocks"],
            )
            for flag in found
        ]


def _index_row(n: int, case: FlightCase, flags: list[FlagRow]) -> IndexRow:
    energy = total_energy(case)
    landed = [
        pack.reading["soc_landing_pct"] for pack in case.packs if pack.reading["soc_landing_pct"] is not None
    ]
    unanswered = [flag.severity for flag in flags if not flag.answered]
    return IndexRow(
        flight=n,
        block_min=case.block_min,
        air_min=case.air_min,
        energy_kwh=None if energy is None else round(energy.mid, 4),
        energy_sd_kwh=None if energy is None else round((energy.high - energy.mid) / Z90, 4),
        landing_soc_pct=min(landed) if landed else None,
        minutes_left=round(case.minutes_left.mid, 2) if case.minutes_left else None,
        open_flags=len(unanswered),
        worst=min(unanswered, key=ORDER.index) if unanswered else None,
        date=case.flight["date"],
        off_blocks=case.flight["off_blocks"],
        unread=int(any(flag.rule == "readings_missing" and not flag.answered for flag in flags)),
    )
