"""Charging: a session for several packs with one meter or one each, what was charged, and how long it will take."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from logbook.energy.meter import MeterTotal, meter_shares, meter_total, session_kwh
from logbook.errors import DataRefused
from logbook.services.add import Added, add, now
from logbook.services.charge_cases import ChargeFlags
from logbook.services.pack_costs import charge_facts
from logbook.services.pack_record import Minutes, PackRecord, read_fleet
from logbook.services.pack_totals import usable_on
from logbook.store.database import Book
from logbook.store.pack_sweep import Charged, PackSweep

Row = dict[str, Any]
OF_THE_SESSION: Final = (
    *("started", "ended", "place", "charger", "purpose", "ended_because"),
    *("shared_energy_kwh", "price", "text"),
)
"""Fields that a session's packs have in common."""
OF_A_PACK: Final = ("soc_start_pct", "soc_end_pct", "temp_start_c", "temp_end_c", "energy_kwh")
"""Fields of one pack in a session."""


def record_session(
    book: Book,
    session: Mapping[str, Any],
    packs: Sequence[Mapping[str, Any]],
    *,
    by: str | None = None,
    clock: Callable[[], str] = now,
) -> tuple[str, list[Added]]:
    """Records one charging session: a row for each pack, all of them or none.

    Args:
        book: the open book.
        session: what the packs have in common (`OF_THE_SESSION`); a meter that served them all is `shared_energy_kwh`
            and is counted once, whatever the number of packs.
        packs: for each pack `serial_no` and what was read on it (`OF_A_PACK`).
        by: who enters it.
        clock: what time it is, for tests.

    Returns: The id of the session, and what became of each row with its flags.

    Raises:
        DataRefused: no pack is named, one is named twice, or a row cannot be.
    """
    serials = [pack.get("serial_no") for pack in packs]
    if not packs or len(set(serials)) < len(serials):
        problem = "A charge needs a pack." if not packs else "A pack is named twice in this charge."
        raise DataRefused(problem, next_step="Name each pack once.", field="serial_no")
    charge_id = str(session.get("charge_id") or uuid.uuid4())
    common = {name: value for name, value in session.items() if name != "charge_id"}
    rows = [common | dict(pack) | {"charge_id": charge_id} for pack in packs]
    return charge_id, add(book, "charge", rows, by=by, clock=clock)


def sessions(
    book: Book, serials: Sequence[str] | None = None, since: str = "", limit: int | None = None
) -> list[Row]:
    """Charging sessions, newest first, each whole: with every pack that took part, its meter and its flags.

    Args:
        book: the open book.
        serials: sessions of these packs; None for all.
        since: first instant or day.
        limit: at most so many.
    """
    together = None if serials is None else PackSweep(book, serials).charged_together()
    fleet, flags = read_fleet(book, together), ChargeFlags(book, serials)
    by_id: dict[str, list[Charged]] = {}
    for record in fleet.packs.values():
        for charge in record.charges:
            by_id.setdefault(charge.charge_id, []).append(charge)
    chosen = [
        rows
        for rows in by_id.values()
        if rows[0].started >= since and (serials is None or any(row.serial_no in serials for row in rows))
    ]
    chosen.sort(key=lambda rows: (rows[0].started, rows[0].charge_id), reverse=True)
    return [_session(rows, fleet.packs, fleet.minutes, flags) for rows in chosen[:limit]]


def _session(
    rows: Sequence[Charged], records: Mapping[str, PackRecord], minutes: Minutes, flags: ChargeFlags
) -> Row:
    facts = [charge_facts(row, minutes) for row in rows]

    def usable(serial: str) -> float | None:
        found = usable_on(records[serial])(minutes.of(rows[0].started))
        return None if found is None else found.mid

    shares = meter_shares(facts, usable, lambda serial: records[serial].worths)
    first = rows[0]
    return {
        "charge_id": first.charge_id,
        "started": first.started,
        "ended": max((row.ended for row in rows if row.ended is not None), default=None),
        "place": first.place,
        "charger": first.charger,
        "purpose": first.purpose,
        "meter_kwh": session_kwh(facts),
        "packs": [
            {
                "serial_no": row.serial_no,
                **{name: getattr(row, name) for name in OF_A_PACK},
                "meter_share_kwh": share.kwh,
                "meter_share_how": share.how,
            }
            for row, share in zip(rows, shares, strict=True)
        ],
        "flags": flags.of_session(first.charge_id),
    }


def metered(
    book: Book, serials: Sequence[str] | None = None, since: str = "", until: str = "9"
) -> MeterTotal:
    """Energy at the meter over some time [kWh]: a meter shared by packs is counted once.

    Args:
        book: the open book.
        serials: sessions in which these packs took part; None for all.
        since: first instant or day.
        until: last instant.
    """
    together = None if serials is None else PackSweep(book, serials).charged_together()
    minutes, rows = Minutes(), list(PackSweep(book, together, until).charges())
    chosen = {row.charge_id for row in rows if serials is None or row.serial_no in serials}
    return meter_total(
        charge_facts(row, minutes) for row in rows if row.charge_id in chosen and row.started >= since
    )
