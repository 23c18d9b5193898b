"""Killed at any instant: every confirmed entry is there, none twice, and the file is whole.

More instants than in the normal run: `LOGBOOK_KILLS=1000 pytest tests/services/test_killed.py`.
"""

from __future__ import annotations

import json
import os
import random
import signal
import time

from logbook.cli.main import run
from logbook.services.check import check
from logbook.services.questions import list_flights
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import children, club

KILLS = int(os.environ.get("LOGBOOK_KILLS", "30"))


def adding(path, folder, first):
    """The command, again and again, with one flight each; its standard output is the confirmation."""

    def work():
        for number in range(first, first + 200):
            day, hour = divmod(number, 20)
            data = club.flight_at(hour, f"F{number}", day=f"2032-{1 + day // 28:02d}-{1 + day % 28:02d}")
            source = folder / "flight.json"
            source.write_text(json.dumps(data))
            assert run(["--file", str(path), "add", "flight", str(source)]) == 0

    return work


def test_what_was_confirmed_is_there_however_the_program_was_killed(book_path, tmp_path):
    rng = random.Random(5)  # noqa: S311 - instants, not secrets
    known: list[str] = []
    for _ in range(KILLS):
        child = children.start(adding(book_path, tmp_path, len(known)))
        confirmed = [child.said.readline() for _ in range(rng.choice([0, 1, 2]))]
        time.sleep(rng.uniform(0, 0.015))
        os.kill(child.pid, signal.SIGKILL)
        assert child.wait() == -signal.SIGKILL
        with child.said:
            confirmed += child.said.readlines()
        with Book.open(book_path) as book:
            there = [flight["flight_id"] for flight in list_flights(book, FlightFilter())]
        assert len(there) == len(set(there))
        assert {*known, *(line.decode().strip() for line in confirmed)} <= set(there)
        assert (
            len(there) <= len(known) + len(confirmed) + 1
        )  # the one that was being written when the end came
        known = there
    with Book.open(book_path) as book:
        assert check(book) == []
    assert len(known) >= KILLS // 2
