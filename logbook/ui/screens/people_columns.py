"""The columns of the lists of people: everybody, and the instructor's table of students."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from logbook.measures import TIME, Measures
from logbook.ui.widgets.columns import Column
from logbook.units import plain_number

if TYPE_CHECKING:
    from logbook.services.people_list import PersonLine


def ending_words(line: PersonLine) -> str:
    """The worst of what runs out or has run out, and how many more: 'club check 25 d past +1'."""
    worst = sorted(line.ending, key=lambda item: item["days"])[:1]
    more = len(line.ending) - len(worst)
    return f"{items_words(worst)} +{more}" if more else items_words(worst)


def items_words(items: Iterable[Mapping[str, Any]]) -> str:
    """Items with how long they still last, the worst first."""
    ordered = sorted(items, key=lambda item: item["days"])
    return ", ".join(f"{item['item']} {_when(item['days'])}" for item in ordered)


def _when(days: int) -> str:
    if days == 0:
        return "today"
    return f"in {days} d" if days > 0 else f"{-days} d past"


def sign_of(line: PersonLine) -> tuple[str, str]:
    """What is past, then what is near."""
    if any(item["days"] < 0 for item in line.ending):
        return "!", "warning"
    return ("·", "grey") if line.ending else ("", "")


def _time(minutes: float, measures: Measures) -> str:
    return measures.figure(minutes, TIME) if minutes else ""


def _titled(words: str, measures: Measures) -> str:
    return f"{words} {measures.unit_word}".strip()


def _count(number: float) -> str:
    return plain_number(number) if number else ""


def _to_sign(line: PersonLine) -> str:
    return _count(line.to_sign) if line.to_sign else _count(line.waiting)


def _ends_tone(line: PersonLine) -> str:
    return "warning" if any(item["days"] < 0 for item in line.ending) else ""


_NAME: Final[Column[PersonLine]] = Column("person", "Name", lambda line: line.person, 12, most=26)
_LAST: Final[Column[PersonLine]] = Column(
    "last", "Last flight", lambda line: line.last_flight, 11, priority=2
)
_ENDS: Final[Column[PersonLine]] = Column(
    "ends", "Runs out", ending_words, 25, most=40, priority=1, tone=_ends_tone
)


def everybody(measures: Measures) -> list[Column[PersonLine]]:
    """Of everybody; `Sign` is what waits for a signature, or what an instructor has to sign."""
    return [
        _NAME,
        Column("role", "Role", lambda line: line.role, 10, most=30, priority=8),
        _LAST,
        Column(
            "total", _titled("Total", measures), lambda line: _time(line.total_min, measures), 7, right=True
        ),
        Column(
            "pic",
            _titled("PIC", measures),
            lambda line: _time(line.pic_min, measures),
            7,
            right=True,
            priority=4,
        ),
        Column(
            "dual",
            _titled("Dual", measures),
            lambda line: _time(line.dual_min, measures),
            6,
            right=True,
            priority=5,
        ),
        Column("landings", "Ldgs", lambda line: _count(line.landings), 5, right=True, priority=6),
        Column("flags", "Flags", lambda line: _count(line.open_flags), 5, right=True, priority=7),
        Column("sign", "Sign", _to_sign, 4, right=True, priority=3),
        _ENDS,
    ]


def students(measures: Measures) -> list[Column[PersonLine]]:
    """Of the instructor's table."""
    return [
        _NAME,
        _LAST,
        Column("dual", _titled("Dual", measures), lambda line: _time(line.dual_min, measures), 6, right=True),
        Column("solo", _titled("Solo", measures), lambda line: _time(line.solo_min, measures), 6, right=True),
        Column("landings", "Landings", lambda line: _count(line.landings), 8, right=True, priority=4),
        Column("flags", "Flags", lambda line: _count(line.open_flags), 5, right=True),
        Column("waiting", "To sign", lambda line: _count(line.waiting), 7, right=True),
        _ENDS,
    ]
