"""Names and the rows they stand for: registrations, serial numbers, people.

A save needs three or four names of a school's three thousand, a list of flights needs most of them: names are looked up
one by one at first, and read whole from the `_FEW`th on. What was read is kept until somebody writes, here or in another
program; translating a hundred thousand flights then costs a look into a dictionary each.
"""

from __future__ import annotations

import sqlite3
from typing import Final

from logbook.errors import DataRefused
from logbook.store.catalogue import KEYS

_WORDS = {"aircraft": "aircraft", "pack": "pack", "person": "person"}
_FEW: Final = 12
"""So many names of a table are looked up one by one before the table is read whole."""


class Keys:
    """Both directions between what people write and the numbers the tables hold."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._tables = {table: _Table(connection, table) for table in KEYS}
        self._seen = 0
        self._held = False
        self.columns: dict[str, dict[str, str]] = {}
        """Columns of each table by what SQL and the files call them, once asked for; nobody changes them while a book is open."""

    def look(self) -> None:
        """Forgets what was read if another program has written since; one cheap question to SQLite."""
        if self._held:
            return
        seen = self._connection.execute("PRAGMA data_version").fetchone()[0]
        if seen != self._seen:
            self._seen = seen
            self.forget()

    def hold(self) -> None:
        """Looks once; from now on the write lock is ours, and no other program can write."""
        self.look()
        self._held = True

    def release(self) -> None:
        """The write lock is gone: others may write again."""
        self._held = False

    def forget(self) -> None:
        """Reads the tables anew next time: somebody may have changed them."""
        for table in self._tables.values():
            table.forget()

    def numbers(self, table: str) -> dict[str, int]:
        """Name to row number of one table, whole."""
        return self._tables[table].numbers()

    def names(self, table: str) -> dict[int, str]:
        """Row number to name of one table, whole."""
        return self._tables[table].names()

    def find(self, table: str, name: str | None) -> int | None:
        """The row a name stands for; None if there is none."""
        return None if name is None else self._tables[table].number(name)

    def name(self, table: str, n: int) -> str:
        """The name of a row that a record refers to."""
        found = self._tables[table].name(n)
        if found is None:
            self.look()
            found = self._tables[table].name(n)
        if found is None:
            raise KeyError(n)
        return found

    def number(self, table: str, name: str | None, field: str) -> int:
        """The row a name stands for.

        Raises:
            DataRefused: the book knows no such aircraft, pack or person.
            KeyError: there is no name at all: only in a damaged file has a record none.
        """
        if name is None:
            raise KeyError(table)
        found = self._tables[table].number(name)
        if found is None:
            self.look()
            found = self._tables[table].number(name)
        if found is None:
            word = _WORDS[table]
            raise DataRefused(
                f"The book knows no {word} '{name}'.",
                next_step=f"Add the {word} first, or correct the name.",
                field=field,
            )
        return found


class _Table:
    """What is known of the names of one table; some of them, or all."""

    def __init__(self, connection: sqlite3.Connection, table: str) -> None:
        self._connection = connection
        self._table, self._key = table, KEYS[table]
        self._numbers: dict[str, int] = {}
        self._names: dict[int, str] = {}
        self._whole = False

    def forget(self) -> None:
        # new dictionaries: whoever holds the old ones goes on with what was true when they were handed out
        self._numbers, self._names, self._whole = {}, {}, False

    def numbers(self) -> dict[str, int]:
        self._read_whole()
        return self._numbers

    def names(self) -> dict[int, str]:
        self._read_whole()
        return self._names

    def number(self, name: str) -> int | None:
        if name not in self._numbers:
            self._ask(self._key, name)
        return self._numbers.get(name)

    def name(self, n: int) -> str | None:
        if n not in self._names:
            self._ask("n", n)
        return self._names.get(n)

    def _ask(self, column: str, value: str | int) -> None:
        """Looks one row up, or reads all where some were asked for before."""
        if self._whole:
            return
        if len(self._names) < _FEW:
            self._keep(f"SELECT {self._key}, n FROM {self._table} WHERE {column} = ?", value)
        else:
            self._read_whole()

    def _read_whole(self) -> None:
        if not self._whole:
            self._keep(f"SELECT {self._key}, n FROM {self._table}")
            self._whole = True

    def _keep(self, sql: str, *parameters: str | int) -> None:
        for name, n in self._connection.execute(sql, parameters).fetchall():
            self._numbers[name], self._names[n] = n, name
