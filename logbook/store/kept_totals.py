"""What packs have accrued, kept in the book: the tables `pack_total`, `pack_sums` and `pack_stale`; all can be thrown away."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from logbook.store.database import Book

Row = dict[str, Any]
Columns = tuple[bytes, bytes, bytes, bytes | None]


class Begun(NamedTuple):
    """Sums of a pack up to a moment.

    Attributes:
        until: what is at it or later is not in them (UTC).
        sums: the figures that held and `pack_sums.Sums`, as JSON gives them back.
    """

    until: str
    sums: Any


class Kept(NamedTuple):
    """What is kept of one pack.

    Attributes:
        newest: the newest instant that was counted [POSIX minutes].
        figures: what `pack_accrued.plain` gave.
        used: what `pack_used.columns_of` gave.
        begun: sums up to a moment, where they are asked for or are to be kept.
        same_begun: for writing: those that are kept already still hold.
    """

    newest: int
    figures: Row
    used: Columns
    begun: Begun | None = None
    same_begun: bool = False


class Unchanged:
    """Whether nobody has written to the book since this object was made, before something was summed up."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._others, self._own = self._version(), book.connection.total_changes

    def _version(self) -> int:
        """Differs whenever another program has written."""
        return int(self._book.connection.execute("PRAGMA data_version").fetchone()[0])

    def write(self, put: Callable[[], None]) -> bool:
        """Writes in a transaction what was summed up, unless anybody has written meanwhile; returns whether it did.

        Raises:
            FileTrouble: the book cannot be written.
        """
        if self._book.connection.total_changes != self._own:
            return False
        with self._book.writing():
            if self._version() != self._others:
                return False
            put()
        return True


class PackTotals:
    """Reads and writes what is kept; triggers note in `pack_stale` what no longer holds."""

    def __init__(self, book: Book) -> None:
        self._book, self._unchanged = book, Unchanged(book)

    def read(self, edition: int, until: int | None = None) -> dict[str, Kept]:
        """What holds of each pack, by serial number.

        Args:
            edition: of the way the totals are made; what another one made does not count.
            until: only totals in which nothing later was counted [POSIX minutes].
        """
        rows = self._book.connection.execute(
            """SELECT p.serial_no, t.newest, t.figures, t.used_at, t.used_hours, t.used_discharge, t.used_maker
            FROM pack_total t JOIN pack p ON p.n = t.pack
            WHERE t.edition = ? AND (?2 IS NULL OR t.newest <= ?2) AND NOT EXISTS (SELECT 1 FROM pack_stale s WHERE s.pack = t.pack)""",
            (edition, until),
        ).fetchall()
        return {
            serial: Kept(newest, json.loads(figures), tuple(used)) for serial, newest, figures, *used in rows
        }

    def begun(self, edition: int, *, stale: bool) -> dict[str, Begun]:
        """Sums up to a moment before which nothing has changed, by serial number.

        Args:
            edition: as in `read`.
            stale: only those of packs whose totals no longer hold.
        """
        rows = self._book.connection.execute(
            f"""SELECT p.serial_no, s.until, s.sums FROM pack_sums s JOIN pack p ON p.n = s.pack
            {"" if stale else "LEFT"} JOIN pack_stale o ON o.pack = s.pack
            WHERE s.edition = ? AND (o.since IS NULL OR o.since >= s.until)""",
            (edition,),
        ).fetchall()
        return {serial: Begun(until, json.loads(sums)) for serial, until, sums in rows}

    def write(self, edition: int, learned: Mapping[str, Kept]) -> bool:
        """Keeps totals worked out since this object was made, unless anybody has written meanwhile.

        Returns whether they are kept.

        Raises:
            FileTrouble: the book cannot be written.
        """
        return self._unchanged.write(lambda: self._put(edition, learned))

    def _put(self, edition: int, learned: Mapping[str, Kept]) -> None:
        run = self._book.connection.execute
        for serial, kept in learned.items():
            n = self._book.keys.number("pack", serial, "serial_no")
            row = (n, edition, kept.newest, _json(kept.figures), *kept.used)
            run("INSERT OR REPLACE INTO pack_total VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
            run("DELETE FROM pack_stale WHERE pack = ?", (n,))
            if kept.begun is not None:
                begun = (n, edition, kept.begun.until, _json(kept.begun.sums))
                run("INSERT OR REPLACE INTO pack_sums VALUES (?, ?, ?, ?)", begun)
            elif not kept.same_begun:
                run("DELETE FROM pack_sums WHERE pack = ?", (n,))

    def clear(self) -> None:
        """Throws everything away (inside a transaction)."""
        for table in ("pack_total", "pack_sums", "pack_stale"):
            self._book.connection.execute(f"DELETE FROM {table}")


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
