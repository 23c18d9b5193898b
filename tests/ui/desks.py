"""A desk on the club's book, with and without flights, at a fixed time."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.store.database import Book
from tests import club


@pytest.fixture
def club_desk(book: Book, tmp_path: Path) -> Desk:
    """The club, before its first flight."""
    return Desk(book, clock=lambda: club.NOW, drafts=Drafts(book.path, tmp_path / "drafts"))


@pytest.fixture
def busy_desk(club_desk: Desk) -> Desk:
    """The club in June: six flights, one of them below the reserve, one open and overdue, defects, things due."""
    book = club_desk.book
    low = [club.reading(club.P1, soc_landing_pct=20), club.reading(club.P2, soc_landing_pct=40)]
    club.put(
        book, "flight", [club.flight_at(hour, f"F{hour}", remarks="[/] calm [bold]x") for hour in (6, 8, 10)]
    )
    club.put(book, "flight", club.flight_at(12, "LOW", day="2031-06-20", pilot=club.BEN, readings=low))
    club.put(
        book,
        "flight",
        club.flight_at(
            9,
            "VOLT1",
            day="2031-06-01",
            aircraft=club.VOLT,
            kind="circuits",
            circuits=4,
            readings=[club.reading(club.P3), club.reading(club.P4)],
        ),
    )
    club.put(book, "flight", {
        "flight_id": "OUT", "aircraft": club.VOLT, "date": "2031-06-30", "state": "open", "pilot": club.CLEO,
        "off_blocks": "2031-06-30T10:30Z", "expected_back": "2031-06-30T11:30Z", "place_from": club.FIELD,
    })  # fmt: skip
    club.put(
        book,
        "defect",
        {"aircraft": club.WATT, "found": "2031-06-21T09:00Z", "text": "Brake [red]drags\x1b[2J"},
    )
    club.put(book, "defect", {"aircraft": club.VOLT, "found": "2031-06-02T09:00Z", "text": "Radio hiss",
                              "state": "deferred", "deferred_until": "2031-07-05"})  # fmt: skip
    club.put(book, "person-item", {"person": club.ADA, "item": "medical", "valid_until": "2031-07-10"})
    club.put(book, "person-item", {"person": club.BEN, "item": "club check", "valid_until": "2031-06-25"})
    return club_desk


@pytest.fixture
def empty_desk(tmp_path: Path) -> Iterator[Desk]:
    """A book nobody has written in."""
    with Book.open(tmp_path / "new.logbook", create=True) as book:
        yield Desk(book, clock=lambda: club.NOW, drafts=Drafts(book.path, tmp_path / "drafts"))
