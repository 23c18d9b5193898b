"""In a real terminal: killed or cut off at any moment, the book is whole and the program is gone."""

import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from logbook.paths import sample_file
from logbook.services.check import check
from logbook.services.desk import Desk
from logbook.store.database import Book
from tests import club

DEAF = "import signal; signal.signal(signal.SIGHUP, signal.SIG_IGN); "
ENTRY = "import sys; from logbook.cli.main import run; sys.exit(run(sys.argv[1:]))"
LIMIT_S = 20


class Terminal:
    """The program on the other side of a pseudo-terminal, as its controlling terminal."""

    def __init__(self, book: Path, size: tuple[int, int] = (80, 24), before: str = "") -> None:
        self.main, side = pty.openpty()
        fcntl.ioctl(side, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        env = {**os.environ, "TERM": "xterm-256color", "PYTHONPATH": str(Path.cwd())}
        env.pop("COLUMNS", None)
        env.pop("LINES", None)
        self.program = subprocess.Popen(
            [sys.executable, "-c", before + ENTRY, "--file", str(book)],
            stdin=side, stdout=side, stderr=side, env=env, start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(side, termios.TIOCSCTTY, 0),  # noqa: PLW1509 - one thread, one call
        )  # fmt: skip
        os.close(side)
        self.written = b""

    def until(self, words: str) -> None:
        """Reads until words were painted."""
        end = time.monotonic() + LIMIT_S
        while words.encode() not in self.written:
            assert time.monotonic() < end, self.written[-2000:]
            self._read(0.1)

    def drain(self, seconds: float) -> None:
        """Reads for some time, whatever comes."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self._read(0.05)

    def settle(self) -> None:
        """Reads until nothing more comes."""
        before = -1
        while len(self.written) > before:
            before = len(self.written)
            self.drain(0.8)

    def _read(self, wait_s: float) -> None:
        ready, _, _ = select.select([self.main], [], [], wait_s)
        if ready:
            self.written += os.read(self.main, 65536)

    def press(self, keys: str) -> None:
        os.write(self.main, keys.encode())

    def close(self) -> None:
        """The window is gone."""
        os.close(self.main)
        self.main = -1

    def ended(self) -> int:
        """Waits for the end; gives the status."""
        end = time.monotonic() + LIMIT_S
        while self.program.poll() is None:
            assert time.monotonic() < end, "it still runs"
            if self.main >= 0:
                try:
                    self._read(0.05)
                except OSError:
                    self.close()
            else:
                time.sleep(0.02)
        return self.program.returncode


@pytest.fixture
def terminal(book_path: Path):
    opened: list[Terminal] = []

    def open_on(path: Path = book_path, before: str = "") -> Terminal:
        opened.append(Terminal(path, before=before))
        return opened[-1]

    yield open_on
    for one in opened:
        if one.program.poll() is None:
            one.program.kill()
            one.program.wait()
        if one.main >= 0:
            one.close()


def whole(path: Path) -> Desk:
    """The book, looked at from end to end."""
    book = Book.open(path)
    assert not check(book)
    return Desk(book)


def test_killed_while_records_are_entered_the_book_is_whole_and_holds_what_was_confirmed(
    terminal, book_path
) -> None:
    screen = terminal()
    screen.until("Today")
    screen.press("s")
    screen.until("Places")
    screen.press("\x1b[B" * 6 + "\r")
    screen.until("Add one")
    screen.press("a")
    screen.until("New place")
    screen.press("Mill\x1bOQ")  # F2 as xterm sends it
    deadline = time.monotonic() + LIMIT_S
    with Book.open(book_path) as other:
        while "Mill" not in Desk(other).facts.places():
            assert time.monotonic() < deadline
            screen.drain(0.05)
    screen.press("a")
    screen.drain(0.5)
    screen.press("Hill")
    screen.drain(0.6)
    screen.program.send_signal(signal.SIGKILL)
    assert screen.ended() == -signal.SIGKILL
    desk = whole(book_path)
    assert "Mill" in desk.facts.places()
    assert "Hill" not in desk.facts.places()
    assert [draft.values["place"][0] for draft in desk.drafts.offered()] == ["Hill"]
    desk.book.close()


def test_q_leaves_the_terminal_as_it_was(terminal) -> None:
    screen = terminal()
    screen.until("Today")
    screen.press("q")
    assert screen.ended() == 0
    assert screen.written.rindex(b"\x1b[?1049l") > screen.written.rindex(
        b"\x1b[?1049h"
    )  # xterm: alternate screen left
    assert b"\x1b[?25h" in screen.written


def test_bytes_that_are_no_utf_8_do_not_end_the_program(terminal) -> None:
    screen = terminal()
    screen.until("Today")
    screen.press("s")
    screen.until("Places")
    screen.press("\x1b[B" * 6 + "\r")
    screen.until("Add one")
    screen.press("a")
    screen.until("New place")
    os.write(screen.main, "Mühl".encode("latin-1") + b"\x9b2J\xff")
    screen.until("M\N{REPLACEMENT CHARACTER}hl")
    assert screen.program.poll() is None


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM])
def test_told_to_end_it_ends_and_the_book_is_whole(terminal, book_path, number) -> None:
    screen = terminal()
    screen.until("Today")
    screen.program.send_signal(number)
    screen.ended()
    whole(book_path).book.close()


@pytest.mark.parametrize("before", ["", DEAF], ids=["told by the system", "deaf to it"])
def test_a_terminal_that_is_gone_ends_the_program_and_leaves_the_book_whole(
    terminal, book_path, before
) -> None:
    screen = terminal(before=before)
    screen.until("Today")
    screen.close()
    screen.ended()
    whole(book_path).book.close()


def test_two_screens_on_one_book_both_see_what_either_wrote(terminal, book_path) -> None:
    first = terminal()
    first.until("Today")
    with Book.open(book_path) as other:
        club.put(other, "defect", {"aircraft": club.WATT, "found": "2031-06-21T09:00Z", "text": "Flat tyre"})
    first.press("st")
    first.until("Flat tyre")
    first.press("q")
    assert first.ended() == 0


def test_a_book_that_is_no_book_is_said_before_any_screen(terminal, tmp_path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear friend, this is no logbook. " * 40, encoding="utf-8")
    screen = terminal(path)
    assert screen.ended() == 74
    assert b"1049h" not in screen.written
    assert path.read_text(encoding="utf-8").startswith("Dear friend")


def test_idle_it_writes_nothing(terminal, book_path, tmp_path) -> None:
    shutil.copyfile(book_path, tmp_path / "idle.logbook")
    screen = terminal(tmp_path / "idle.logbook")
    screen.until("Today")
    screen.settle()  # what is looked for in threads has come
    before = len(screen.written)
    screen.drain(2.0)
    assert len(screen.written) == before


@pytest.mark.parametrize(
    ("section", "key", "most"),
    [("t", "\x1b[B", 1_200), ("f", "\x1b[B", 800), ("s", "\x1b[B", 1_200), ("l", "\t", 1_200)],
    ids=["Today, down", "Flights, down", "Setup, down", "Log, the next field"],
)  # fmt: skip
def test_a_key_that_only_moves_writes_a_few_lines_and_not_the_screen(
    terminal, tmp_path, section, key, most
) -> None:
    """The whole screen is about 8,000 bytes: eight seconds on a line of 9,600 bits a second."""
    shutil.copyfile(sample_file(), tmp_path / "sample.logbook")
    screen = terminal(tmp_path / "sample.logbook")
    screen.until("Due within")
    screen.settle()
    screen.press(section)
    screen.settle()
    before = len(screen.written)
    screen.press(key)
    screen.settle()
    assert 0 < len(screen.written) - before <= most
