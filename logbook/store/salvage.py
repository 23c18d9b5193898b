"""What can still be read in a damaged or distrusted book: table by table, row by row, around what is damaged.

Rows are found in two ways. The tree of pages of each table is followed from its root, as the file itself says or, where that
is lost, as in a new book, whose tables begin in the same places. Pages of rows that no tree leads to any more are looked at
one by one, and belong to the table whose columns and kinds of values they have, where that is one table only. Rows are never
deleted from a book, so each number that is missing below the highest is a row that was lost.
"""

from __future__ import annotations

import math
import shutil
import sqlite3
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

from logbook.errors import DataRefused, NoBook
from logbook.store.catalogue import TABLES
from logbook.store.pages import INNER_INDEX, INNER_TABLE, LEAF_INDEX, LEAF_TABLE, Cell, Pages, Value
from logbook.store.trouble import troubles

WANTED: Final = (*TABLES, "version", "setting")
"""The tables that are not computed from others."""

_MOST_BYTES: Final = 8 * 2**30
_LEAVES: Final = (LEAF_TABLE, LEAF_INDEX)

Row = dict[str, Value]


class Shape(NamedTuple):
    """A table as this program makes it.

    Attributes:
        columns: column to kind: INTEGER, REAL or TEXT.
        needed: columns that are never empty.
        root: the page it begins at in a new book.
    """

    columns: dict[str, str]
    needed: frozenset[str]
    root: int


class Remains:
    """What was read of one file.

    Attributes:
        rows: by table and row number.
        unreadable: cells that stand in a page of the table and are no row of it, by table.
        loose: how many rows were found in pages that belong to no tree any more, by table; such a row can be an earlier
            state of itself.
    """

    def __init__(self) -> None:
        self.rows: dict[str, dict[int, Row]] = {name: {} for name in WANTED}
        self.unreadable: dict[str, int] = dict.fromkeys(WANTED, 0)
        self.loose: dict[str, int] = dict.fromkeys(WANTED, 0)

    def lost(self, table: str) -> list[int]:
        """Numbers of rows that must have been there, as far as it can be told."""
        there = self.rows[table]
        named = {
            value
            for name, other in TABLES.items()
            for column, to in {**other.refs, **({"flight": "flight"} if other.parent else {})}.items()
            if to == table
            for row in self.rows[name].values()
            if isinstance(value := row[column], int) and 0 < value < 2**31
        }
        least = set(range(1, max(there))) if there and max(there) < 2**31 and table != "setting" else set()
        return sorted((least | named) - there.keys())


def read_remains(path: Path) -> Remains:
    """Reads what can be read of a file, which is not changed and of which nothing is run.

    Raises:
        NoBook: there is none.
        DataRefused: it is too large, or nothing of a logbook is in it.
        FileTrouble: the system does not give it.
    """
    with troubles(path):
        if not path.is_file():
            raise NoBook(f"There is no file at {path}.", next_step="Correct the path.")
        if path.stat().st_size > _MOST_BYTES:
            raise DataRefused(f"{path} is larger than 8 GiB.", next_step="Name another file.")
        pages = Pages(_bytes(path))
    reader = _Reader(pages)
    reader.follow()
    reader.look_at_the_rest()
    if not any(reader.remains.rows.values()):
        raise DataRefused(
            f"Nothing of a logbook can be read in {path}.",
            next_step="Look for a backup in the folder of backups beside it.",
        )
    return reader.remains


def _bytes(path: Path) -> bytes:
    """The file; where it was left in the middle of a change, as it was before that, if SQLite can undo it on a copy."""
    journal = path.with_name(path.name + "-journal")
    if journal.exists() and journal.stat().st_size:
        with TemporaryDirectory(prefix="logbook-") as folder:
            copy = Path(folder) / "copy"
            shutil.copyfile(path, copy)
            shutil.copyfile(journal, f"{copy}-journal")
            connection = sqlite3.connect(copy)
            try:
                connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
            except sqlite3.Error:
                return path.read_bytes()
            finally:
                connection.close()
            return copy.read_bytes()
    return path.read_bytes()


