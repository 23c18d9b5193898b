# ruff: noqa: T201 - it prints its figures
"""How long it takes from the command to a table on the screen: `python -m tests.bench.ui_start [BOOK ...]`.

In a real pseudo-terminal, against an app of the library with nothing in it. Each program is started several times, one after
the other in turn; the figures are medians, best and worst. The limit: with 400 flights at most 1.3 times the empty app.
Without a book named, one of 400 flights is made; a book of any size can be named.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

TIMES = 15
LIMIT_S = 60
EMPTY_APP = """
from textual.app import App
from textual.widgets import Static

class Empty(App):
    def compose(self):
        yield Static("READY")

Empty().run()
"""
SIGNS = {"today": b" ago", "flights": b"circuits"}
"""Words that stand in the rows of each section, so that the wait is for the table and not for its frame."""
OURS = "import sys; from logbook.__main__ import main; main()"


def run_s(arguments: list[str], sign: bytes, environment: dict[str, str]) -> float:
    """Seconds from the start of a program to a sign on its terminal [s].

    Raises:
        RuntimeError: the sign never came.
    """
    main, side = pty.openpty()
    fcntl.ioctl(side, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    start = time.perf_counter()
    program = subprocess.Popen(
        arguments, stdin=side, stdout=side, stderr=side, env=os.environ | environment, start_new_session=True
    )
    os.close(side)
    written = b""
    try:
        while sign not in written:
            ready, _, _ = select.select([main], [], [], 1)
            data = os.read(main, 65536) if ready else b""
            if time.perf_counter() - start > LIMIT_S:
                raise RuntimeError(f"{sign!r} never came: {written[-500:]!r}")
            written += data
        return time.perf_counter() - start
    finally:
        program.kill()
        program.wait()
        os.close(main)


def make_book(path: Path, flights: int) -> None:
    """A book with so many flights of a made-up season."""
    from logbook.services.add import add
    from logbook.services.kinds import KINDS
    from logbook.store.database import Book
    from tests.world.season import make_world, package_rows

    rows = package_rows(make_world(7, flights))
    readings: dict[str, list[dict[str, object]]] = {}
    for row in rows["readings"]:
        readings.setdefault(str(row.pop("flight_id")), []).append(row)
    with Book.open(path, create=True) as book:
        for kind in KINDS.values():
            data = [_typed(row) for row in rows.get(kind.file, ())]
            if kind.name == "flight":
                data = [row | {"readings": readings.get(str(row["flight_id"]), [])} for row in data]
            if data:
                add(book, kind.name, data)


def _typed(row: dict[str, object]) -> dict[str, object]:
    positions = row.get("positions")
    return row | ({"positions": positions.split(";")} if isinstance(positions, str) else {})


def compare(book: Path, section: str) -> None:
    """Prints the times of the empty app and of ours, and their ratio."""
    with tempfile.TemporaryDirectory() as state:
        environment = {"TERM": "xterm-256color", "LOGBOOK_STATE": state, "PYTHONPATH": str(Path.cwd())}
        code = OURS if section == "today" else _at_once(section)
        sign = SIGNS[section]
        empty, ours = [], []
        for _ in range(TIMES):
            empty.append(run_s([sys.executable, "-c", EMPTY_APP], b"READY", environment))
            ours.append(run_s([sys.executable, "-c", code, "--file", str(book)], sign, environment))
    print(
        f"{book.name}, {section}: empty app {_said(empty)}; ours {_said(ours)}; ratio of medians {statistics.median(ours) / statistics.median(empty):.2f}"
    )


def _at_once(section: str) -> str:
    return (
        "import sys; from pathlib import Path; from logbook.services.desk import Desk; from logbook.ui.app import LogbookApp; "
        f"LogbookApp(Desk.at(Path(sys.argv[2])), first={section!r}).run()"
    )


def _said(times: list[float]) -> str:
    return f"{statistics.median(times) * 1000:.0f} ms ({min(times) * 1000:.0f} to {max(times) * 1000:.0f})"


def main() -> None:
    """Every book named, or one of 400 flights."""
    with tempfile.TemporaryDirectory() as folder:
        books = [Path(name) for name in sys.argv[1:]]
        if not books:
            books = [Path(folder) / "400.logbook"]
            make_book(books[0], 400)
        for book in books:
            for section in ("today", "flights"):
                compare(book, section)


if __name__ == "__main__":
    main()
