"""The aeroplane, the flight and the packs a recording belongs to, as far as the book and the mapping tell."""

from __future__ import annotations

from typing import Any, Final

from logbook.errors import DataRefused, UsageError
from logbook.exchange.recording_findings import stored
from logbook.services.cases import Cases
from logbook.services.recording_read import ReadRecording
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records
from logbook.units import minutes_of, shown_instant

Row = dict[str, Any]
_AROUND_S: Final = 600.0
"""Of a recording of several flights, so much before off blocks and after on blocks belongs to the one [s]."""


def blocks_of(flight: Row | None) -> tuple[float, float] | None:
    """Off and on blocks of a flight [s since 1970]; None where the book does not have both."""
    if flight is None or flight["off_blocks"] is None or flight["on_blocks"] is None:
        return None
    return minutes_of(flight["off_blocks"]) * 60.0, minutes_of(flight["on_blocks"]) * 60.0


class Finder:
    """Finds the aeroplane, the flight and the packs of a recording."""

    def __init__(self, book: Book, read: ReadRecording) -> None:
        """Of a recording.

        Args:
            book: the open book.
            read: the recording; its trace is cut where it holds several flights of the book.

        Raises:
            DataRefused: its mapping names a pack the book does not know.
        """
        self._book, self._mapping, self._trace = book, read.mapping, read.trace
        self._started, self._ended = stored(read.trace.at[0]), stored(read.trace.at[-1])
        self._cases = Cases(book)
        self._aircraft = read.aircraft or read.mapping.aircraft
        for pack in read.mapping.packs:
            if pack.serial_no and Records(book, "pack").find(pack.serial_no) is None:
                raise DataRefused(
                    f"The book knows no pack '{pack.serial_no}', which the mapping names.",
                    next_step="Correct the mapping, or enter the pack.",
                    field="serial_no",
                )

    @property
    def aircraft(self) -> str:
        """The aeroplane: as stated, else the one in which its packs were fitted then.

        Raises:
            UsageError: nothing says which it was.
        """
        if not self._aircraft:
            for registration in BookFacts(self._book).fleet():
                fitted = set(self._cases.fitted(registration, self._started))
                if fitted & {pack.serial_no for pack in self._mapping.packs}:
                    self._aircraft = registration
        if not self._aircraft:
            raise UsageError(
                "Nothing says which aeroplane made this recording.",
                next_step='Name it with --aircraft, or in the mapping: aircraft = "…".',
            )
        return self._aircraft

    def named(self, flight_id: str) -> Row:
        """The flight with an id.

        Raises:
            DataRefused: there is none, it was flown by another aeroplane, or at another time.
        """
        flights = Flights(self._book)
        number = flights.number(flight_id)
        if number is None:
            raise DataRefused(
                f"There is no flight '{flight_id}' in the book.", next_step="See 'logbook list flights'."
            )
        flight = flights.read([number])[0]
        self._aircraft = self._aircraft or flight["aircraft"]
        if self._aircraft != flight["aircraft"]:
            raise DataRefused(
                f"The recording is of {self._aircraft}, the flight of {flight['aircraft']}.",
                next_step="Name another flight, or correct the mapping.",
            )
        blocks = blocks_of(flight)
        if blocks is not None:
            self._overlapping(flight, blocks)
        return flight

    def _overlapping(self, flight: Row, blocks: tuple[float, float]) -> None:
        """Refuses a recording of another time; of several flights keeps the part of the one."""
        if self._trace.at[-1] < blocks[0] or blocks[1] + 60 < self._trace.at[0]:
            raise DataRefused(
                f"The recording runs from {shown_instant(self._started)} to {shown_instant(self._ended)}, "
                f"the flight from {shown_instant(flight['off_blocks'])} to {shown_instant(flight['on_blocks'])}.",
                next_step="If the recorder's clock was off, say by how much with --clock.",
            )
        if len(self.during()) > 1:
            self._trace.cut(blocks[0] - _AROUND_S, blocks[1] + _AROUND_S)

    def only(self) -> Row | None:
        """The one flight at that time; None where the book has none.

        Raises:
            DataRefused: there are several.
        """
        found = self.during()
        if len(found) > 1:
            listed = ", ".join(f"{row['flight_id']} ({row['off_blocks']})" for row in found[:10])
            raise DataRefused(
                f"{len(found)} flights of {self.aircraft} lie in this recording: {listed}.",
                next_step="Take it in for each of them, with --flight ID.",
            )
        return found[0] if found else None

    def during(self) -> list[Row]:
        """The flights of the aeroplane that the book has at that time, in order; errors as of `aircraft`."""
        return BookFacts(self._book).flights_during(self.aircraft, self._started, self._ended)

    def serials(self, flight: Row | None) -> dict[str, str]:
        """The packs by their names in the mapping: as stated, else the one fitted in that position.

        Raises:
            DataRefused: the book knows no pack there.
        """
        at = (flight or {}).get("off_blocks") or self._started
        found: dict[str, str] = {}
        for pack in self._mapping.packs:
            serial = pack.serial_no or self._in_position(pack.label, at)
            self._refuse_elsewhere(serial, at)
            if serial in found.values():
                raise DataRefused(
                    f"Two groups of the mapping are the pack '{serial}'.", next_step="Correct the mapping."
                )
            found[pack.label] = serial
        return found

    def fitted(self) -> tuple[str, ...]:
        """The packs fitted in the aeroplane as the recording began, by the book."""
        return self._cases.fitted(self.aircraft, self._started)

    def _refuse_elsewhere(self, serial: str, at: str) -> None:
        """Refuses a pack that was fitted in another aeroplane then: the recording is not of this one."""
        for registration in BookFacts(self._book).fleet() if self._aircraft else ():
            if registration != self._aircraft and serial in self._cases.fitted(registration, at):
                raise DataRefused(
                    f"The pack '{serial}' was fitted in {registration} at {at}, not in {self._aircraft}.",
                    next_step="Choose the flight of that aeroplane, or correct the mapping or the fitting.",
                    field="serial_no",
                )

    def _in_position(self, position: str, at: str) -> str:
        for serial in self._cases.fitted(self.aircraft, at):
            if self._cases.position(self.aircraft, serial, at) == position:
                return serial
        raise DataRefused(
            f"The book knows no pack in position '{position}' of {self.aircraft} at {at}.",
            next_step="Record the fitting first, or name the pack in the mapping: serial_no.",
            field="serial_no",
        )
