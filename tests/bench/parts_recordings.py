"""What is measured of recordings of the aeroplane: read whole and understood, beside a reader that only splits the lines."""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

from logbook.exchange.recording_findings import findings_of
from logbook.exchange.recording_trace import read_trace
from tests.bench.measuring import Figure, by_turns
from tests.recorder import flight_rows, mapping, written

Books = dict[int, Path]
_SECONDS = 2400
"""How long the recorded flight is [s]; it is sampled so often that it has the number of rows wanted."""


def recordings(_: Books) -> list[Figure]:
    """One flight of forty minutes, sampled coarsely and finely."""
    floors, times = {}, {}
    with tempfile.TemporaryDirectory() as folder:
        for rows in (100, 10_000, 100_000):
            step = _SECONDS / rows
            how = mapping(gaps={"longest_s": max(5, 2 * step)})
            path = written(Path(folder) / f"{rows}.csv", flight_rows(step))
            took = by_turns(
                {
                    "bare": lambda path=path: _split(path),
                    "ours": lambda path=path, how=how: findings_of(
                        read_trace(path, how), how, {"front": "S1"}
                    ),
                },
                9 if rows < 100_000 else 3,
            )
            floors[rows], times[rows] = took["bare"], took["ours"]
    return [Figure("a recording of so many rows", "csv.reader over the same file", floors, times, batch=True)]


def _split(path: Path) -> int:
    with path.open(encoding="utf-8", newline="") as file:
        return sum(len(row) for row in csv.reader(file))
