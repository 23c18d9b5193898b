# ruff: noqa: T201 - it prints its figures
"""How much the screens write for a key, for those who sit on a slow line: `python -m tests.bench.slow_line`.

Prints bytes at 80 by 24 in the sample, and what they take at 9,600 and at 38,400 bits a second (ten bits a byte).
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from logbook.paths import sample_file
from tests.bench.in_terminal import Terminal

SIZE = (80, 24)
DOWN, PAGE_DOWN, F6 = b"\x1b[B", b"\x1b[6~", b"\x1b[17~"
STEPS: tuple[tuple[str, bytes], ...] = (
    ("Today: down", DOWN),
    ("to Flights", b"f"),
    ("Flights: down", DOWN),
    ("Flights: page down", PAGE_DOWN),
    ("open a flight", b"\r"),
    ("back", b"\x1b"),
    ("to Log", b"l"),
    ("Log: the next part", F6),
    ("Log: a digit", b"0"),
    ("Log: three more digits", b"935"),
    ("Log: to the next field", b"\t"),
    ("Log: + 4 2", b"+42"),
    ("Log: to the next field", b"\t"),
)


def rows(terminal: Terminal) -> Iterable[tuple[str, int]]:
    """What was done, and the bytes it took."""
    terminal.until(b"Due within")
    terminal.settle()
    yield "start to Today", len(terminal.written)
    for words, key in STEPS:
        yield words, terminal.bytes_for(key)


def main() -> None:
    """One walk, a line for each step."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "sample.logbook"
        shutil.copyfile(sample_file(), book)
        environment = {"LOGBOOK_STATE": folder, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
        arguments = [sys.executable, "-m", "logbook", "--file", str(book)]
        print(f"{'':<26}{'bytes':>8}{'at 9,600':>12}{'at 38,400':>12}")
        with Terminal(arguments, environment, SIZE) as terminal:
            for words, count in rows(terminal):
                print(f"{words:<26}{count:>8}{count / 960:>10.2f} s{count / 3840:>10.2f} s")


if __name__ == "__main__":
    main()
