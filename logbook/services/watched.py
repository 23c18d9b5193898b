"""Long work that says how far it is and can be stopped: nothing half-done stays behind."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from io import RawIOBase
from typing import IO, Any

Tell = Callable[[str], object]
"""Is told in words how far the work is."""
_TELL_EVERY = 262_144
"""So many bytes are written between two words [B]."""
_TELL_EVERY_S = 0.2
"""No more often than this is anybody told [s]: a slow terminal has other things to draw."""


class Stopped(Exception):
    """The work was stopped before its end; what it wrote so far is taken back by whoever catches it."""


class Watch:
    """Between somebody who waits and a thread that works.

    Attributes:
        said: how far it is, in words.
    """

    def __init__(self, tell: Tell | None = None) -> None:
        self._stop = threading.Event()
        self._tell = tell
        self.said = ""
        self._next = 0.0

    def stop(self) -> None:
        """Asks the work to stop; it does at its next step."""
        self._stop.set()

    def step(self, words: str) -> None:
        """Called by the work now and then.

        Raises:
            Stopped: it is to stop.
        """
        if self._stop.is_set():
            raise Stopped
        self.said = words
        now = time.monotonic()
        if self._tell is not None and now >= self._next:
            self._next = now + _TELL_EVERY_S
            self._tell(words)


class WatchedStream(RawIOBase):
    """A binary stream that passes everything on and says how much was written."""

    def __init__(self, stream: IO[bytes], watch: Watch) -> None:
        super().__init__()
        self._stream, self._watch = stream, watch
        self._written = self._told = 0

    def writable(self) -> bool:
        """Yes."""
        return True

    def seekable(self) -> bool:
        """As the stream below."""
        return self._stream.seekable()

    def tell(self) -> int:
        """As the stream below."""
        return self._stream.tell()

    def seek(self, offset: int, whence: int = 0) -> int:
        """As the stream below."""
        return self._stream.seek(offset, whence)

    def write(self, data: Any) -> int:
        """Passes bytes on.

        Raises:
            Stopped: the work is to stop.
        """
        written = self._stream.write(data)
        self._written += written
        if self._written - self._told >= _TELL_EVERY or self._told == 0:
            self._told = self._written
            self._watch.step(f"{self._written / 1e6:.1f} MB written")
        return written

    def flush(self) -> None:
        """As the stream below; that is closed by whoever opened it."""
        if not self._stream.closed:
            self._stream.flush()
