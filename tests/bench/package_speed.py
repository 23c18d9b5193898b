"""How long a package takes in and out, beside a bare load of the same rows into SQLite.

Run: `python -m tests.bench.package_speed [FLIGHTS]`. Processor time, as other programs may run beside it.
"""

from __future__ import annotations

import csv
import resource
import sqlite3
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from logbook.services.export_book import export_package
from logbook.services.import_book import import_package
from logbook.store.database import Book
from logbook.store.migrations import statements
from tests.bench.many_flights import write_package


def main(flights: int) -> None:
    """Prints seconds and ratios."""
    with TemporaryDirectory() as place:
        folder = Path(place)
        write_package(folder / "package", flights)
        bare = seconds_of(bare_load, folder / "package", folder / "bare.db")
        typed = seconds_of(typed_load, folder / "package", folder / "typed.db")
        with Book.open(folder / "book.logbook", create=True) as book:
            taken = seconds_of(import_package, book, folder / "package")
            again = seconds_of(import_package, book, folder / "package")
            given = seconds_of(export_package, book, folder / "out.zip")
    say(
        f"{flights} flights: bare load into untyped tables {bare:.2f} s, into our tables and indexes {typed:.2f} s"
    )
    say(
        f"import with checks, flags and figures {taken:.2f} s: {taken / bare:.1f} and {taken / typed:.1f} times"
    )
    say(f"the same again {again:.2f} s; export as zip {given:.2f} s")
    say(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MiB")


def say(words: str) -> None:
    """One line on standard output."""
    sys.stdout.write(words + "\n")


def seconds_of(work: object, *arguments: object) -> float:
    """Processor time of a call [s]."""
    start = time.process_time()
    work(*arguments)
    return time.process_time() - start


def bare_load(package: Path, target: Path) -> None:
    """Each file into a table of its own, text as it is, in one transaction."""
    connection = sqlite3.connect(target)
    with connection:
        for path in package.glob("*.csv"):
            with path.open(encoding="utf-8", newline="") as file:
                rows = csv.reader(file)
                header = next(rows)
                names = ", ".join(f'"{name}"' for name in header)
                connection.execute(f"CREATE TABLE {path.stem} ({names})")
                connection.executemany(
                    f"INSERT INTO {path.stem} VALUES ({', '.join('?' * len(header))})", rows
                )
    connection.close()


def typed_load(package: Path, target: Path) -> None:
    """Flights, readings and charges into our tables with their checks and indexes, names replaced by numbers, no triggers."""
    connection = sqlite3.connect(target)
    schema = Path(__file__).parents[2] / "logbook" / "store" / "schema.sql"
    with connection:
        for statement in statements(schema.read_text(encoding="utf-8")):
            connection.execute(statement)
        numbers = {name: {} for name in ("aircraft", "packs", "people")}
        for name, known in numbers.items():
            with (package / f"{name}.csv").open(encoding="utf-8", newline="") as file:
                for number, row in enumerate(csv.reader(file)):
                    known[row[0]] = number
        people, packs = numbers["people"], numbers["packs"]
        flights = {}
        for name, table, refs in (
            ("flights", "flight", {"aircraft": numbers["aircraft"], "pilot": people, "handled_by": people}),
            ("readings", "reading", {"serial_no": packs, "flight_id": flights}),
            ("charges", "charge", {"serial_no": packs}),
        ):
            with (package / f"{name}.csv").open(encoding="utf-8", newline="") as file:
                rows = csv.reader(file)
                header = next(rows)
                columns = [
                    {"flight_id": "flight" if table == "reading" else "id", "charge_id": "id"}.get(
                        column, column
                    )
                    for column in header
                ]
                if table == "flight":
                    columns.append("state")
                    rows = numbered(rows, flights)
                look = [refs.get(column) for column in header] + [None] * (table == "flight")
                names = ", ".join(f'"{column}"' for column in columns)
                connection.executemany(
                    f"INSERT INTO {table} ({names}) VALUES ({', '.join('?' * len(columns))})",
                    (
                        [
                            (known[cell] if known is not None else cell or None)
                            for cell, known in zip(row, look, strict=True)
                        ]
                        for row in rows
                    ),
                )
    connection.close()


def numbered(rows: object, flights: dict[str, int]) -> object:
    """Flights with their state, noting the row each will be."""
    for number, row in enumerate(rows, start=1):
        flights[row[0]] = number
        yield [*row, "closed"]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
