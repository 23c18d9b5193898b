"""The signed form of a flight: everything recorded of it, the same to the byte wherever the same was recorded.

People, aeroplanes and packs stand by their record ids, so that a new name breaks no signature; what is unknown is left
out, so that a column added later breaks none either. Who typed the entry and when is not part of it.
"""

from __future__ import annotations

import json
from typing import Any, Final

from logbook.store.database import Book
from logbook.store.records import Records

Row = dict[str, Any]

_LEFT_OUT: Final = frozenset({"entered_by", "entered_at", "readings", "crew", "phases"})
_REFS: Final = {
    "aircraft": "aircraft",
    "serial_no": "pack",
    "pilot": "person",
    "second_person": "person",
    "handled_by": "person",
    "safety_pilot": "person",
    "person": "person",
}
_KEYS: Final = {"aircraft": "registration", "pack": "serial_no", "person": "person"}
_PARTS: Final = (("readings", "serial_no"), ("crew", "person"), ("phases", "sequence"))


class Canon:
    """Turns flights into their signed form, and record ids back into names; names are read once."""

    def __init__(self, book: Book) -> None:
        self._ids: dict[str, dict[str, str]] = {}
        for table, key in _KEYS.items():
            rows = Records(book, table).select()
            self._ids[table] = {row[key]: row["record_id"] for _, row in rows}

    def entry(self, flight: Row) -> Row:
        """The signed form of a flight with its parts, as plain values."""
        found = self._plain(flight)
        for part, key in _PARTS:
            rows = [self._plain(row) for row in flight.get(part) or ()]
            if rows:
                found[part] = sorted(rows, key=lambda row, key=key: str(row.get(key, "")))  # type: ignore[misc]
        return found

    def person_id(self, name: str) -> str:
        """The record id of a person."""
        return self._ids["person"][name]

    def name(self, record_id: str, field: str) -> str:
        """The name a record id stands for today, for a field that holds one."""
        names = {value: name for name, value in self._ids[_REFS[field]].items()}
        return names.get(record_id, record_id)

    def _plain(self, row: Row) -> Row:
        found: Row = {}
        for name, value in row.items():
            if value is None or name in _LEFT_OUT or (name == "struck" and not value):
                continue
            if name in _REFS:
                found[name] = self._ids[_REFS[name]][value]
            else:
                found[name] = int(value) if isinstance(value, float) and value.is_integer() else value
        return found


def canonical(value: Any) -> str:
    """JSON with sorted names and no blanks: the one text of a value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def differences(signed: Row, now: Row, canon: Canon) -> list[str]:
    """What is different now, field by field, in words."""
    found = _fields(signed, now, canon, "")
    for part, key in _PARTS:
        old = {row.get(key, ""): row for row in signed.get(part, ())}
        new = {row.get(key, ""): row for row in now.get(part, ())}
        for one in sorted({*old, *new}, key=str):
            label = canon.name(str(one), key) if key in _REFS else f"phase {one}"
            found += _fields(old.get(one, {}), new.get(one, {}), canon, f"{label} ")
    return found


def _fields(old: Row, new: Row, canon: Canon, prefix: str) -> list[str]:
    parts = {part for part, _ in _PARTS}
    return [
        f"{prefix}{name}: was {_shown(name, old.get(name), canon)}, is {_shown(name, new.get(name), canon)}"
        for name in sorted({*old, *new} - parts)
        if old.get(name) != new.get(name)
    ]


def _shown(name: str, value: Any, canon: Canon) -> str:
    if value is None:
        return "unknown"
    return canon.name(str(value), name) if name in _REFS else str(value)
