"""What packs have accrued is kept in the book, so that the table of the fleet need not read the whole record each time.

A flight saved makes the totals of its packs stale, and only those are summed up again when the table is next asked for: from
the newest records alone, where nothing before them has changed. Nothing here is a record: `logbook check` proves that what is
kept equals a fresh sum, `check --mend` throws it away.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from logbook.errors import FileTrouble
from logbook.services.pack_accrued import Accrued, accrued_of, from_plain, plain
from logbook.services.pack_record import Fleet, PackRecord, read_fleet
from logbook.services.pack_sums import Sums, clean_cut, from_plain_sums, parts_of, summed
from logbook.services.pack_used import columns_of, used_from
from logbook.services.sweeping import batches
from logbook.store.database import Book
from logbook.store.kept_totals import Begun, Kept, PackTotals
from logbook.store.pack_sweep import Fitting, PackSweep
from logbook.store.records import Records
from logbook.units import instant_of, minutes_of

EDITION: Final = 2
"""To be raised whenever the sums of a pack would come out otherwise, or are written down otherwise."""

WORTH: Final = 4000
"""Sums over fewer readings than these are made anew each time: a file that is only read is then left as it is."""

LEFT_FOR_LATER: Final = 100
"""So many flights and charges come after the moment up to which sums are kept: what is corrected is mostly as new as that."""

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
        self._begun = self._totals.begun(EDITION, stale=True) if until == _EVERYTHING else {}
        where = "struck = 0" if serials is None else f"serial_no IN ({','.join('?' * len(serials))})"
        self._packs = {
            row["serial_no"]: row
            for _, row in Records(book, "pack").select(where, serials or (), "serial_no")
        }
        self._learned: dict[str, Kept] = {}
        self._worth = 0

    def known(self) -> Iterator[tuple[PackRecord, Accrued]]:
        """Packs whose totals are kept; their records hold no flights, charges and observations."""
        wanted = [serial for serial in self._packs if serial in self._kept]
        if not wanted:
            return
        fittings: dict[str, list[Fitting]] = {}
        for fitting in PackSweep(self._book, wanted, self._until).fittings():
            fittings.setdefault(fitting.serial_no, []).append(fitting)
        for serial in wanted:
            _, kept, used, *_ = self._kept[serial]
            nothing = ((), (), ())
            record = PackRecord(
                serial, self._packs[serial], kept["figures"], *nothing, fittings.get(serial, ()), (), ()
            )
            yield record, from_plain(kept, used_from(used), record)

    def continued(self) -> Iterator[tuple[PackRecord, Accrued]]:
        """Packs that changed of late only: summed up from where nothing has changed; their records hold what came after."""
        for serial in [serial for serial in self._packs if serial in self._begun]:
            begun = self._begun.pop(serial)
            fleet = read_fleet(self._book, [serial], since=begun.until)
            record = fleet.packs[serial]
            figures, sums = begun.sums[0], from_plain_sums(begun.sums[1])
            if not _goes_on(record, begun.until, figures, sums):
                continue
            self._kept[serial], accrued = kept, _ = _gone_on(record, fleet, sums)
            self._learned[serial], self._worth = kept, WORTH  # it was worth it before
            yield record, accrued

    def missing(self) -> list[str]:
        """Packs whose whole record is to be summed up, once what goes on has gone on."""
        return [serial for serial in self._packs if serial not in self._kept]

    def sum_up(self, record: PackRecord, fleet: Fleet) -> Accrued:
        """What a pack has accrued over its whole record, which is then learned."""
        if self._until != _EVERYTHING:
            return accrued_of(record, summed(record, fleet))
        kept, accrued = _whole(record, fleet, clean_cut(record, LEFT_FOR_LATER))
        self._learned[record.serial_no] = kept
        self._worth += len(record.events)
        return accrued

    def keep(self) -> None:
        """Keeps what was learned, where that is worth a write; a book that cannot be written is read all the same."""
        if not self._learned or self._worth < WORTH:
            return
        try:
            self._totals.write(EDITION, self._learned)
        except FileTrouble:
            return


def _goes_on(record: PackRecord, until: str, figures: object, begun: Sums) -> bool:
    """Whether sums up to a moment go on with this later part of the record.

    They do not where the pack has other figures now, where a record that begins later ends earlier, and where a state of
    health is read for the first time: that stands for what was before it too.
    """
    at = minutes_of(until)
    return (
        figures == json.loads(json.dumps(record.figures))
        and all(event.at >= at for event in record.events)
        and (begun.soh is not None or not record.health)
    )


def _gone_on(record: PackRecord, fleet: Fleet, begun: Sums) -> tuple[Kept, Accrued]:
    """What is kept after a later part of the record; where that has grown long, sums up to a later moment too."""
    if len(record.flights) + len(record.charges) > 2 * LEFT_FOR_LATER:
        return _whole(record, fleet, clean_cut(record, LEFT_FOR_LATER), begun)
    kept, accrued = _whole(record, fleet, None, begun)
    return kept._replace(same_begun=True), accrued


def _whole(
    record: PackRecord,
    fleet: Fleet,
    cut: int | None,
    begun: Sums = Sums(),  # noqa: B008 - a constant
) -> tuple[Kept, Accrued]:
    """What is kept of a record, or of one that goes on, and the sums up to a cut [POSIX minutes] in it."""
    kept_begun = None
    rest, after = record, fleet
    if cut is not None:
        (head, before), (rest, after) = parts_of(record, fleet, cut)
        begun = summed(head, before, begun)
        kept_begun = Begun(instant_of(cut), [record.figures, begun])
    sums = summed(rest, after, begun)
    accrued = accrued_of(record, sums)
    return Kept(sums.newest, plain(accrued, record), columns_of(accrued.used), kept_begun), accrued


def fresh_totals(
    book: Book, serials: Sequence[str], cuts: Mapping[str, str] | None = None
) -> dict[str, Kept]:
    """The same totals from the whole record, for the proof that what is kept equals them.

    Args:
        book: the open book.
        serials: the packs.
        cuts: the moments (UTC) up to which sums are wanted too.
    """
    found: dict[str, Kept] = {}
    for part in batches(book, serials):
        fleet = read_fleet(book, part)
        for serial, record in fleet.packs.items():
            cut = (cuts or {}).get(serial)
            found[serial], _ = _whole(record, fleet, None if cut is None else minutes_of(cut))
    return found
