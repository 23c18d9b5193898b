"""The last move of a pack taken back: fitted in the wrong place, at the wrong time, or the wrong packs exchanged.

Nothing is deleted: the fitting that was wrong is struck out, the one it ended goes on, each with its earlier version. What
moved at the same moment into or out of the same place (the other pack of an exchange) goes back with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from logbook.errors import DataRefused
from logbook.services.fitting_against import moving
from logbook.services.pack_standing import Change, Row, pack_named
from logbook.store.database import Book
from logbook.store.records import Records, versions

_MOVES: Final = ("fitted", "store")
"""States that follow from a move; any other was said by somebody, and stays."""


def take_back(book: Book, serial_no: str, *, by: str | None = None, why: str | None = None) -> Change:
    """Takes the last fitting, removal or exchange of a pack back.

    Args:
        book: the open book.
        serial_no: the pack.
        by: who does it.
        why: the reason.

    Raises:
        DataRefused: it never moved, or a pack that moved with it has moved again since.
    """
    pack_named(book, serial_no)
    rows = _moved_together(book, serial_no)
    moment = max(_last_of(row) for _, row in rows)
    serials = sorted({row["serial_no"] for _, row in rows})
    with moving(book, serials, by=by, why=why or "taken back") as notes:
        installations = Records(book, "installation")
        for n, row in rows:  # makes room before others return
            if row["fitted"] == moment:
                installations.update(n, {"struck": 1})
        for n, row in rows:
            if row["removed"] == moment:
                installations.update(n, {"removed": None})
        done = [words for serial in serials for words in _settled(book, serial, moment)]
    return Change(done, notes)


def _last_of(row: Row) -> str:
    return str(row["removed"] or row["fitted"])


def _moved_together(book: Book, serial_no: str) -> list[tuple[int, Row]]:
    """The fittings that began or ended with the last move of a pack.

    Raises:
        DataRefused: there is none, or one of them does not belong to the last move of its own pack.
    """
    every = list(Records(book, "installation").select("struck = 0"))
    own = [row for _, row in every if row["serial_no"] == serial_no]
    if not own:
        raise DataRefused(
            f"Pack {serial_no} was never fitted.",
            next_step=f"See 'logbook list installations --pack {serial_no}'.",
        )
    moment = max(_last_of(row) for row in own)
    then = [(n, row) for n, row in every if moment in (row["fitted"], row["removed"])]
    serials, places = {serial_no}, set[tuple[str, str]]()
    while True:
        found = [
            (n, row)
            for n, row in then
            if row["serial_no"] in serials or (row["aircraft"], row["position"]) in places
        ]
        more = (
            {row["serial_no"] for _, row in found},
            {(row["aircraft"], row["position"]) for _, row in found},
        )
        if more == (serials, places):
            break
        serials, places = more
    _expect_last(every, found, moment)
    return found


def _expect_last(every: list[tuple[int, Row]], found: list[tuple[int, Row]], moment: str) -> None:
    for _, row in found:
        later = max(
            _last_of(other)
            for _, other in every
            if other["serial_no"] == row["serial_no"]
            or (other["aircraft"], other["position"]) == (row["aircraft"], row["position"])
        )
        if later > moment:
            raise DataRefused(
                f"{row['serial_no']}, or {row['aircraft']} {row['position']}, has moved or changed again at {later}.",
                next_step="Take that back first.",
            )


def _settled(book: Book, serial: str, moment: str) -> Iterator[str]:
    """Gives a pack the state it had before the move, where its present one came from it; says where it is now."""
    records = Records(book, "pack")
    found = records.find(serial)
    if found is None:
        return
    n, pack = found
    if pack["state"] in _MOVES and pack["state_since"] == moment:
        before = _state_before(book, pack)
        records.update(n, before)
    fitted = next(
        (
            row
            for _, row in Records(book, "installation").select(
                "serial_no = ? AND struck = 0 AND removed IS NULL", (n,)
            )
        ),
        None,
    )
    if fitted is None:
        yield f"{serial} is in no aeroplane again"
    else:
        yield f"{serial} is in {fitted['aircraft']}, {fitted['position']} again, since {fitted['fitted']}"


def _state_before(book: Book, pack: Row) -> Row:
    """The state, since when and why, as they stood before the present one was said."""
    names = ("state", "state_since", "state_reason")
    for one in reversed(versions(book, pack["record_id"])):
        was = one["was"]
        if was is not None and (was.get("state"), was.get("state_since")) != (
            pack["state"],
            pack["state_since"],
        ):
            return {name: was.get(name) for name in names}
    return dict.fromkeys(names)
