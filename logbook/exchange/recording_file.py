"""The raw file of a recording as lines of cells: read once, in bounded memory, with its digest.

Foreign and perhaps broken: a line without end, a file without end, bytes that are no text are refused in words. A last line
that was cut off when the power went is left out, as half a number looks like a whole one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Final

from logbook.errors import DataRefused, FileTrouble, UsageError
from logbook.exchange.recording_mapping import RecordingMapping

MOST_BYTES: Final = 1024 * 2**20
MOST_ROWS: Final = 5_000_000
_MOST_LINE: Final = 64 * 2**10
_MOST_COLUMNS: Final = 2_000
CUT_SHORT: Final = "cut short at the end of the file"


class _Summed(io.RawIOBase):
    """A file whose bytes are added up as they pass."""

    def __init__(self, raw: io.RawIOBase, name: str, *, text: bool) -> None:
        self.sum = sha256()
        self.tail = b""
        self._raw, self._name, self._text = raw, name, text
        self._size = 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: object) -> int:
        view = memoryview(buffer)  # type: ignore[arg-type]
        data = self._raw.read(len(view)) or b""
        view[: len(data)] = data
        self.sum.update(data)
        self._size += len(data)
        self.tail = (self.tail + data)[-4:]
        if self._size > MOST_BYTES:
            raise DataRefused(
                f"{self._name} is larger than {MOST_BYTES // 2**20} MiB.",
                next_step="Cut it to one day of flying.",
            )
        if self._text and b"\0" in data:
            raise DataRefused(
                f"{self._name} holds NUL bytes: it is no text file, or not in the stated encoding.",
                next_step="Export the recording as CSV, or correct 'encoding' in the mapping.",
            )
        return len(data)

    def close(self) -> None:
        self._raw.close()
        super().close()


class RecordingFile:
    """An open recording: its header, and its lines as cells.

    Attributes:
        header: the names of its columns.
        line: the line that was read last, the first being 1.
        left_out: lines that were left out, by reason.
    """

    def __init__(self, path: Path, mapping: RecordingMapping) -> None:
        """Opens a file and looks at its header.

        Raises:
            FileTrouble: it cannot be read.
            UsageError: it lacks a column that the mapping names.
            DataRefused: it is no text.
        """
        self.name = path.name
        self.line = 0
        self.left_out: dict[str, int] = {}
        encoding = "utf-8-sig" if mapping.encoding == "utf-8" else mapping.encoding
        try:
            raw = path.open("rb", buffering=0)
        except OSError as error:
            raise FileTrouble(
                f"{path} cannot be read: {error.strerror}.", next_step="Check its name and permissions."
            ) from error
        self._summed = _Summed(raw, path.name, text=mapping.encoding != "utf-16")
        self._text = io.TextIOWrapper(io.BufferedReader(self._summed, 2**16), encoding=encoding, newline="")
        self._reader = csv.reader(self._lines(), strict=True, delimiter=mapping.separator)
        try:
            for _ in range(mapping.skip_lines):
                self._one_line()
            self.header = [column.strip() for column in self._cells() or []]
            self._look_at_header(mapping)
        except Exception:
            self.close()
            raise

    def close(self) -> None:
        """Closes the file."""
        self._text.close()

    @property
    def digest(self) -> str:
        """SHA-256 of the whole file, once all its lines were read."""
        return self._summed.sum.hexdigest()

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        """Each line of values with its number; all have as many cells as the header.

        Raises:
            DataRefused: one in the middle has not.
        """
        waiting: tuple[int, list[str]] | None = None
        rows = 0
        while (row := self._cells()) is not None:
            if not any(row):
                continue
            rows += 1
            if rows > MOST_ROWS:
                raise DataRefused(
                    f"{self.name} has more than {MOST_ROWS} rows.", next_step="Cut it to one day of flying."
                )
            if waiting is not None:
                yield self._whole(*waiting)
            waiting = (self.line, row)
        ended = self._summed.tail.rstrip(b"\0")[-1:] in (b"\n", b"\r")
        if waiting is not None and ended and len(waiting[1]) == len(self.header):
            yield waiting
        elif waiting is not None:
            self.left_out[CUT_SHORT] = 1

    def _whole(self, line: int, row: list[str]) -> tuple[int, list[str]]:
        if len(row) != len(self.header):
            raise DataRefused(
                f"{self.name}, line {line}: {len(row)} cells, but the header has {len(self.header)}.",
                next_step="Correct that line; mind 'separator' in the mapping.",
            )
        return line, row

    def _look_at_header(self, mapping: RecordingMapping) -> None:
        if len(self.header) > _MOST_COLUMNS:
            raise DataRefused(
                f"{self.name} has more than {_MOST_COLUMNS} columns.", next_step="Correct 'separator'."
            )
        for column in mapping.sources():
            count = self.header.count(column)
            if count == 0:
                raise UsageError(
                    f"The mapping names the column '{column}', which {self.name} does not have.",
                    next_step="Correct the mapping; mind 'separator', 'encoding' and 'skip_lines'.",
                )
            if count > 1:
                raise UsageError(
                    f"{self.name} has the column '{column}' twice.",
                    next_step="Rename one of them in the file.",
                )

    def _one_line(self) -> str:
        try:
            text = self._text.readline(_MOST_LINE + 1)
        except UnicodeError:
            raise DataRefused(
                f"{self.name} is not in the stated encoding.", next_step="Correct 'encoding' in the mapping."
            ) from None
        except OSError as error:
            raise FileTrouble(
                f"{self.name} cannot be read: {error.strerror}.", next_step="Copy it from the card again."
            ) from error
        self.line += bool(text)
        if len(text) > _MOST_LINE:
            raise DataRefused(
                f"{self.name}, line {self.line}: it is longer than {_MOST_LINE} characters.",
                next_step="Export the recording as CSV.",
            )
        return text

    def _lines(self) -> Iterator[str]:
        while text := self._one_line():
            yield text

    def _cells(self) -> list[str] | None:
        try:
            return next(self._reader, None)
        except csv.Error as error:
            if self._at_end():
                self.left_out[CUT_SHORT] = 1
                return None
            raise DataRefused(
                f"{self.name}, line {self.line}: {error}.", next_step="Correct the quoting there."
            ) from None

    def _at_end(self) -> bool:
        return not self._text.readline(1)
