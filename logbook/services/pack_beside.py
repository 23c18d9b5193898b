"""What the tables of flags, defects, observations and states say of packs beside what they accrued."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from logbook.services.grounding import GROUNDING, in_state
from logbook.services.pack_record import PackRecord
from logbook.services.waiting import waiting_packs, waits
from logbook.store.database import Book
from logbook.store.pack_states import pack_states, present_state, state_at
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records
from logbook.store.seen_limits import beyond_limits
from logbook.units import instant_of, minutes_of


class Beside:
    """What the tables of flags and defects say of all packs, read once.

    Args:
        book: the open book.
        serials: only these packs.
        until: what is dated later does not count ("9": everything counts).
        now: the moment that counts as now [POSIX minutes]; an inspection dated ahead of it has not been done yet.
    """

    def __init__(self, book: Book, serials: Sequence[str] | None, until: str, now: int) -> None:
        sweep = PackSweep(book, serials, until)
        self._book, self.until = book, until
        self.exceedances = sweep.flag_counts("temperature_limit")
        self.cautions = sweep.flag_counts("temperature_caution")
        self.inspections: dict[str, str] = {}
        rows = Records(book, "defect").select(
            "struck = 0 AND needs_inspection = 1 AND state = 'open' AND serial_no IS NOT NULL AND found <= ?",
            (until,),
        )
        for _, row in rows:
            self.inspections.setdefault(row["serial_no"], row["found"][:10])
        beyond = beyond_limits(book, until, since_entries=False)
        self.seen_beyond = Counter(one.serial_no for one in beyond)
        self.waiting = waiting_packs(book, instant_of(now))
        broke = Records(book, "observation").select(
            "baseline_break IS NOT NULL AND struck = 0 AND at <= ?", (until,), "at"
        )
        self.anew = {row["serial_no"]: row["at"] for _, row in broke}
        """Since when the estimates of a pack started anew, at the newest break."""

    def state(self, record: PackRecord) -> tuple[str, str | None, str | None]:
        """State of a pack, since when and why: one that somebody set, else by its fittings."""
        pack = record.pack
        held = present_state(pack)
        if self.until != "9":
            held = state_at(pack_states(self._book, [pack])[record.serial_no], self.until)
        if held.state in GROUNDING:
            return held.state, held.since or None, held.why
        fitted = record.fitted
        if fitted is not None:
            return "fitted", fitted.fitted, fitted.reason
        if record.fittings:
            last = max(record.fittings, key=lambda one: one.removed or "")
            return "store", last.removed, last.reason
        return pack["state"] or "store", pack["state_since"], pack["state_reason"]

    def soh_note(self, serial_no: str, read_at: int) -> str:
        """What is to be known of a state of health that was read: that it is older than the newest baseline break."""
        anew = self.anew.get(serial_no)
        if anew is None or read_at >= minutes_of(anew):
            return ""
        return f"read before its estimates started anew on {anew[:10]}; it may say nothing of the pack now"

    def grounded(self, record: PackRecord, state: str) -> str:
        """Why a pack may not fly, as far as the book knows; empty if it may."""
        if state in GROUNDING:
            return f"it is {in_state(state)}"
        found = self.inspections.get(record.serial_no)
        if found:
            return f"inspection before next use (defect of {found})"
        return waits(self.waiting, record.serial_no)
