"""What a list of records other than flights can be narrowed to, as conditions of our own making."""

from __future__ import annotations

from typing import Any

from logbook.errors import UsageError
from logbook.store.flights import FlightFilter
from logbook.store.records import Records

_DATES = ("started", "found", "completed", "at", "fitted", "made_at", "signed_at", "issued", "valid_until")
_FITTED = "SELECT 1 FROM installation i WHERE i.aircraft = ? AND i.struck = 0 AND i.serial_no = "
_BY_AEROPLANE = {
    "pack": f"EXISTS ({_FITTED} pack.n)",
    "charge": f"EXISTS ({_FITTED} charge.serial_no AND i.fitted <= started AND started < coalesce(i.removed, '9'))",
}
"""Records that name no aeroplane, but packs that are, or then were, in one."""


def conditions(records: Records, wanted: FlightFilter) -> tuple[str, list[Any]]:
    """SQL and its parameters; a filter that the records cannot be narrowed by is refused, not passed over.

    Raises:
        UsageError: the records have nothing of that kind.
        DataRefused: the book knows no such aircraft, pack or person.
    """
    found: list[tuple[str, list[Any]]] = [("struck = ?", [int(wanted.struck)])]
    for name, value in (("aircraft", wanted.aircraft), ("pack", wanted.pack), ("person", wanted.person)):
        if value is not None:
            found.append(_of(records, name, value))
    when = next((name for name in _DATES if name in records.columns), None)
    for name, value, sign in (("since", wanted.since, ">="), ("until", wanted.until, "<=")):
        if value is not None:
            found.append((f"substr({when or _cannot(records, name)}, 1, 10) {sign} ?", [value]))
    if wanted.text is not None:
        found.append(_holding(records, wanted.text))
    for name, given in (("flag", wanted.flag), ("kind-of-flight", wanted.kind)):
        if given is not None:
            _cannot(records, name)
    return " AND ".join(sql for sql, _ in found), [value for _, values in found for value in values]


def _of(records: Records, table: str, value: str) -> tuple[str, list[Any]]:
    number = records.book.keys.number
    columns = [column for column, to in records.table.refs.items() if to == table]
    if columns:
        n = number(table, value, columns[0])
        return "(" + " OR ".join(f'"{column}" = ?' for column in columns) + ")", [n] * len(columns)
    if table in (records.table.name, records.table.key):
        return f'"{records.table.key}" = ?', [value]
    if "person" in records.columns and table == "person":
        return "person = ?", [value]
    if table == "aircraft" and records.table.name in _BY_AEROPLANE:
        return _BY_AEROPLANE[records.table.name], [number("aircraft", value, "aircraft")]
    return _cannot(records, table), []


def _holding(records: Records, text: str) -> tuple[str, list[Any]]:
    rows = records.book.connection.execute(f'PRAGMA table_info("{records.table.name}")')
    texts = [row[1] for row in rows.fetchall() if row[2] == "TEXT"]
    pattern = "%" + text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_") + "%"
    return "(" + " OR ".join(f"\"{name}\" LIKE ? ESCAPE '\\'" for name in texts) + ")", [pattern] * len(texts)


def _cannot(records: Records, name: str) -> str:
    raise UsageError(
        f"A list of {records.table.name.replace('_', ' ')} records cannot be narrowed by --{name}.",
        next_step="Leave it out.",
    )
