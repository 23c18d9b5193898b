"""How much of a damaged book salvage brings back, by kind of damage: `python -m tests.bench.salvage_share [COPIES]`."""

from __future__ import annotations

import random
import sys
from pathlib import Path
from statistics import mean
from tempfile import TemporaryDirectory

from logbook.errors import DataRefused
from logbook.paths import sample_file
from logbook.store.salvage import Remains, read_remains
from tests.reliability.test_salvage import DAMAGE


def true_rows(remains: Remains, known: dict[str, set[str]]) -> int:
    """Rows that are word for word those of the undamaged book."""
    return sum(str(row) in known[name] for name in known for row in remains.rows[name].values())


def main() -> None:
    """Prints mean and least share of rows read, and rows that differ from the truth."""
    copies = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    sample, rng = sample_file().read_bytes(), random.Random(1)  # noqa: S311 - damage, not secrets
    whole = read_remains(sample_file())
    known = {name: {str(row) for row in rows.values()} for name, rows in whole.rows.items()}
    every = sum(map(len, known.values()))
    with TemporaryDirectory() as folder:
        path = Path(folder) / "damaged.logbook"
        for damage in DAMAGE:
            shares, strange = [], 0
            for _ in range(copies):
                data = bytearray(sample)
                how = damage(rng, data)
                path.write_bytes(data)
                try:
                    remains = read_remains(path)
                except DataRefused:
                    shares.append(0.0)
                    continue
                good = true_rows(remains, known)
                strange += sum(map(len, remains.rows.values())) - good
                shares.append(good / every)
            sys.stdout.write(
                f"{how}: {copies} copies, {mean(shares):.1%} of {every} rows read (least {min(shares):.1%}), {strange / copies:.2f} rows a copy differ\n"
            )


if __name__ == "__main__":
    main()
