"""Counts what SQLite does: statements asked, and steps of its machine, which grow with every row that is looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import NamedTuple

from logbook.store.database import Book


class Counted(NamedTuple):
    """What some work cost.

    Attributes:
        statements: the statements asked, triggers' left out.
        steps: instructions of SQLite's machine, triggers' included; in tens.
    """

    statements: list[str]
    steps: int


def counted(book: Book, work: Callable[[], object]) -> Counted:
    """Does some work on a book and counts what SQLite did for it."""
    statements: list[str] = []
    steps = 0

    def step() -> int:
        nonlocal steps
        steps += 1
        return 0

    connection = book.connection
    connection.set_trace_callback(statements.append)
    connection.set_progress_handler(step, 10)
    try:
        work()
    finally:
        connection.set_progress_handler(None, 0)
        connection.set_trace_callback(None)
    return Counted([sql for sql in statements if not sql.startswith("--")], steps)


@contextmanager
def asked(book: Book) -> Iterator[list[tuple[str, tuple[object, ...]]]]:
    """The statements as the program asks them, with their parameters beside them."""
    found: list[tuple[str, tuple[object, ...]]] = []
    kind = type(book.connection)
    real = kind.execute

    def execute(self: object, sql: str, parameters: object = (), /) -> object:
        found.append((sql, parameters))
        return real(self, sql, parameters)

    kind.execute = execute
    try:
        yield found
    finally:
        kind.execute = real
