"""How far back one must look to judge a charge: a pack of ten thousand charges is judged by the last few."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from logbook.store.database import Book


class ChargeWindow(NamedTuple):
    """What has to be read for some charges.

    Attributes:
        serials: every pack that took part in their sessions.
        since: the instant from which on (UTC); empty: from the beginning.
    """

    serials: list[str]
    since: str


class ChargeWindows:
    """Looks for the charges before a charge, pack by pack.

    Args:
        book: the open book.
        full: the word with which the purpose of a charge to full begins.
        full_pct: a charge nobody wrote such a purpose for is full from this charge on [%].
        meant_full_pct: one that was meant so, from this one [%].
    """

    def __init__(self, book: Book, full: str, full_pct: float, meant_full_pct: float) -> None:
        self._run = book.connection.execute
        self._book = book
        self._full, self._full_pct, self._meant_pct = full, full_pct, meant_full_pct
        self._meant: dict[str, bool] = {}

    def meant(self, serial_no: str) -> bool:
        """Whether anybody ever wrote that a charge of the pack was meant to be full."""
        if serial_no not in self._meant:
            n = self._book.keys.number("pack", serial_no, "serial_no")
            row = self._run(
                "SELECT 1 FROM charge WHERE serial_no = ? AND struck = 0 AND substr(purpose, 1, ?) = ? LIMIT 1",
                (n, len(self._full), self._full),
            ).fetchone()
            self._meant[serial_no] = row is not None
        return self._meant[serial_no]

    def of(self, charge_ids: Sequence[str]) -> ChargeWindow:
        """The window of some charges: from the full charge before the last one before each, and a health read before that."""
        firsts: dict[str, str] = {}
        for charge_id in dict.fromkeys(charge_ids):
            for serial, started in self._run(
                "SELECT p.serial_no, c.started FROM charge c JOIN pack p ON p.n = c.serial_no WHERE c.id = ?",
                (charge_id,),
            ).fetchall():
                firsts[serial] = min(firsts.get(serial, "9"), started)
        return ChargeWindow(
            sorted(firsts), min((self._since(serial, at) for serial, at in firsts.items()), default="")
        )

    def _since(self, serial_no: str, started: str) -> str:
        n = self._book.keys.number("pack", serial_no, "serial_no")
        meant = self.meant(serial_no)
        full = self._run(
            """SELECT started FROM charge WHERE serial_no = ? AND struck = 0 AND started < ? AND soc_end_pct >= ?
            AND (? = 0 OR substr(purpose, 1, ?) = ?) ORDER BY started DESC LIMIT 1 OFFSET 1""",
            (
                n,
                started,
                self._meant_pct if meant else self._full_pct,
                int(meant),
                len(self._full),
                self._full,
            ),
        ).fetchone()
        if full is None:
            return ""
        health = self._run(
            """SELECT e.at FROM pack_event e JOIN reading r ON r.flight = e.n AND r.serial_no = e.pack
            WHERE e.pack = ? AND e.what = 'flight' AND e.at <= ? AND r.soh_pct IS NOT NULL AND r.source <> 'not-read'
            ORDER BY e.at DESC LIMIT 1""",
            (n, full[0]),
        ).fetchone()
        return "" if health is None else str(health[0])
