"""The pilot's record as pages: entries, sums, and three total rows on each page; columns are the form's business.

Every page ends with the sums of this page, of what came before it, and of both. What the pilot brings from before this
book, and flights before the first day asked for, are in "previous pages" from the first page on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

from logbook.units import hours_and_minutes

ROWS: Final = 14
"""Entries on a page, unless another number is asked for."""

OPTIONAL: Final = {
    "ifr_min": "IFR time",
    "instrument_min": "actual instrument time",
    "simulated_instrument_min": "simulated instrument time",
    "ground_training_min": "ground training",
    "safety_pilot": "safety pilot",
}
"""What may be written down of a flight and often is not: column of the record to its words on the page."""


class Sums(NamedTuple):
    """What the total rows add up; times in minutes, by where they stand on the page."""

    minutes: float = 0
    single_min: float = 0
    multi_min: float = 0
    multi_pilot_min: float = 0
    day_min: float = 0
    night_min: float = 0
    pic_min: float = 0
    solo_min: float = 0
    copilot_min: float = 0
    dual_min: float = 0
    instructor_min: float = 0
    landings_day: float = 0
    landings_night: float = 0
    device_min: float = 0
    ifr_min: float = 0
    instrument_min: float = 0
    simulated_min: float = 0
    ground_min: float = 0

    def plus(self, other: Sums) -> Sums:
        """Both together."""
        return Sums(*(a + b for a, b in zip(self, other, strict=True)))


class Entry(NamedTuple):
    """One line of the record: a flight, several flights that may stand as one, or a session in a device.

    Attributes:
        flight_ids: the flights behind the line.
        date: the local day.
        device: it was a training device, whose time is never flight time.
        departed: off blocks (UTC, stored form); `arrived` on blocks.
        commander: name of the pilot in command.
        sums: the line's times and landings.
        night_known: False where the night could not be judged.
        night_recorded: the night was written down, and the Sun was not asked.
        engines: `single`, `multi` or empty.
        remarks: exercise, remarks, who countersigned.
        missing: what the law wants and nobody wrote down, in words.
        safety_pilot: the name, where one was written down.
        device_text: type and qualification of the training device.
        written: which of the boxes that may stay blank somebody filled in, by their names in `OPTIONAL`.
    """

    flight_ids: tuple[str, ...]
    date: str
    device: bool
    aircraft: str
    aircraft_type: str
    engines: str
    place_from: str
    place_to: str
    departed: str
    arrived: str
    function: str
    commander: str
    sums: Sums
    night_known: bool
    remarks: str
    missing: tuple[str, ...] = ()
    safety_pilot: str = ""
    device_text: str = ""
    night_recorded: bool = False
    written: tuple[str, ...] = ()


class Page(NamedTuple):
    """One page with its three total rows."""

    number: int
    entries: tuple[Entry, ...]
    this: Sums
    before: Sums

    @property
    def total(self) -> Sums:
        """This page and all before it."""
        return self.before.plus(self.this)


TOTALS: Final[tuple[tuple[str, Callable[[Page], Sums]], ...]] = (
    ("total of this page", lambda page: page.this),
    ("total of previous pages", lambda page: page.before),
    ("total", lambda page: page.total),
)
"""The three total rows of a page."""


class PilotPages(NamedTuple):
    """A pilot's record, ready to be written in any form.

    Attributes:
        person: the person's own record (name, licence number, address).
        form: `european` or `american`.
        pages: at least one.
        brought_forward: what "previous pages" of page 1 holds.
        missing: incomplete entries: (date, flight id, what is missing); the person's own first.
        chain: number of earlier states in the book, and the head of their chain.
        notes: sentences that belong on the paper.
    """

    person: Mapping[str, Any]
    form: str
    pages: tuple[Page, ...]
    brought_forward: Sums
    missing: tuple[tuple[str, str, str], ...]
    chain: tuple[int, str]
    notes: tuple[str, ...]


class PageColumn(NamedTuple):
    """One column of a form: the group it stands under, its heading, its cell, and the sum in the total rows if any."""

    group: str
    title: str
    cell: Callable[[Entry], str]
    total: Callable[[Sums], str] | None = None
    right: bool = False


def sum_up(entries: Iterable[Entry], start: Sums = Sums()) -> Sums:  # noqa: B008 - a frozen tuple
    """The sums of some lines."""
    total = start
    for entry in entries:
        total = total.plus(entry.sums)
    return total


def paginate(entries: Sequence[Entry], before: Sums, rows: int = ROWS) -> tuple[Page, ...]:
    """Pages of so many lines; an empty record has one empty page.

    Raises:
        ValueError: a page must hold at least one line.
    """
    if rows < 1:
        raise ValueError("a page needs at least one line")
    return tuple(_pages(entries, before, rows))


def _pages(entries: Sequence[Entry], before: Sums, rows: int) -> Iterator[Page]:
    for number, start in enumerate(range(0, max(len(entries), 1), rows), 1):
        chunk = tuple(entries[start : start + rows])
        page = Page(number, chunk, sum_up(chunk), before)
        yield page
        before = page.total


def clock(minutes: float) -> str:
    """Minutes as the record shows them; an empty box where there are none."""
    return hours_and_minutes(minutes) if minutes else ""


def clock_total(minutes: float) -> str:
    """Minutes in a total row, where nothing is written as 0:00."""
    return hours_and_minutes(minutes)


def count(number: float) -> str:
    """Landings; an empty box where there are none."""
    return f"{number:g}" if number else ""


def count_total(number: float) -> str:
    """Landings in a total row."""
    return f"{number:g}"


def time_column(group: str, title: str, name: str) -> PageColumn:
    """A column of one of the sums that is a time."""
    at = Sums._fields.index(name)
    return PageColumn(
        group, title, lambda entry: clock(entry.sums[at]), lambda sums: clock_total(sums[at]), right=True
    )


def count_column(group: str, title: str, name: str) -> PageColumn:
    """A column of one of the sums that is a number of landings."""
    at = Sums._fields.index(name)
    return PageColumn(
        group, title, lambda entry: count(entry.sums[at]), lambda sums: count_total(sums[at]), right=True
    )


def optional_column(group: str, title: str, name: str) -> PageColumn:
    """A time that is not written down for every flight: where nothing is known there is no 0:00 in the total row either."""
    at = Sums._fields.index(name)
    return PageColumn(
        group, title, lambda entry: clock(entry.sums[at]), lambda sums: clock(sums[at]), right=True
    )


def hand_column(group: str, title: str) -> PageColumn:
    """A box the law knows and this book does not record: left blank, to be filled in by hand where it applies."""
    return PageColumn(group, title, lambda _: "")
