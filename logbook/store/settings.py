"""How this book behaves: settings by name, each a value in JSON."""

from __future__ import annotations

import json
from typing import Any

from logbook.store.database import Book


class Settings:
    """The table `setting`."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def value(self, name: str) -> Any:
        """A setting of the book; None if it was never set."""
        row = self.book.connection.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return None if row is None else json.loads(row[0])

    def set(self, name: str, value: Any) -> None:
        """Writes a setting (inside a transaction)."""
        self.book.connection.execute(
            "INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            (name, json.dumps(value, ensure_ascii=False)),
        )
