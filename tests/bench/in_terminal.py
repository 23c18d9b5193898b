"""A program in a real pseudo-terminal: when its words come, how soon it answers a key, and how much memory it holds."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
import time
from pathlib import Path
from typing import Self

_QUIET_S = 0.06
"""A screen that writes nothing for so long has been painted [s]."""


class Terminal:
    """One program started in a terminal of so many columns and rows."""

    def __init__(
        self, arguments: list[str], environment: dict[str, str], size: tuple[int, int] = (140, 40)
    ) -> None:
        self._main, side = pty.openpty()
        fcntl.ioctl(side, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.started = time.perf_counter()
        self._program = subprocess.Popen(
            arguments,
            stdin=side,
            stdout=side,
            stderr=side,
            env=os.environ | environment,
            start_new_session=True,
        )
        os.close(side)
        self.written = b""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._program.kill()
        self._program.wait()
        os.close(self._main)

    def until(self, sign: bytes, limit_s: float = 60) -> float:
        """Seconds from the start of the program until some words have come [s].

        Raises:
            RuntimeError: they never came.
        """
        while sign not in self.written:
            if not self._more(limit_s):
                raise RuntimeError(f"{sign!r} never came: {self.written[-400:]!r}")
        return time.perf_counter() - self.started

    def settle(self, quiet_s: float = 0.6) -> None:
        """Waits until the program has nothing more to write."""
        while self._more(quiet_s):
            pass

    def bytes_for(self, key: bytes) -> int:
        """How many bytes the program wrote for a key, all that followed from it included."""
        before = len(self.written)
        os.write(self._main, key)
        self.settle()
        return len(self.written) - before

    def answer_s(self, key: bytes) -> float:
        """Seconds from a key to the last byte of what it painted [s]; 0 where it painted nothing."""
        start = last = time.perf_counter()
        os.write(self._main, key)
        wait = 2.0
        while self._more(wait):
            last, wait = time.perf_counter(), _QUIET_S
        return last - start

    def memory_mb(self) -> tuple[float, float]:
        """Memory in use now and at most so far [MB]."""
        text = Path(f"/proc/{self._program.pid}/status").read_text(encoding="ascii")
        found = {
            line.split(":")[0]: int(line.split()[1])
            for line in text.splitlines()
            if line.startswith(("VmRSS", "VmHWM"))
        }
        return found["VmRSS"] / 1000, found["VmHWM"] / 1000

    def _more(self, limit_s: float) -> bool:
        ready, _, _ = select.select([self._main], [], [], limit_s)
        if not ready:
            return False
        data = os.read(self._main, 65536)
        self.written += data
        return bool(data)
