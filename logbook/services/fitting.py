"""Fitting, removing and exchanging packs, and the state a pack is in: who, why and when, each in one transaction."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.domain.pack import Installation
from logbook.domain.record import read_record
from logbook.errors import DataRefused, UsageError
from logbook.services.add import now, put
from logbook.services.kinds import KINDS
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import canonical_instant

Row = dict[str, Any]
STATES: Final = ("fitted", "store", "quarantined", "away", "transport", "scrapped")
"""What a pack can be."""
NOT_FITTED: Final = ("store", "away", "transport", "scrapped")
"""States in which a pack cannot be in an aeroplane: setting one removes it."""


class Change(NamedTuple):
    """What was done, and what is worth knowing about it.

    Attributes:
        done: one sentence for each thing that was written.
        notes: what to look at, such as a pack that is still quarantined.
    """

    done: list[str]
    notes: list[str]


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

    Raises:
        DataRefused: the pack is fitted elsewhere then, the position is taken or unknown, or the pack is scrapped.
    """
    moment = _moment(at)
    with book.writing(by=by, why=why):
        pack = _pack(book, serial_no)
        if pack["state"] == "scrapped":
            raise DataRefused(
                f"Pack {serial_no} is scrapped.", next_step="Correct its state first if that is wrong."
            )
        _expect_position(book, aircraft, position)
        row = {"serial_no": serial_no, "aircraft": aircraft, "position": position, "fitted": moment}
        _insert(book, row | {"reason": why, "aircraft_hours": aircraft_hours}, by)
        notes = _settle_state(book, serial_no, "fitted", moment, why)
        refresh(book)
    return Change([f"{serial_no} fitted to {aircraft}, {position}, {moment}"], notes)


def remove(
    book: Book,
    serial_no: str,
    *,
    at: str | None = None,
    by: str | None = None,
    why: str | None = None,
    to: str = "store",
) -> Change:
    """Removes a pack from the aeroplane it is in.

    Args:
        book: the open book.
        serial_no: the pack.
        at: when (UTC); absent: now.
        by: who removed it.
        why: the reason.
        to: what becomes of it: a state other than fitted.

    Raises:
        DataRefused: it is not fitted, or was fitted only later.
        UsageError: there is no such state.
    """
    moment = _moment(at)
    _expect_state(to)
    with book.writing(by=by, why=why):
        _pack(book, serial_no)
        n, row = _fitted(book, serial_no)
        _end(book, n, row, moment, why)
        notes = _settle_state(book, serial_no, to, moment, why)
        refresh(book)
    return Change([f"{serial_no} removed from {row['aircraft']}, {row['position']}, {moment}"], notes)


def swap(
    book: Book,
    first: str,
    second: str,
    *,
    at: str | None = None,
    by: str | None = None,
    why: str | None = None,
) -> Change:
    """Exchanges two packs: two removals and two fittings, all or none. A pack from the store takes the other's place.

    Args:
        book: the open book.
        first: a fitted pack.
        second: another one, fitted or not.
        at: when (UTC); absent: now.
        by: who did it.
        why: the reason.

    Raises:
        DataRefused: neither is fitted, or one was fitted only later.
    """
    moment = _moment(at)
    if first == second:
        raise UsageError("A pack cannot be exchanged with itself.", next_step="Name two packs.")
    done, notes = [], []
    with book.writing(by=by, why=why):
        places = {}
        for serial in (first, second):
            if _pack(book, serial)["state"] == "scrapped":
                raise DataRefused(f"Pack {serial} is scrapped.", next_step="Name another pack.")
            found = _current(book, serial)
            if found is not None:
                places[serial] = found
        if not places:
            raise DataRefused(
                f"Neither {first} nor {second} is fitted.", next_step="Use 'logbook fit' for each of them."
            )
        for n, row in places.values():
            _end(book, n, row, moment, why)
        for serial, other in ((first, second), (second, first)):
            if other in places:
                row = places[other][1]
                place = {"aircraft": row["aircraft"], "position": row["position"]}
                _insert(book, {"serial_no": serial, **place, "fitted": moment, "reason": why}, by)
                done.append(f"{serial} fitted to {row['aircraft']}, {row['position']}, {moment}")
            else:
                done.append(f"{serial} removed, {moment}")
            notes += _settle_state(book, serial, "fitted" if other in places else "store", moment, why)
        refresh(book)
    return Change(done, notes)


