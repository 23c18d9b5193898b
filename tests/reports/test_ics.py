"""Due dates as iCalendar (RFC 5545)."""

import io
import re

from hypothesis import given
from hypothesis import strategies as st

from logbook.reports.ics import DueDate, escaped, folded, write_calendar


def calendar(*dates: DueDate) -> str:
    stream = io.StringIO(newline="")
    write_calendar(stream, dates)
    return stream.getvalue()


def unfolded(text: str) -> str:
    """RFC 5545, 3.1: a line end followed by a space is taken out."""
    return text.replace("\r\n ", "")


def test_a_due_date_is_an_all_day_event() -> None:
    text = calendar(DueDate("2032-02-29", "medical: Ann", "class 2", "I1"))
    assert text.startswith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:")
    assert "DTSTART;VALUE=DATE:20320229\r\nDTEND;VALUE=DATE:20320301\r\n" in text
    assert "SUMMARY:medical: Ann\r\nDESCRIPTION:class 2\r\n" in text
    assert text.endswith("END:VEVENT\r\nEND:VCALENDAR\r\n")


def test_an_event_keeps_its_identity_and_two_have_two() -> None:
    one, other = DueDate("2032-02-29", "medical", "", "I1"), DueDate("2033-02-28", "medical", "", "I1")
    uid = re.search(r"UID:(\S+)", calendar(one))[1]
    assert uid == re.search(r"UID:(\S+)", calendar(other))[1]
    assert uid != re.search(r"UID:(\S+)", calendar(DueDate("2032-02-29", "medical", "", "I2")))[1]


def test_text_cannot_end_its_line_or_begin_a_property() -> None:
    # escapes: RFC 5545, 3.3.11
    assert escaped("a;b,c\\d\r\ne\nf\rg\x1b") == "a\\;b\\,c\\\\d\\ne\\nf\\ng\\x1b"
    text = calendar(DueDate("2032-01-01", "x\r\nEND:VCALENDAR", "", "1"))
    assert text.count("\r\nEND:VCALENDAR") == 1


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\n"), max_size=300))
def test_lines_are_folded_to_75_octets_without_cutting_a_character(line: str) -> None:
    text = folded(line)
    assert unfolded(text) == line + "\r\n"
    assert all(len(piece.encode()) <= 75 for piece in text.split("\r\n"))


def test_the_last_day_of_the_calendar_needs_no_next() -> None:
    assert "DTEND" not in calendar(DueDate("9999-12-31", "x", "", "1"))
