"""Everything that is measured, in one run and one table: `python -m tests.bench.everything [--million] [--folder FOLDER]`.

Books of 100, 10,000 and 100,000 flights with the same fleet (20 aeroplanes, 50 packs, 333 people), so that the number of
flights alone differs, and with `--million` one of 1,000,000 with 200 aeroplanes, are made in the folder, or found there
from the last run. Every time is divided by a floor that the same machine gives in the same minute; see docs/performance.md.
`--only WORD` measures the parts whose names hold the word.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from logbook.store.trust import DIGESTS
from tests.bench import parts_batch, parts_recordings, parts_screens, parts_services
from tests.bench.make_book import make_book
from tests.bench.measuring import Figure, say, table

SIZES = (100, 10_000, 100_000)
MILLION = 1_000_000
FLEET_OF = 100_000
Books = dict[int, Path]
PARTS: dict[str, Callable[[Books], list[Figure]]] = {
    "start": parts_screens.start,
    "commands": parts_screens.commands,
    "keys": parts_screens.keys,
    "memory": parts_screens.memory,
    "saves": parts_services.saves,
    "screens": parts_services.screens,
    "pages": parts_services.pages,
    "people": parts_batch.people,
    "packs": parts_batch.packs,
    "year": parts_batch.year,
    "estimates": parts_batch.estimates,
    "rainflow": parts_batch.rainflow,
    "recordings": parts_recordings.recordings,
    "care": parts_batch.care,
    "package": parts_batch.package,
}


def books_in(folder: Path, sizes: list[int]) -> Books:
    """The books, made where they are missing; those of another schema are never found."""
    edition = DIGESTS[max(DIGESTS)][:8]
    found: Books = {}
    for size in sizes:
        found[size] = folder / f"{edition}-{size}.logbook"
        if not found[size].exists():
            made = found[size].with_suffix(".part")
            made.unlink(missing_ok=True)
            make_book(made, size, fleet_of=max(size, FLEET_OF))
            made.replace(found[size])
    return found


def main() -> None:
    """Makes the books and prints the table."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--million", action="store_true", help="a book of a million flights besides")
    options.add_argument("--folder", type=Path, help="where books are kept for the next run")
    options.add_argument("--only", default="", metavar="WORD")
    chosen = options.parse_args()
    sizes = [*SIZES, *([MILLION] if chosen.million else [])]
    with tempfile.TemporaryDirectory() as scratch:
        folder = chosen.folder or Path(scratch)
        books = books_in(folder, sizes)
        say(
            f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; books "
            + ", ".join(f"{size:,}: {path.stat().st_size / 1e6:.0f} MB" for size, path in books.items())
        )
        figures: list[Figure] = []
        for name, part in PARTS.items():
            if chosen.only in name:
                found = part(books)
                figures += found
                for line in table(found, sizes)[2:]:
                    say(line)
    say("")
    for line in table(figures, sizes):
        say(line)
    say(f"load at the end {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
