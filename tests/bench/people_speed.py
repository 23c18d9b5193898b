"""How long totals, recency, the table of students, pages and a month's bill take on a large book.

Run: python -m tests.bench.people_speed [FLIGHTS]
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from logbook.services.add import add
from logbook.services.billing import billing
from logbook.services.import_book import import_package
from logbook.services.legal_record import person_pages
from logbook.services.people import students, totals_of
from logbook.services.recency import recency_of
from logbook.services.student import student_of
from logbook.store.database import Book
from tests.bench.many_flights import write_package


def main() -> None:
    """Prints seconds for each question."""
    flights = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with TemporaryDirectory() as folder:
        write_package(Path(folder) / "package", flights)
        with Book.open(Path(folder) / "book.logbook", create=True) as book:
            import_package(book, Path(folder) / "package")
            add(book, "place", {"place": "HOME", "latitude_deg": 48.0, "longitude_deg": 11.0})
            _measure(book, flights)


def _measure(book: Book, flights: int) -> None:
    questions: dict[str, Callable[[], object]] = {
        "totals of one person": lambda: totals_of(book, "Pilot 007"),
        "recency of one person": lambda: recency_of(book, "Pilot 007", "2024-06-30"),
        "table of students": lambda: students(book, "2024-06-30"),
        "pages of one person": lambda: person_pages(book, "Pilot 007"),
        "history of one person without forecasts": lambda: student_of(book, "Pilot 007", hindcasts=False),
        "bill of a month": lambda: billing(book, "2024-05"),
    }
    sys.stdout.write(f"{flights} flights\n")
    for words, ask in questions.items():
        start = time.perf_counter()
        ask()
        sys.stdout.write(f"{words}: {time.perf_counter() - start:.2f} s\n")


if __name__ == "__main__":
    main()
