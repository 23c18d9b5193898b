"""Recency of a person on any day, by the rules of the book."""

from __future__ import annotations

from typing import Any

from logbook.rules.recency import Standing, standings
from logbook.rules.recency_rules import rules_in_force
from logbook.services.people import experience
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.store.settings import Settings

SETTING = "recency_rules"
"""The setting that holds the book's own rules."""


def recency_of(book: Book, name: str, on: str) -> list[Standing]:
    """How a person stands on a day (local) by each rule, from what the book holds up to that day.

    Raises:
        DataRefused: the book knows no such person, or its own rules cannot be read.
    """
    flown = experience(book, name, until=on)
    number = book.keys.number("person", name, "person")
    items = [row for _, row in Records(book, "person_item").select("struck = 0 AND person = ?", (number,))]
    return standings(rules_in_force(Settings(book).value(SETTING)), flown, items, on)


def recency_rows(book: Book, name: str, on: str) -> list[dict[str, Any]]:
    """The same as plain values."""
    return [
        standing._asdict()
        | {"shares": [share._asdict() | {"missing": share.missing} for share in standing.shares]}
        for standing in recency_of(book, name, on)
    ]