def set_state(
    book: Book, serial_no: str, state: str, *, why: str, by: str | None = None, at: str | None = None
) -> Change:
    """Says what state a pack is in, since when and why; the earlier state stays in its versions.

    Args:
        book: the open book.
        serial_no: the pack.
        state: one of `STATES`; store, away, transport and scrapped end the fitting of a fitted pack.
        why: the reason; for a release, the entry that allows it.
        by: who says so.
        at: since when (UTC); absent: now.

    Raises:
        UsageError: there is no such state, or no reason is given.
        DataRefused: it is said to be fitted and is in no aeroplane.
    """
    _expect_state(state)
    if not why.strip():
        raise UsageError("A change of state needs a reason.", next_step="Say why with --why.")
    if _pack(book, serial_no)["state"] == "quarantined" and state in ("fitted", "store") and not by:
        raise UsageError(
            f"Pack {serial_no} is quarantined: who releases it?",
            next_step="Name who says so (--by, or b on the screens), or release it by a maintenance entry.",
        )
    moment = _moment(at)
    with book.writing(by=by, why=why):
        done = state_inside(book, serial_no, state, moment, why)
        refresh(book)
    return Change(done, [])


def state_inside(book: Book, serial_no: str, state: str, moment: str, why: str) -> list[str]:
    """Sets a state inside an open transaction. Returns what was done.

    Raises:
        DataRefused: it is said to be fitted and is in no aeroplane.
    """
    before = _pack(book, serial_no)
    found = _current(book, serial_no)
    if state == "fitted" and found is None:
        raise DataRefused(
            f"Pack {serial_no} is in no aeroplane.", next_step="Use 'logbook fit' and say where it is."
        )
    done = []
    if found is not None and state in NOT_FITTED:
        _end(book, *found, moment, why)
        done.append(f"{serial_no} removed from {found[1]['aircraft']}, {found[1]['position']}, {moment}")
    _write_state(book, serial_no, state, moment, why)
    done.append(f"{serial_no}: {before['state'] or 'no state set'} -> {state}, {moment}")
    return done


def released_state(book: Book, serial_no: str) -> str:
    """What a pack is once its quarantine ends: fitted where it is in an aeroplane, else in store."""
    return "store" if _current(book, serial_no) is None else "fitted"


def _moment(at: str | None) -> str:
    if at is None:
        return now()
    try:
        return canonical_instant(at)
    except ValueError as error:
        raise UsageError(f"When? {error}.", next_step="Correct the time.") from None


def _expect_state(state: str) -> None:
    if state not in STATES:
        raise UsageError(f"There is no state '{state}'.", next_step=f"States are: {', '.join(STATES)}.")


def _pack(book: Book, serial_no: str) -> Row:
    found = Records(book, "pack").find(serial_no)
    if found is None:
        raise DataRefused(f"The book knows no pack '{serial_no}'.", next_step="See 'logbook list packs'.")
    return found[1]


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


def _current(book: Book, serial_no: str) -> tuple[int, Row] | None:
    number = book.keys.number("pack", serial_no, "serial_no")
    rows = Records(book, "installation").select(
        "serial_no = ? AND struck = 0 AND removed IS NULL", (number,), "fitted DESC", 1
    )
    return next(rows, None)


def _fitted(book: Book, serial_no: str) -> tuple[int, Row]:
    found = _current(book, serial_no)
    if found is None:
        raise DataRefused(
            f"Pack {serial_no} is not fitted.",
            next_step=f"See 'logbook list installations --pack {serial_no}'.",
        )
    return found


def _end(book: Book, n: int, row: Row, moment: str, why: str | None) -> None:
    """Ends a fitting; the reason of the fitting stays where none is given for the removal."""
    if moment <= row["fitted"]:
        raise DataRefused(
            f"Pack {row['serial_no']} was fitted at {row['fitted']}; it cannot be removed at {moment}.",
            next_step="Correct the time.",
            field="removed",
        )
    Records(book, "installation").update(n, {"removed": moment, "reason": why or row["reason"]})


def _insert(book: Book, row: Row, by: str | None) -> None:
    stamp = {"entered_by": by, "entered_at": now()}
    put(book, KINDS["installation"], read_record(Installation, row), stamp)


def _settle_state(book: Book, serial_no: str, state: str, moment: str, why: str | None) -> list[str]:
    """Follows a fitting or removal with the state; a quarantine stays until somebody ends it."""
    before = _pack(book, serial_no)["state"]
    if before == "quarantined" and state in ("fitted", "store"):
        return [f"{serial_no} stays quarantined: it may not fly until that is ended."]
    if before != state:
        _write_state(book, serial_no, state, moment, why)
    return []


def _write_state(book: Book, serial_no: str, state: str, moment: str, why: str | None) -> None:
    records = Records(book, "pack")
    found = records.find(serial_no)
    if found is not None:
        since = found[1]["state_since"]
        if state == found[1]["state"] and since:
            moment = min(since, moment)  # said once more, perhaps with another reason: it began when it began
        records.update(found[0], {"state": state, "state_since": moment, "state_reason": why})
