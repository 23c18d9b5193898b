"""A mark that differs whenever a record was added or changed, by this program or another."""

from __future__ import annotations

from logbook.store.database import Book


def change_mark(book: Book) -> tuple[int, ...]:
    """Newest numbers of what the estimates and the state of packs rest on, and of the history of changes."""
    tables = (
        "version",
        "flight",
        "reading",
        "charge",
        "installation",
        "observation",
        "capacity_check",
        "pack",
        "pack_type",
        "defect",
        "recording",
    )
    column = {"version": "seq"}
    run = book.connection.execute
    return tuple(
        int(run(f"SELECT coalesce(max({column.get(t, 'n')}), 0) FROM {t}").fetchone()[0]) for t in tables
    )


def newest_upkeep(book: Book) -> tuple[int, int]:
    """The numbers of the maintenance entry and of the part entered last; 0 where there is none."""
    row = book.connection.execute(
        "SELECT (SELECT coalesce(max(n), 0) FROM maintenance), (SELECT coalesce(max(n), 0) FROM component)"
    ).fetchone()
    return int(row[0]), int(row[1])


def newest_answer(book: Book) -> int:
    """The number of the answer to a flag given last; 0 where there is none."""
    return int(book.connection.execute("SELECT coalesce(max(n), 0) FROM answer").fetchone()[0])


def newest_entry(book: Book) -> int:
    """The number of the maintenance entry recorded last; 0 where there is none."""
    return int(book.connection.execute("SELECT coalesce(max(n), 0) FROM maintenance").fetchone()[0])
