"""What state a pack is in: said by somebody, or following from a fitting or removal; since when and why."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, NamedTuple

from logbook.domain.pack_states import STATES, known_state
from logbook.errors import DataRefused, UsageError
from logbook.services.add import now
from logbook.services.refresh import refresh
from logbook.services.typed_time import still_to_come
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import canonical_instant, shown_instant

Row = dict[str, Any]
Clock = Callable[[], str]
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


def set_state(
    book: Book,
    serial_no: str,
    state: str,
    *,
    why: str,
    by: str | None = None,
    at: str | None = None,
    clock: Clock = now,
) -> Change:
    """Says what state a pack is in, since when and why; the earlier state stays in its versions.

    Args:
        book: the open book.
        serial_no: the pack.
        state: one of `STATES`; store, away, transport and scrapped end the fitting of a fitted pack.
        why: the reason; for a release, the entry that allows it.
        by: who says so.
        at: since when (UTC); absent: now.
        clock: what time it is.

    Raises:
        UsageError: there is no such state, or no reason is given.
        DataRefused: it is said to be fitted and is in no aeroplane, or a quarantine would end before it began or in a time
            to come.
    """
    state = known_state(state)
    expect_state(state)
    if not why.strip():
        raise UsageError("A change of state needs a reason.", next_step="Say why with --why.")
    moment = moment_of(at, clock)
    pack = pack_named(book, serial_no)
    if pack["state"] == "quarantined" and state in ("fitted", "store"):
        if not by:
            raise UsageError(
                f"Pack {serial_no} is quarantined: who releases it?",
                next_step="Name who says so (--by, or b on the screens), or release it by a maintenance entry.",
            )
        expect_past(moment, clock, "no quarantine ends by what is not done yet", "at")
        expect_after(pack, moment, "at")
    with book.writing(by=by, why=why):
        done = state_inside(book, serial_no, state, moment, why)
        refresh(book)
    return Change(done, time_notes(moment, clock))


def expect_past(moment: str, clock: Clock, because: str, field: str) -> None:
    """Raises DataRefused where a moment (UTC) is still to come.

    Args:
        moment: when something is said to have been done.
        clock: what time it is.
        because: why that cannot be, as the end of a sentence.
        field: the field that names the moment.
    """
    if still_to_come(moment, clock()):
        raise DataRefused(
            f"{shown_instant(moment)} is still to come: {because}.",
            next_step=f"Correct the time, or the clock of this computer: it says {shown_instant(clock())}.",
            field=field,
        )


def expect_after(pack: Row, moment: str, field: str) -> None:
    """Raises DataRefused where what ends the quarantine of a pack was before it began."""
    if pack["state_since"] and moment < pack["state_since"]:
        raise DataRefused(
            f"Pack {pack['serial_no']} is quarantined since {shown_instant(pack['state_since'])}; what was done at {shown_instant(moment)}, before that, cannot end it.",
            next_step="Correct the time; if it never was in quarantine, correct the record of the pack.",
            field=field,
        )


def time_notes(moment: str, clock: Clock) -> list[str]:
    """What is to be said of the moment of a change: that it is still to come."""
    if not still_to_come(moment, clock()):
        return []
    return [
        f"{shown_instant(moment)} is still to come: it is {shown_instant(clock())} by this computer. Is the date right?"
    ]


def state_inside(book: Book, serial_no: str, state: str, moment: str, why: str) -> list[str]:
    """Sets a state inside an open transaction. Returns what was done.

    Raises:
        DataRefused: it is said to be fitted and is in no aeroplane.
    """
    before = pack_named(book, serial_no)
    found = current_fitting(book, serial_no)
    if state == "fitted" and found is None:
        raise DataRefused(
            f"Pack {serial_no} is in no aeroplane.", next_step="Use 'logbook fit' and say where it is."
        )
    done = []
    if found is not None and state in NOT_FITTED:
        end_fitting(book, *found, moment, why)
        done.append(f"{serial_no} removed from {found[1]['aircraft']}, {found[1]['position']}, {moment}")
    _write_state(book, serial_no, state, moment, why)
    done.append(f"{serial_no}: {before['state'] or 'no state set'} -> {state}, {moment}")
    return done


def released_state(book: Book, serial_no: str) -> str:
    """What a pack is once its quarantine ends: fitted where it is in an aeroplane, else in store."""
    return "store" if current_fitting(book, serial_no) is None else "fitted"


def settle_state(book: Book, serial_no: str, state: str, moment: str, why: str | None) -> list[str]:
    """Follows a fitting or removal with the state; a quarantine stays until somebody ends it."""
    before = pack_named(book, serial_no)["state"]
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


def current_fitting(book: Book, serial_no: str) -> tuple[int, Row] | None:
    """The number and the row of the fitting a pack is in; None where it is in no aeroplane."""
    number = book.keys.number("pack", serial_no, "serial_no")
    rows = Records(book, "installation").select(
        "serial_no = ? AND struck = 0 AND removed IS NULL", (number,), "fitted DESC", 1
    )
    return next(rows, None)


def end_fitting(book: Book, n: int, row: Row, moment: str, why: str | None) -> None:
    """Ends a fitting; the reason of the fitting stays where none is given for the removal."""
    if moment <= row["fitted"]:
        raise DataRefused(
            f"Pack {row['serial_no']} was fitted at {shown_instant(row['fitted'])}; it cannot be removed at {shown_instant(moment)}.",
            next_step="Correct the time.",
            field="removed",
        )
    Records(book, "installation").update(n, {"removed": moment, "reason": why or row["reason"]})


def moment_of(at: str | None, clock: Clock) -> str:
    """A moment (UTC) in stored form; absent: now. Raises UsageError where it is none."""
    if at is None:
        return clock()
    try:
        return canonical_instant(at)
    except ValueError as error:
        raise UsageError(f"When? {error}.", next_step="Correct the time.") from None


def expect_state(state: str) -> None:
    """Raises UsageError where there is no such state."""
    if state not in STATES:
        raise UsageError(f"There is no state '{state}'.", next_step=f"States are: {', '.join(STATES)}.")


def pack_named(book: Book, serial_no: str) -> Row:
    """The pack of a serial number. Raises DataRefused where the book knows none."""
    found = Records(book, "pack").find(serial_no)
    if found is None:
        raise DataRefused(f"The book knows no pack '{serial_no}'.", next_step="See 'logbook list packs'.")
    return found[1]
