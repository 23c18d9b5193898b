"""The screens killed in a real terminal while a flight is logged and saved: it is in the book, or it is offered again; never both.

Six times in the normal run, more with `--kills`: one kill of the screens for ten of the commands.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import time
from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.store.database import Book
from tests.services.club import club_book
from tests.ui.screens.test_log_flight_killed import Terminal, wait_for

F3 = "\x1bOR"  # saves the flight open
FIELD = "P-101.soc_departure_pct"


def flights(path: Path) -> list[str]:
    """Of a whole file; asked without the program, so that nothing is mended meanwhile."""
    raw = sqlite3.connect(path)
    try:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        return [row[0] for row in raw.execute("SELECT id FROM flight WHERE state = 'open'")]
    finally:
        raw.close()


def typed(drafts: Drafts) -> str:
    """What the newest draft holds in the field."""
    offered = drafts.offered()
    return offered[0].values.get(FIELD, ("", ""))[0] if offered else ""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_a_flight_that_is_being_saved_when_the_end_comes_is_in_the_book_or_offered_again(tmp_path, request):
    rng = random.Random(3)  # noqa: S311 - instants, not secrets
    for number in range(max(1, request.config.getoption("kills") // 10)):
        path, state = tmp_path / f"{number}.logbook", tmp_path / f"state{number}"
        club_book(path).close()
        drafts = Drafts(path, state)
        terminal = Terminal(path, state)
        terminal.until("AB-1")
        terminal.press("l")
        terminal.until("Pilot: ")
        terminal.press("F5", "=", "9")
        wait_for(lambda known=drafts: typed(known) == "9")
        terminal.press("8")
        if rng.random() < 0.8:
            wait_for(lambda known=drafts: typed(known) == "98")
            terminal.press(F3)
        time.sleep(rng.uniform(0, 0.15))
        terminal.kill()
        shown = "Saved open" in terminal.written
        there = flights(path)
        assert len(there) == shown or (not shown and len(there) == 1)
        with Book.open(path) as book:
            waiting = Desk(book, drafts=drafts).unfinished()
            assert len(waiting) + len(there) == 1, "in the book, or offered again; never both"
            if there:
                (reading,) = book.connection.execute(
                    "SELECT soc_departure_pct FROM reading r JOIN flight f ON f.n = r.flight WHERE f.id = ?",
                    there,
                ).fetchmany(1)
                assert reading == (98,)
            else:
                assert waiting[0].values[FIELD][0] in ("9", "98")
