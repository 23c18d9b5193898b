"""Fitting, removing and exchanging packs: who, why and when, each in one transaction."""

from __future__ import annotations

from logbook.domain.pack import Installation
from logbook.domain.record import read_record
from logbook.errors import DataRefused, UsageError
from logbook.services.add import now, put
from logbook.services.fitting_against import moving
from logbook.services.kinds import KINDS
from logbook.services.pack_standing import (
    Change,
    Clock,
    Row,
    current_fitting,
    end_fitting,
    expect_state,
    moment_of,
    pack_named,
    settle_state,
    time_notes,
)
from logbook.store.database import Book
from logbook.store.records import Records


def fit(
    book: Book,
    serial_no: str,
    aircraft: str,
    position: str,
    *,
    at: str | None = None,
    by: str | None = None,
    why: str | None = None,
    aircraft_hours: float | None = None,
    clock: Clock = now,
    sure: bool = True,
) -> Change:
    """Fits a pack.

    Args:
        book: the open book.
        serial_no: the pack.
        aircraft: registration.
        position: one of the aeroplane's positions.
        at: since when (UTC); absent: now.
        by: who fitted it.
        why: the reason.
        aircraft_hours: total time of the aeroplane then, as read [h].
        clock: what time it is.
        sure: write it also where flights on record speak against it; else that is raised.

    Raises:
        Contradicted: flights on record speak against it.
        DataRefused: the pack is fitted elsewhere then, the position is taken or unknown, or the pack is scrapped.
    """
    moment = moment_of(at, clock)
    with moving(book, [serial_no], by=by, why=why, sure=sure) as notes:
        pack = pack_named(book, serial_no)
        if pack["state"] == "scrapped":
            raise DataRefused(
                f"Pack {serial_no} is scrapped.", next_step="Correct its state first if that is wrong."
            )
        _expect_position(book, aircraft, position)
        row = {"serial_no": serial_no, "aircraft": aircraft, "position": position, "fitted": moment}
        _insert(book, row | {"reason": why, "aircraft_hours": aircraft_hours}, by)
        notes.extend(settle_state(book, serial_no, "fitted", moment, why))
    return Change(
        [f"{serial_no} fitted to {aircraft}, {position}, {moment}"], notes + time_notes(moment, clock)
    )


def remove(
    book: Book,
    serial_no: str,
    *,
    at: str | None = None,
    by: str | None = None,
    why: str | None = None,
    to: str = "store",
    clock: Clock = now,
    sure: bool = True,
) -> Change:
    """Removes a pack from the aeroplane it is in.

    Args:
        book: the open book.
        serial_no: the pack.
        at: when (UTC); absent: now.
        by: who removed it.
        why: the reason.
        to: what becomes of it: a state other than fitted.
        clock: what time it is.
        sure: write it also where flights on record speak against it; else that is raised.

    Raises:
        Contradicted: flights on record speak against it.
        DataRefused: it is not fitted, or was fitted only later.
        UsageError: there is no such state.
    """
    moment = moment_of(at, clock)
    expect_state(to)
    with moving(book, [serial_no], by=by, why=why, sure=sure) as notes:
        pack_named(book, serial_no)
        n, row = _fitted(book, serial_no)
        end_fitting(book, n, row, moment, why)
        notes.extend(settle_state(book, serial_no, to, moment, why))
    return Change(
        [f"{serial_no} removed from {row['aircraft']}, {row['position']}, {moment}"],
        notes + time_notes(moment, clock),
    )


def swap(
    book: Book,
    first: str,
    second: str,
    *,
    at: str | None = None,
    by: str | None = None,
    why: str | None = None,
    clock: Clock = now,
    sure: bool = True,
) -> Change:
    """Exchanges two packs: two removals and two fittings, all or none. A pack from the store takes the other's place.

    Args:
        book: the open book.
        first: a fitted pack.
        second: another one, fitted or not.
        at: when (UTC); absent: now.
        by: who did it.
        why: the reason.
        clock: what time it is.
        sure: write it also where flights on record speak against it; else that is raised.

    Raises:
        Contradicted: flights on record speak against it.
        DataRefused: neither is fitted, or one was fitted only later.
    """
    moment = moment_of(at, clock)
    if first == second:
        raise UsageError("A pack cannot be exchanged with itself.", next_step="Name two packs.")
    done = []
    with moving(book, [first, second], by=by, why=why, sure=sure) as notes:
        places = {}
        for serial in (first, second):
            if pack_named(book, serial)["state"] == "scrapped":
                raise DataRefused(f"Pack {serial} is scrapped.", next_step="Name another pack.")
            found = current_fitting(book, serial)
            if found is not None:
                places[serial] = found
        if not places:
            raise DataRefused(
                f"Neither {first} nor {second} is fitted.", next_step="Use 'logbook fit' for each of them."
            )
        for n, row in places.values():
            end_fitting(book, n, row, moment, why)
        for serial, other in ((first, second), (second, first)):
            if other in places:
                row = places[other][1]
                place = {"aircraft": row["aircraft"], "position": row["position"]}
                _insert(book, {"serial_no": serial, **place, "fitted": moment, "reason": why}, by)
                done.append(f"{serial} fitted to {row['aircraft']}, {row['position']}, {moment}")
            else:
                done.append(f"{serial} removed, {moment}")
            notes.extend(settle_state(book, serial, "fitted" if other in places else "store", moment, why))
    return Change(done, notes + time_notes(moment, clock))


def _expect_position(book: Book, aircraft: str, position: str) -> None:
    found = Records(book, "aircraft").find(aircraft)
    if found is None:
        raise DataRefused(
            f"The book knows no aircraft '{aircraft}'.", next_step="See 'logbook list aircraft'."
        )
    positions = found[1]["positions"]
    if positions and position not in positions:
        raise DataRefused(
            f"{aircraft} has no position '{position}'.",
            next_step=f"Its positions are: {', '.join(positions)}.",
            field="position",
        )


def _fitted(book: Book, serial_no: str) -> tuple[int, Row]:
    found = current_fitting(book, serial_no)
    if found is None:
        raise DataRefused(
            f"Pack {serial_no} is not fitted.",
            next_step=f"See 'logbook list installations --pack {serial_no}'.",
        )
    return found


def _insert(book: Book, row: Row, by: str | None) -> None:
    stamp = {"entered_by": by, "entered_at": now()}
    put(book, KINDS["installation"], read_record(Installation, row), stamp)
