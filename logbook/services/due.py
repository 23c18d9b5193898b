"""What falls due: items people hold, maintenance, deferred defects, pack limits by date; the nearest first."""

from __future__ import annotations

from typing import Any

from logbook.store.database import Book
from logbook.store.records import Records


def due_items(book: Book) -> list[dict[str, Any]]:
    """Each item as due (date), what, of whom or of what, and the words of the record."""
    found: list[dict[str, Any]] = []

    def add(due: str | None, what: str, of: str | None, text: str | None, record_id: str) -> None:
        if due is not None:
            found.append({"due": due, "what": what, "of": of or "", "text": text or "", "id": record_id})

    for _, row in Records(book, "person_item").select("struck = 0"):
        add(row["valid_until"], row["item"], row["person"], row["text"], row["item_id"])
    for _, row in Records(book, "maintenance").select("struck = 0"):
        add(
            row["next_due_date"],
            row["work"] or "maintenance",
            row["aircraft"] or row["serial_no"],
            row["text"],
            row["entry_id"],
        )
    for _, row in Records(book, "defect").select("struck = 0 AND state = 'deferred'"):
        add(
            row["deferred_until"],
            "deferred defect",
            row["aircraft"] or row["serial_no"],
            row["text"],
            row["defect_id"],
        )
    for _, row in Records(book, "component").select("struck = 0 AND removed IS NULL"):
        add(row["limit_date"], row["name"], row["aircraft"], row["text"], row["component_id"])
    for _, row in Records(book, "pack").select("struck = 0"):
        add(row["limit_date"], "pack limit", row["serial_no"], None, row["serial_no"])
    return sorted(found, key=lambda item: (item["due"], item["what"], item["of"]))