class _Reader:
    """One walk over the pages of a file."""

    def __init__(self, pages: Pages) -> None:
        self.remains = Remains()
        self._pages = pages
        self._shapes = shapes()
        self._seen: set[int] = set()

    def follow(self) -> None:
        """Reads every table from its root."""
        said = self._roots()
        for name, shape in self._shapes.items():
            for root in dict.fromkeys((said.get(name, 0), shape.root)):
                for leaf in self._leaves(root):
                    self._take(name, leaf)
                if self.remains.rows[name]:
                    break

    def look_at_the_rest(self) -> None:
        """Reads the pages of rows that nothing leads to."""
        for number in range(2, self._pages.count + 1):
            if number in self._seen or self._pages.kind(number) != LEAF_TABLE:
                continue
            cells = [cell for cell in self._pages.cells(number) if cell is not None]
            fitting = [
                name
                for name, shape in self._shapes.items()
                if name != "setting" and cells and all(_row(shape, cell) is not None for cell in cells)
            ]
            if len(fitting) == 1:
                self._keep(fitting[0], cells, loose=True)

    def _roots(self) -> dict[str, int]:
        """Where the file itself says that the tables begin."""
        found: dict[str, int] = {}
        for leaf in self._leaves(1):
            for cell in self._pages.cells(leaf):
                if cell is not None and len(cell.values) == 5:
                    kind, name, _, root, _ = cell.values
                    if kind == "table" and isinstance(name, str) and isinstance(root, int):
                        found[name] = root
        return found

    def _leaves(self, root: int) -> list[int]:
        """The leaf pages below a page, each once; those another tree has taken are left out."""
        found, waiting = [], [root]
        while waiting:
            number = waiting.pop()
            if not 0 < number <= self._pages.count or number in self._seen:
                continue
            kind = self._pages.kind(number)
            if kind in (INNER_TABLE, INNER_INDEX):
                self._seen.add(number)
                waiting += reversed(self._pages.children(number))
            elif kind in _LEAVES:
                found.append(number)
        return found

    def _take(self, name: str, leaf: int) -> None:
        cells = list(self._pages.cells(leaf))
        whole = [cell for cell in cells if cell is not None and _row(self._shapes[name], cell) is not None]
        if not whole:
            return  # the tree leads astray: it may yet be a page of another table
        self._seen.add(leaf)
        self.remains.unreadable[name] += len(cells) - len(whole)
        self._keep(name, whole)

    def _keep(self, name: str, cells: list[Cell], *, loose: bool = False) -> None:
        there = self.remains.rows[name]
        for cell in cells:
            number = cell.rowid if name != "setting" else len(there) + 1
            row = _row(self._shapes[name], cell)
            if row is not None and number not in there:
                there[number] = row
                self.remains.loose[name] += loose


def _row(shape: Shape, cell: Cell) -> Row | None:
    """The values of a cell by column; None where it is no row of that table."""
    if len(cell.values) != len(shape.columns) or cell.rowid < 0:
        return None
    row: Row = {}
    for (column, kind), value in zip(shape.columns.items(), cell.values, strict=True):
        if kind == "ROWID":
            if value is not None or cell.rowid < 1:
                return None
            row[column] = cell.rowid
        elif value is None:
            if column in shape.needed:
                return None
            row[column] = None
        elif kind == "REAL":
            if not isinstance(value, (int, float)) or not math.isfinite(value):
                return None
            row[column] = float(value)
        elif isinstance(value, int if kind == "INTEGER" else str):
            row[column] = value
        else:
            return None
    return row


@lru_cache(maxsize=1)
def shapes() -> dict[str, Shape]:
    """The tables that are wanted, as in a new book."""
    from sqlite_utils import Database

    from logbook.store.migrations import steps

    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        steps().apply(Database(connection, execute_plugins=False))
        found = {}
        for name in WANTED:
            info = connection.execute(f'PRAGMA table_info("{name}")').fetchall()
            numbered = name != "setting"
            columns = {
                row[1]: "ROWID" if numbered and row[5] and row[2] == "INTEGER" else row[2] for row in info
            }
            needed = frozenset(row[1] for row in info if row[3])
            (root,) = connection.execute(
                "SELECT rootpage FROM sqlite_master WHERE type = 'table' AND name = ?", (name,)
            ).fetchone()
            found[name] = Shape(columns, needed, root)
        return found
    finally:
        connection.close()
