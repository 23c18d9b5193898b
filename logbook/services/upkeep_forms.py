"""Short forms of maintenance: a defect that was noticed, one that is put off, and the entry that says what was done."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.services import typed
from logbook.services.due_after import total_or_after
from logbook.services.form_readers import day, moment, yes_or_no
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.record_form import names_of
from logbook.services.typed import Reader
from logbook.services.upkeep_words import DIRECTIVE, WORK
from logbook.store.database import Book

_OF: Final = FormField(
    "of", "Aeroplane or pack", "needed", "A registration or a serial number; the beginning is enough.", "", "", True
)  # fmt: skip
_UTC: Final = "UTC; empty: now"
_MOMENT: Final = "`now`, 0830 for today, or 2031-05-09 0830."
_DEFECT: Final = (
    FormField("text", "What is wrong", "needed", "In your own words.", "", "", True),
    FormField(
        "needs_inspection", "Inspect first", "yes or no",
        "Yes: inspection before next use. It is grounded until an entry closes the defect. "
        "After a hard landing, over-temperature, deep discharge or water: yes.", "", "", True,
    ),
    FormField("found", "Found", _UTC, _MOMENT),
    FormField("found_by", "Found by", "empty: who is at the keys", "A name."),
)  # fmt: skip
_DEFER: Final = (
    FormField("deferred_until", "Until", "needed", "The last day it may stay open; Today speaks from thirty days before.", "", "", True),
    FormField("deferred_basis", "On what basis", "needed", "Why it may fly so, and under which conditions.", "", "", True),
    FormField("deferred_by", "By whom", "needed", "Who decided it.", "", "", True),
)  # fmt: skip
_ENTRY: Final = (
    FormField("text", "What was done", "needed", "In your own words; it stands on the papers.", "", "", True),
    FormField("completed", "Completed", _UTC, _MOMENT),
    FormField("done_by", "Done by", "", "Who did the work."),
    FormField("certificate_no", "Certificate", "", "Their certificate number, where the rules want one."),
    FormField("aircraft_hours", "Aeroplane hours", "h", "Total time of the aeroplane then, as read."),
)
_DIRECTIVE: Final = (
    FormField("work", "Number", "needed", "Its number, such as 2031-07: the newest entry under one number decides.", "", "", True),
    FormField("text", "What it asks for", "needed", "And what was done so far, and how; it stands on the papers.", "", "", True),
    FormField("completed", "Received or done", _UTC, _MOMENT),
    *_ENTRY[2:],
)  # fmt: skip
_AGAIN: Final = (
    FormField("next_due_date", "Due again on", "", "A day; the same kind of work done later takes its place.", "Falls due again"),
    FormField("next_due_hours", "at hours", "h, or +100", "Total hours of the aeroplane, or of the pack; +100: a hundred hours after this work.", "Falls due again"),
    FormField("next_due_cycles", "at cycles", "cycles, or +50", "Of the pack; +50: fifty cycles after this work.", "Falls due again"),
)  # fmt: skip


def _of(book: Book) -> Reader:
    return typed.known_name((*names_of(book, "aircraft"), *names_of(book, "pack")), "aeroplane or pack")


def defect_form(book: Book, now: str, of: str = "") -> PlainForm:
    """The form for a defect, of a thing if one is named."""
    fields = _DEFECT if of else (_OF, *_DEFECT)
    readers = {"of": _of(book), "needs_inspection": yes_or_no, "found": moment(now)}
    return PlainForm(f"Defect of {of}" if of else "New defect", fields, readers)


def defer_form(defect: Mapping[str, Any], now: str) -> PlainForm:
    """The form that puts a defect off: until when, on what basis, by whom."""
    return PlainForm(f"Defer: {defect['text']}"[:60], _DEFER, {"deferred_until": day(now)})


def entry_form(book: Book, work: str, now: str, of: str = "", defect: str = "") -> PlainForm:
    """The form for a maintenance entry.

    Args:
        book: the open book.
        work: one of `WORK`.
        now: the present moment (UTC, stored form).
        of: the thing it is about; empty: it is asked for.
        defect: the id of the defect it closes; empty: it may close one.
    """
    head = () if of else (_OF,)
    kind = FormField(
        "work", "Kind of work", "", "Called the same each time, so that the next one counts.", "", work
    )
    fields: list[FormField] = [*head, *((kind, *_ENTRY) if work != DIRECTIVE else _DIRECTIVE)]
    waiting = _waiting(book, of)
    if waiting and not defect:
        listed = "; ".join(f"{name}: {text}" for name, text in waiting.items())
        fields.append(FormField("closes_defect", "Closes defect", "", f"Open: {listed}"))
    if _may_release(book, of):
        words = "Yes: its quarantine ends when the work was completed."
        fields.append(FormField("release", "Release the pack", "yes or no", words))
    readers: dict[str, Reader] = {
        "of": _of(book),
        "completed": moment(now),
        "aircraft_hours": typed.number("h", 0, 1e6),
        "closes_defect": typed.known_name(tuple(waiting), "open defect", "Maintenance lists them"),
        "release": yes_or_no,
        "next_due_date": day(now),
        "next_due_hours": total_or_after("h"),
        "next_due_cycles": total_or_after(""),
    }
    about = WORK[work][0] + (f" of {of}" if of else "")
    title = f"{about}, closes the defect" if defect else about
    return PlainForm(title, (*fields, *_AGAIN), readers)


def _waiting(book: Book, of: str) -> dict[str, str]:
    """Defects that are not closed: id and what is wrong; of one thing or of all."""
    from logbook.store.records import Records

    rows = Records(book, "defect").select("struck = 0 AND state <> 'closed'", order="found DESC")
    return {
        row["defect_id"]: row["text"]
        for _, row in rows
        if not of or of in (row["aircraft"], row["serial_no"])
    }


def _may_release(book: Book, of: str) -> bool:
    """Whether there is a quarantine to be ended."""
    from logbook.store.records import Records

    if not of:
        return True
    found = Records(book, "pack").find(of)
    return found is not None and found[1]["state"] == "quarantined"
