"""Text made to do harm where it is shown, and a book in which every text and every name is such text.

Sources of the corpus: ECMA-48 and xterm's control sequences (escape forms), Unicode Standard Annex 9 and CVE-2021-42574
(bidirectional controls), the OWASP pages on CSV injection and cross-site scripting (formulas, markup), RFC 5545 (line folding).
"""

from __future__ import annotations

from typing import Any

from logbook.services.add import add
from logbook.services.correct import correct
from logbook.services.plan import keep_plan, plan_flight
from logbook.store.database import Book
from tests import club

CORPUS = (
    "\x1b[2J\x1b]0;title\x07",
    "\x1b]52;c;QUFBQQ==\x1b\\",
    "\x9b31m\x90q\x9c",
    "a\rb\nc\x00d\x7fe\x08",
    "\u202eabc\u2066def\u2069\u200f",
    "one\u2028two\u2029three\u0085four",
    "[bold]x[/] [@click=app.quit]y[/] [/]",
    "=cmd|' /C calc'!A0",
    '=1+2";=1+2',
    "=1+2'\" ;,=1+2",
    "@SUM(1)",
    "+1-1",
    "\t=1",
    "'=1",
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>' onload='x",
    "</title><style>*{}</style>&amp;&#60;",
    "]]><!-- --><b>",
    "END:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:planted",
    "x'; DROP TABLE flight; --",
    "%s %n {0} {name} $HOME `id` $(id)",
    "../../etc/passwd",
    "Ü → 東京 🛩",
)


def hostile_book(book: Book, text: str, by: str = "add") -> dict[str, str]:
    """Fills a book so that the text is in every field that takes words.

    Args:
        book: an empty one.
        text: what to put there.
        by: `add` for records that come in with it, `correct` for ones that are changed to it.

    Returns: the names things have in it.
    """
    given = text if by == "add" else "plain"
    names = {kind: f"{text} {kind}" for kind in ("craft", "front", "rear", "pilot", "student")}
    craft, front, rear, pilot, student = names.values()
    field = f"{text} field"
    put(book, "pack-type", club.PACK_TYPE | {"part_no": text, "maker_text": given, "text": given})
    put(book, "aircraft", club.aircraft(craft, type=text, base=field, text=given) | {"class": text})
    put(book, "pack", [{"serial_no": serial, "part_no": text, "text": given} for serial in (front, rear)])
    put(
        book,
        "person",
        [{"person": who, "licence_no": text, "role_text": text, "address": text} for who in (pilot, student)],
    )
    put(book, "place", {"place": field, "text": given})
    put(
        book,
        "installation",
        [club.fitting(front, "front", craft, reason=given), club.fitting(rear, "rear", craft, reason=given)],
    )
    put(
        book,
        "person-item",
        {"person": pilot, "item": text, "valid_until": "2031-06-30", "issued_by": text, "text": given},
    )
    for number in range(4):
        put(book, "flight", club.flight_at(
            6 + 3 * number, f"F{number}", aircraft=craft, pilot=pilot, second_person=student, second_function="dual", function="instructor",
            place_from=field, place_to=field, exercise=text, remarks=given, debrief=text,
            readings=[club.reading(front, soc_landing_pct=20, temp_max_c=57), club.reading(rear)],
        ))  # fmt: skip
    put(
        book,
        "charge",
        club.charge(
            "C1",
            front,
            "2031-05-10T08:00Z",
            place=field,
            charger=text,
            purpose="full",
            ended_because=text,
            text=given,
        ),
    )
    put(
        book,
        "observation",
        {
            "observation_id": "O1",
            "serial_no": front,
            "at": "2031-05-11T08:00Z",
            "soh_pct": 97,
            "software": text,
            "text": given,
        },
    )
    put(
        book,
        "defect",
        {"defect_id": "D1", "aircraft": craft, "found": "2031-05-12T08:00Z", "text": text, "found_by": text},
    )
    put(
        book,
        "maintenance",
        {
            "entry_id": "M1",
            "aircraft": craft,
            "work": text,
            "text": text,
            "completed": "2031-05-13T08:00Z",
            "done_by": text,
            "certificate_no": text,
            "next_due_date": "2031-07-01",
        },
    )
    put(
        book,
        "component",
        {
            "component_id": "K1",
            "aircraft": craft,
            "name": text,
            "part_no": text,
            "serial_no": text,
            "limit_date": "2031-07-01",
            "text": text,
        },
    )
    asked = {"aircraft": craft, "handled_by": pilot, "legs": [{"kind": "level", "minutes": 10}]}
    names["plan"] = keep_plan(book, plan_flight(book, asked), title=text, by=pilot)
    if by == "correct":
        for kind, record in (("flight", "F0"), ("flight", "F1")):
            correct(book, kind, record, {"remarks": text}, by=pilot, why=text)
    return names | {"field": field}


def put(book: Book, kind: str, data: Any) -> None:
    """Adds as somebody with such a name."""
    add(book, kind, data, by=None, clock=lambda: club.NOW)
