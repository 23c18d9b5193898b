"""What packs have accrued is kept in the book, so that the table of the fleet need not read the whole record each time.

A flight saved makes the totals of its packs stale, and only those are summed up again when the table is next asked for.
Nothing here is a record: `logbook check` proves that what is kept equals a fresh sum, `check --mend` throws it away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from logbook.errors import FileTrouble
from logbook.services.pack_accrued import Accrued, Row, accrued_of, from_plain, newest_of, plain
from logbook.services.pack_record import Fleet, PackRecord, read_fleet
from logbook.services.sweeping import batches
from logbook.store.database import Book
from logbook.store.kept_totals import Kept, PackTotals
from logbook.store.pack_sweep import Fitting, PackSweep
from logbook.store.records import Records
from logbook.units import minutes_of

EDITION: Final = 1
"""To be raised whenever the sums of a pack would come out otherwise, or are written down otherwise."""

WORTH: Final = 4000
"""Sums over fewer readings than these are made anew each time: a file that is only read is then left as it is."""

_EVERYTHING: Final = "9"


class KeptTotals:
    """The totals of some packs at a moment: those that are kept, and those to be summed up.

    Args:
        book: the open book.
        serials: the packs; None for every one that is not struck out.
        until: the last instant that counts (UTC).
    """

    def __init__(self, book: Book, serials: Sequence[str] | None, until: str) -> None:
        self._book, self._until = book, until
        self._totals = PackTotals(book)
        self._kept = self._totals.read(EDITION, None if until == _EVERYTHING else minutes_of(until))
        where = "struck = 0" if serials is None else f"serial_no IN ({','.join('?' * len(serials))})"
        self._packs = {
            row["serial_no"]: row
            for _, row in Records(book, "pack").select(where, serials or (), "serial_no")
        }
        self._learned: dict[str, Kept] = {}
        self._read = 0

    def known(self) -> Iterator[tuple[PackRecord, Accrued]]:
        """Packs whose totals are kept; their records hold no flights, charges and observations."""
        wanted = [serial for serial in self._packs if serial in self._kept]
        if not wanted:
            return
        fittings: dict[str, list[Fitting]] = {}
        for fitting in PackSweep(self._book, wanted, self._until).fittings():
            fittings.setdefault(fitting.serial_no, []).append(fitting)
        for serial in wanted:
            kept = self._kept[serial].figures
            nothing = ((), (), ())
            record = PackRecord(
                serial, self._packs[serial], kept["figures"], *nothing, fittings.get(serial, ()), (), ()
            )
            yield record, from_plain(kept, record)

    def missing(self) -> list[str]:
        """Packs to be summed up."""
        return [serial for serial in self._packs if serial not in self._kept]

    def learn(self, record: PackRecord, fleet: Fleet, accrued: Accrued) -> None:
        """A pack was summed up."""
        if self._until == _EVERYTHING:
            self._learned[record.serial_no] = Kept(newest_of(record, fleet), plain(accrued, record))
            self._read += len(record.events)

    def keep(self) -> None:
        """Keeps what was learned, where that is worth a write; a book that cannot be written is read all the same."""
        if self._read < WORTH:
            return
        try:
            self._totals.write(EDITION, self._learned)
        except FileTrouble:
            return


def fresh_totals(book: Book, serials: Sequence[str]) -> dict[str, Kept]:
    """The same totals from the whole record, for the proof that what is kept equals them."""
    found: dict[str, Kept] = {}
    for part in batches(book, serials):
        fleet = read_fleet(book, part)
        for serial, record in fleet.packs.items():
            figures: Row = plain(accrued_of(record, fleet), record)
            found[serial] = Kept(newest_of(record, fleet), figures)
    return found
