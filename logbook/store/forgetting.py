"""Taking a name out of every table and every earlier state: the one place where history is rewritten, on purpose."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from typing import Any

from logbook.store.database import Book, troubles

_CLEARED = ("licence_no", "address")


class Forgetting:
    """Replaces one person's names by another throughout a file; to be used inside a writing transaction.

    The guards of the tables are lifted for it and put back before the transaction ends; if anything fails, the
    transaction is undone as a whole, the guards with it.
    """

    def __init__(self, book: Book, name: str, pseudonym: str) -> None:
        self._book = book
        self._run = book.connection.execute
        self._pseudonym = pseudonym
        self._number, self._record_id = self._run(
            "SELECT n, id FROM person WHERE person = ?", (name,)
        ).fetchone()
        self._names = sorted({name, *self._earlier_names()}, key=len, reverse=True)
        names = "|".join(map(re.escape, self._names))
        self._whole = re.compile(rf"(?<!\w)(?:{names})(?!\w)", re.IGNORECASE)

    def _earlier_names(self) -> Iterator[str]:
        """What the person was called before, as far as the record remembers."""
        rows = self._run(
            "SELECT json_extract(was, '$.person') FROM version WHERE record = 'person' AND record_id = ?",
            (self._record_id,),
        ).fetchall()
        return (name for (name,) in rows if name)

    def replace(self, void: str) -> tuple[int, int]:
        """Puts the pseudonym in place of the names in all tables, earlier states and settings.

        Args:
            void: what takes the place of countersignatures over a text that held the name.

        Returns: how many values were replaced, and how many countersignatures became void.
        """
        guards = self._run(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY rowid"
        ).fetchall()
        for guard, _ in guards:
            self._run(f'DROP TRIGGER "{guard}"')
        voided = self._void(void)
        self._clear()
        replaced = sum(self._replace_in(table, column) for table, column in self._texts())
        for _, statement in guards:
            self._run(statement)
        self._book.keys.forget()
        return replaced, voided

    def _texts(self) -> Iterator[tuple[str, str]]:
        tables = self._run(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
        ).fetchall()
        for (table,) in tables:
            for row in self._run(f'PRAGMA table_info("{table}")').fetchall():
                if row[2].upper() == "TEXT":
                    yield table, row[1]

    def _replace_in(self, table: str, column: str) -> int:
        """Values are compared in Python, as SQL folds the case of ASCII letters only."""
        values = self._run(
            f'SELECT DISTINCT "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'
        ).fetchall()
        done = 0
        for (value,) in values:
            fresh = self._fresh(value)
            if fresh != value:
                sql = f'UPDATE "{table}" SET "{column}" = ? WHERE "{column}" = ?'
                done += self._run(sql, (fresh, value)).rowcount
        return done

    def _fresh(self, value: str) -> str:
        """The text with the pseudonym; JSON is taken apart, for a name may stand escaped in it."""
        if value[:1] in '{["' and ("\\" in value or self._whole.search(value)):
            try:
                known = json.loads(value)
            except (ValueError, RecursionError):
                return self._plain(value)  # it only looks like JSON: a text as any other
            fresh = self._within(known)
            return value if fresh == known else json.dumps(fresh, ensure_ascii=False, separators=(",", ":"))
        return self._plain(value)

    def _plain(self, value: str) -> str:
        return self._whole.sub(lambda _: self._pseudonym, value)

    def _within(self, value: Any) -> Any:
        if isinstance(value, str):
            return self._plain(value)
        if isinstance(value, list):
            return [self._within(one) for one in value]
        if isinstance(value, dict):
            return {self._plain(key): self._within(one) for key, one in value.items()}
        return value

    def _clear(self) -> None:
        """Licence number and address go from the person's record and from its earlier states."""
        sets = ", ".join(f"{column} = NULL" for column in _CLEARED)
        self._run(f"UPDATE person SET {sets} WHERE n = ?", (self._number,))
        nothing = ", ".join(f"'$.{column}', NULL" for column in _CLEARED)
        self._run(
            f"UPDATE version SET was = json_set(was, {nothing}) WHERE record = 'person' AND record_id = ?",
            (self._record_id,),
        )

    def _void(self, mark: str) -> int:
        """Marks countersignatures whose signed text holds the name: what was signed will no longer be there."""
        rows = self._run("SELECT n, payload FROM signature WHERE signature <> ?", (mark,)).fetchall()
        held = [(mark, n) for n, payload in rows if self._fresh(payload) != payload]
        self._book.connection.executemany("UPDATE signature SET signature = ? WHERE n = ?", held)
        return len(held)

    def hints(self) -> tuple[str, ...]:
        """Where a part of a name of four letters or more still stands: table and column, with how many values."""
        parts = {re.escape(part) for name in self._names for part in name.split() if len(part) >= 4}
        if not parts:
            return ()
        pattern = re.compile(rf"(?<!\w)(?:{'|'.join(sorted(parts))})(?!\w)", re.IGNORECASE)
        found = []
        for table, column in self._texts():
            values = self._run(f'SELECT "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL').fetchall()
            number = sum(1 for (value,) in values if pattern.search(value))
            if number:
                found.append(f"{table}.{column}: {number}")
        return tuple(found)

    def wipe(self) -> None:
        """Writes the file anew, so that what was replaced lies in no free page of it (outside a transaction).

        Raises:
            FileTrouble: there is no room for the new file.
        """
        with troubles(self._book.path):
            # SQLite builds the new file as a second one beside this connection's own.
            most = self._book.connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 1)
            try:
                self._run("VACUUM")
            finally:
                self._book.connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, most)
