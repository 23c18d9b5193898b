"""What falls due: items people hold, maintenance, deferred defects, pack limits by date; the nearest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.errors import UsageError
from logbook.store.attention import NEWEST_OF_WORK
from logbook.store.database import Book
from logbook.store.records import Records

if TYPE_CHECKING:
    from logbook.store.flights import FlightFilter


def due_items(book: Book, until: str | None = None, known_by: str = "9") -> list[dict[str, Any]]:
    """Each item as due (date), what, of whom or of what, the words of the record, its kind and id.

    Args:
        book: the open book.
        until: only what is due by this day (included); absent: everything.
        known_by: what was entered as done, found or fitted after this moment (UTC) does not count.
    """
    last = until or "9"
    found: list[dict[str, Any]] = []

    def add(due: str | None, what: str, of: str | None, text: str | None, record: tuple[str, str]) -> None:
        if due is not None and due <= last:
            kind, record_id = record
            found.append(
                {"due": due, "what": what, "of": of or "", "text": text or "", "id": record_id, "kind": kind}
            )

    for _, row in Records(book, "person_item").select("struck = 0 AND valid_until <= ?", (last,)):
        add(row["valid_until"], row["item"], row["person"], row["text"], ("person-item", row["item_id"]))
    for row in newest_entries(book, last, known_by):
        add(
            row["next_due_date"],
            row["work"] or "maintenance",
            row["aircraft"] or row["serial_no"],
            row["text"],
            ("maintenance", row["entry_id"]),
        )
    for _, row in Records(book, "defect").select(
        "struck = 0 AND state = 'deferred' AND found <= ?", (known_by,)
    ):
        add(
            row["deferred_until"],
            "deferred defect",
            row["aircraft"] or row["serial_no"],
            row["text"],
            ("defect", row["defect_id"]),
        )
    for _, row in Records(book, "component").select(
        "struck = 0 AND coalesce(fitted, '') <= ?1 AND (removed IS NULL OR removed > ?1)", (known_by,)
    ):
        add(row["limit_date"], row["name"], row["aircraft"], row["text"], ("component", row["component_id"]))
    types = {row["part_no"]: row["limit_date"] for _, row in Records(book, "pack_type").select("struck = 0")}
    near = [part_no for part_no, limit in types.items() if limit is not None and limit <= last]
    among = ",".join("?" * len(near))
    for _, row in Records(book, "pack").select(
        f"""struck = 0 AND coalesce(state, '') <> 'scrapped'
        AND (limit_date <= ? OR (limit_date IS NULL AND part_no IN ({among})))""",
        (last, *near),
    ):
        limit = row["limit_date"] or types.get(row["part_no"])
        add(limit, "pack limit", row["serial_no"], None, ("pack", row["serial_no"]))
    return sorted(found, key=lambda item: (item["due"], item["what"], item["of"]))


def newest_entries(book: Book, due_until: str | None = None, known_by: str = "9") -> list[dict[str, Any]]:
    """Of each recurring work on each thing the maintenance entry that counts: the one completed last.

    Args:
        book: the open book.
        due_until: only those that name a date by which they are due again, up to this day.
        known_by: entries of work that was completed after this moment (UTC) do not count.
    """
    rows = Records(book, "maintenance").select(
        f"{NEWEST_OF_WORK} AND (?2 IS NULL OR next_due_date <= ?2)",
        (known_by, due_until),
        order="completed, n",
    )
    return [row for _, row in rows]


def narrowed(items: list[dict[str, Any]], wanted: FlightFilter) -> list[dict[str, Any]]:
    """The items of one aeroplane, pack or person, of some days, with some words.

    Raises:
        UsageError: it was asked for by something that is no matter of due dates.
    """
    if wanted.flag is not None or wanted.kind is not None or wanted.struck:
        raise UsageError(
            "What is due cannot be narrowed by flags or kinds of flight.", next_step="Leave it out."
        )
    names = {wanted.aircraft, wanted.pack, wanted.person} - {None}
    kept = [
        item
        for item in items
        if (not names or item["of"] in names)
        and (wanted.since or "") <= item["due"] <= (wanted.until or "9999-99-99")
        and (wanted.text or "").casefold() in f"{item['what']} {item['text']}".casefold()
    ]
    return kept[: wanted.limit]
