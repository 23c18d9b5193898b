"""The pages of a book's file as bytes, read without SQLite: one damaged page then hides nothing but itself.

Source: "Database File Format", https://www.sqlite.org/fileformat2.html (sections 1.3, 1.6, 2.1). Nothing of the file is run,
and whatever stands in it, the work stays in proportion to its size: a page is visited once, and belongs to one long row only.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Final, NamedTuple

Value = int | float | str | bytes | None

LEAF_TABLE: Final = 0x0D
INNER_TABLE: Final = 0x05
LEAF_INDEX: Final = 0x0A
INNER_INDEX: Final = 0x02

PAGE_SIZE: Final = 4096
"""What every book is made with; taken where the file's own header cannot be read."""

_INTEGER_BYTES: Final = (0, 1, 2, 3, 4, 6, 8)
_MOST_COLUMNS: Final = 200


class Broken(Exception):
    """These bytes are no such thing."""


class Cell(NamedTuple):
    """One row as it lies in a page.

    Attributes:
        rowid: its number; 0 in a table without.
        values: its columns.
    """

    rowid: int
    values: list[Value]


class Pages:
    """The file, page by page; pages are counted from 1."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        size, reserved = struct.unpack_from(">H2xB", data, 16) if len(data) > 100 else (0, 0)
        size = 65536 if size == 1 else size
        ours = data.startswith(b"SQLite format 3\0") and size >= 512 and size & (size - 1) == 0
        self.size = size if ours else PAGE_SIZE
        self._usable = self.size - (reserved if ours and reserved <= 32 else 0)
        self.count = len(data) // self.size
        self._overflown: set[int] = set()

    def kind(self, number: int) -> int:
        """The first byte of a page's own header."""
        return self._data[self._start(number)]

    def children(self, number: int) -> list[int]:
        """The pages below an inner page, as far as they exist."""
        start = self._start(number)
        found = []
        for at in self._pointers(number, 12):
            (child,) = struct.unpack_from(">I", self._data, at)
            found.append(child)
        found.append(struct.unpack_from(">I", self._data, start + 8)[0])
        return [child for child in found if 1 < child <= self.count]

    def cells(self, number: int) -> Iterator[Cell | None]:
        """The rows of a leaf page; None for each that cannot be read."""
        table = self.kind(number) == LEAF_TABLE
        for at in self._pointers(number, 8):
            try:
                yield self._cell(number, at, table=table)
            except (Broken, struct.error, IndexError, UnicodeDecodeError):
                yield None

    def _start(self, number: int) -> int:
        return (number - 1) * self.size + (100 if number == 1 else 0)

    def _pointers(self, number: int, header: int) -> list[int]:
        """Where the cells of a page begin in the file; those that lead out of the page are left out."""
        page, start = (number - 1) * self.size, self._start(number)
        (count,) = struct.unpack_from(">H", self._data, start + 3)
        first = start + header
        room = (page + self.size - first) // 2
        offsets = struct.unpack_from(f">{min(count, room)}H", self._data, first)
        least = first - page
        return [page + offset for offset in offsets if least <= offset <= self.size - 4]

    def _cell(self, number: int, at: int, *, table: bool) -> Cell:
        end = number * self.size
        length, at = _varint(self._data, at, end)
        rowid = 0
        if table:
            rowid, at = _varint(self._data, at, end)
        payload = self._payload(length, at, end, table=table)
        return Cell(rowid, _record(payload))

    def _payload(self, length: int, at: int, end: int, *, table: bool) -> bytes:
        usable = self._usable
        most = usable - 35 if table else (usable - 12) * 64 // 255 - 23
        if length <= most:
            if at + length > end:
                raise Broken
            return self._data[at : at + length]
        if length > len(self._data):
            raise Broken
        least = (usable - 12) * 32 // 255 - 23
        local = least + (length - least) % (usable - 4)
        local = local if local <= most else least
        (page,) = struct.unpack_from(">I", self._data, at + local)
        return self._data[at : at + local] + self._overflow(page, length - local)

    def _overflow(self, page: int, length: int) -> bytes:
        parts: list[bytes] = []
        chain: set[int] = set()
        while length > 0:
            if not 1 < page <= self.count or page in self._overflown or page in chain:
                raise Broken
            chain.add(page)
            start = (page - 1) * self.size
            (page,) = struct.unpack_from(">I", self._data, start)
            part = self._data[start + 4 : start + 4 + min(length, self._usable - 4)]
            parts.append(part)
            length -= len(part)
        self._overflown |= chain
        return b"".join(parts)


def _varint(data: bytes, at: int, end: int) -> tuple[int, int]:
    """A number of one to nine bytes, as a signed 64-bit integer, and where it ends."""
    value = 0
    for number in range(9):
        if at >= end:
            raise Broken
        byte = data[at]
        at += 1
        if number == 8:
            value = value << 8 | byte
            break
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            break
    return (value - (1 << 64) if value >= 1 << 63 else value), at


def _record(payload: bytes) -> list[Value]:
    """The columns of a row.

    Raises:
        Broken: the bytes are no row, or do not end where it ends.
    """
    end, at = _varint(payload, 0, len(payload))
    kinds: list[int] = []
    while at < end and len(kinds) <= _MOST_COLUMNS:
        kind, at = _varint(payload, at, min(end, len(payload)))
        kinds.append(kind)
    if at != end:
        raise Broken
    values: list[Value] = []
    for kind in kinds:
        value, at = _value(payload, kind, at)
        values.append(value)
    if at != len(payload):
        raise Broken
    return values


def _value(payload: bytes, kind: int, at: int) -> tuple[Value, int]:
    if kind in (0, 8, 9):
        return (None if kind == 0 else kind - 8), at
    if kind == 7:
        return struct.unpack_from(">d", payload, at)[0], at + 8
    if 1 <= kind <= 6:
        size = _INTEGER_BYTES[kind]
        if at + size > len(payload):
            raise Broken
        return int.from_bytes(payload[at : at + size], "big", signed=True), at + size
    if kind < 12:
        raise Broken
    size = (kind - 12) // 2
    if at + size > len(payload):
        raise Broken
    raw = payload[at : at + size]
    return (raw.decode("utf-8") if kind % 2 else raw), at + size
