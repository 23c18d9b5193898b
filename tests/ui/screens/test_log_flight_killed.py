"""Killed in the middle of a word, in a real terminal: the next start offers every key that was pressed."""

import fcntl
import os
import pty
import signal
import struct
import subprocess
import sys
import termios
import threading
import time
from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.store.database import Book
from tests.services.club import club_book
from tests.track_pen import Pen

KEYS = {"F5": "\x1b[15~", "F7": "\x1b[18~", "ENTER": "\r"}


class Terminal:
    """The program in a pseudo-terminal of 80 by 24."""

    def __init__(self, book: Path, state: Path) -> None:
        self.main, other = pty.openpty()
        fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        environment = os.environ | {
            "LOGBOOK_STATE": str(state),
            "TERM": "xterm-256color",
            "TEXTUAL_ANIMATIONS": "none",
        }
        self.program = subprocess.Popen(
            [sys.executable, "-m", "logbook", "--file", str(book)],
            stdin=other, stdout=other, stderr=other, env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(other)
        self.written = ""
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        """Empties the terminal all the time: a program that nobody listens to stands still."""
        try:
            while data := os.read(self.main, 65536):
                self.written += data.decode("utf-8", "replace")
        except OSError:
            return  # the program is gone

    def until(self, words: str) -> None:
        """Waits until words were written to the screen."""
        wait_for(lambda: words in self.written)

    def press(self, *keys: str) -> None:
        """Types; names of keys in capitals."""
        for key in keys:
            os.write(self.main, KEYS.get(key, key).encode())

    def kill(self) -> None:
        """As a power cut does it: no chance to save anything."""
        self.program.send_signal(signal.SIGKILL)
        self.program.wait(timeout=20)
        os.close(self.main)


def wait_for(condition, seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end
        time.sleep(0.02)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_a_killed_entry_is_offered_again_with_every_key(tmp_path: Path) -> None:
    path, state = tmp_path / "club.logbook", tmp_path / "state"
    club_book(path).close()
    drafts = Drafts(path, state)

    first = Terminal(path, state)
    first.until("AB-1")
    first.press("l")
    first.until("Pilot: ")
    first.press("F5", "=", "98", "ENTER", "=", "1")
    wait_for(
        lambda: drafts.offered() and drafts.offered()[0].values.get("P-101.temp_departure_c") == ("1", "read")
    )
    first.press("8")
    wait_for(lambda: drafts.offered()[0].values["P-101.temp_departure_c"] == ("18", "read"))
    first.kill()

    (draft,) = drafts.offered()
    kept = {name: value for name, value in draft.values.items() if not name.startswith("@")}
    assert kept == {
        "pilot": ("Ana Lind", "confirmed"),
        "function": ("pic", "confirmed"),
        "kind": ("local", "confirmed"),
        "place_from": ("Lakeside", "confirmed"),
        "aboard": ("1", "confirmed"),
        "mass_kg": ("540", "confirmed"),
        "meter_start": ("412.3", "confirmed"),
        "P-101.soc_departure_pct": ("98", "read"),
        "P-101.soh_pct": ("91", "confirmed"),
        "P-101.temp_departure_c": ("18", "read"),
    }

    second = Terminal(path, state)
    second.until("AB-1")
    second.press("l")
    second.until("Go on:")
    second.press("ENTER")
    second.until("412.3")
    second.press("ENTER")  # past the temperature of the first pack's neighbour
    second.press("\x1bOR")  # F3: save open
    with Book.open(path) as book:
        desk = Desk(book, drafts=drafts)
        wait_for(desk.facts.open_flights)
        (flight,) = desk.facts.open_flights()
        assert flight["flight_id"] == draft.record_id
        wait_for(lambda: desk.unfinished() == [])
        assert desk.show("flight", flight["flight_id"])["readings"][0]["temp_departure_c"] == 18
    second.kill()


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_what_was_taken_from_a_track_survives_a_kill(tmp_path: Path) -> None:
    path, state = tmp_path / "club.logbook", tmp_path / "state"
    club_book(path).close()
    drafts = Drafts(path, state)
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(100)
    track = pen.write(tmp_path / "t.gpx")

    program = Terminal(path, state)
    program.until("AB-1")
    program.press("l")
    program.until("Pilot: ")
    program.press("F7")
    program.until("Tab completes")
    program.press(str(track), "ENTER")
    program.until("39.9 NM")
    program.press("ENTER", "a")  # the day, then all that are empty
    wait_for(lambda: drafts.offered() and "on_blocks" in drafts.offered()[0].values)
    program.kill()

    (draft,) = drafts.offered()
    assert draft.values["@day"][0] == "2031-06-23"
    assert draft.values["off_blocks"] == ("1701", "track")
    assert draft.values["on_blocks"] == ("1731", "track")
    assert draft.values["landings_day"] == ("1", "read")
