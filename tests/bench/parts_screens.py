"""What is measured from outside: programs in a terminal, commands, keys, memory."""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.bench.in_terminal import Terminal
from tests.bench.measuring import Figure, against_least, by_turns, say

Books = dict[int, Path]
_EMPTY_APP = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("READY")
Empty().run()
"""
_OURS = "import sys; from logbook.__main__ import main; main()"
_BARE_LIST = """
import sqlite3, sys
for row in sqlite3.connect(sys.argv[1]).execute("SELECT * FROM flight WHERE struck = 0 ORDER BY date DESC, off_blocks DESC LIMIT 20"):
    print(row)
"""
_BARE_SHOW = """
import sqlite3, sys
connection = sqlite3.connect(sys.argv[1])
print(connection.execute("SELECT * FROM flight WHERE id = 'B0000050'").fetchone())
print(connection.execute("SELECT * FROM reading WHERE flight = 51").fetchall())
"""
STARTS, CALLS, KEYS = 11, 9, 15
_GOALS = {100: 1.25, 100_000: 1.3, 1_000_000: 2.0}
_KEYS: dict[str, bytes] = {
    "Down": b"\x1b[B",
    "Page Down": b"\x1b[6~",
    "End": b"\x1b[F",
    "Home": b"\x1b[H",
}


def _surroundings(state: str) -> dict[str, str]:
    """What the programs are given; compiled modules are kept in `state`, as an installed program has them."""
    return {
        "TERM": "xterm-256color",
        "LOGBOOK_STATE": state,
        "PYTHONPATH": str(Path.cwd()),
        "PYTHONDONTWRITEBYTECODE": "",
        "PYTHONPYCACHEPREFIX": f"{state}/compiled",
    }


def _ours(book: Path) -> list[str]:
    return [sys.executable, "-c", _OURS, "--file", str(book)]


def start(books: Books) -> list[Figure]:
    """From the command to the first full screen, which is Today with its rows."""
    with tempfile.TemporaryDirectory() as state:
        around = _surroundings(state)

        def shown(arguments: list[str], sign: bytes) -> Callable[[], None]:
            def work() -> None:
                with Terminal(arguments, around) as terminal:
                    taken.append(terminal.until(sign))

            return work

        taken: list[float] = []
        works = {0: shown([sys.executable, "-c", _EMPTY_APP], b"READY")}
        works |= {size: shown(_ours(book), b" ago") for size, book in books.items()}
        times: dict[int, list[float]] = {size: [] for size in works}
        for work in works.values():
            work()  # compiles the modules
        for _ in range(STARTS):
            for size, work in works.items():
                work()
                times[size].append(taken[-1])
    medians = {size: statistics.median(found) for size, found in times.items()}
    floor = {0: medians.pop(0)}
    words = "start to the first full screen"
    return [
        Figure(words, "an empty Textual app", floor, {size: took}, _GOALS.get(size))
        for size, took in medians.items()
    ]


def commands(books: Books) -> list[Figure]:
    """Plain commands as processes of their own."""
    state = tempfile.mkdtemp()
    quiet: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    quiet["env"] = os.environ | _surroundings(state)

    def call(*arguments: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, *arguments], check=True, **quiet)

    found = []
    for words, ours, bare in (
        ("logbook --version", ["--version"], "pass"),
        ("logbook list flights --limit 20", ["list", "flights", "--limit", "20"], _BARE_LIST),
        ("logbook show flight ID", ["show", "flight", "B0000050"], _BARE_SHOW),
    ):
        works: dict[int | str, Callable[[], object]] = {}
        for size, book in books.items():
            works[f"bare {size}"] = call("-c", bare, str(book))
            works[size] = call("-m", "logbook", "--file", str(book), *ours)
            works[size]()  # compiles the modules
        times = by_turns(works, CALLS)
        floors = {size: times[f"bare {size}"] for size in books}
        floor = "python -c pass" if bare == "pass" else "python, sqlite3 and the bare SELECT"
        found.append(Figure(words, floor, floors, {size: times[size] for size in books}))
    shutil.rmtree(state)
    return found


def keys(books: Books) -> list[Figure]:
    """From a key in Flights to the last byte of what it painted; all books open at once, keys by turns."""
    with tempfile.TemporaryDirectory() as state:
        open_books = {size: Terminal(_ours(book), _surroundings(state)) for size, book in books.items()}
        try:
            for terminal in open_books.values():
                terminal.until(b" ago")
                terminal.settle()
                terminal.answer_s(b"f")
                terminal.settle(1.5)
            taken: dict[str, dict[int, list[float]]] = {key: {size: [] for size in books} for key in _KEYS}
            for _ in range(KEYS):
                for key, sent in _KEYS.items():
                    for size, terminal in open_books.items():
                        taken[key][size].append(terminal.answer_s(sent))
                        terminal.settle(0.25)  # the flight beside the list comes once the cursor rests
        finally:
            for terminal in open_books.values():
                terminal.__exit__()
    return [
        against_least(
            f"key to paint in Flights: {key}",
            {size: statistics.median(times) for size, times in sizes.items()},
            goal=1.2,
        )
        for key, sizes in taken.items()
    ]


def memory(books: Books) -> list[Figure]:
    """Memory of the running program after a walk through Today and Flights; said as it is, in MB."""
    with tempfile.TemporaryDirectory() as state:
        for size, book in books.items():
            with Terminal(_ours(book), _surroundings(state)) as terminal:
                terminal.until(b" ago")
                terminal.settle()
                first = terminal.memory_mb()[0]
                for key in (b"f", *_KEYS.values(), *[_KEYS["Page Down"]] * 20):
                    terminal.answer_s(key)
                terminal.settle(1.5)
                now, most = terminal.memory_mb()
                say(
                    f"memory at {size:,}: {first:.0f} MB on Today, {now:.0f} MB in Flights, {most:.0f} MB at most"
                )
    return []
