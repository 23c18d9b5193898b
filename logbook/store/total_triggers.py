"""Triggers that note which kept totals of packs no longer hold (`pack_stale`), whoever writes to the book.

What a pack has accrued rests on its flights and charges, its observations and fittings, the flights of the aeroplane it was
fitted to at that time, and the figures of pack, type and aeroplane; each of them has its trigger here. Beside the pack stands
the earliest moment a change concerns: of what was there before it, sums still hold (`pack_sums`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

_BOTH: Final = (("INSERT", ("NEW",)), ("UPDATE", ("OLD", "NEW")))
_OF_A_FLIGHT: Final = """aircraft, state, outcome, off_blocks, takeoff, landing, on_blocks, meter_start, meter_end, landings_day,
            landings_night, struck"""

_OF_AN_AIRCRAFT: Final = """time_in_service_from, soh_zero_fraction, soh_full_fraction, unusable_soc_pct, energy_by_decile,
            temp_caution_c, temp_limit_c, charge_min_temp_c, charge_max_temp_c, takeoff_min_temp_c, takeoff_max_temp_c"""
"""Which clock counts, and the figures that stand where a pack and its type are silent: any pack may have lived there."""


_ANY_MOMENT: Final = "''"


def total_triggers() -> Iterator[str]:
    """The triggers, as SQL statements; each notes a pack only where totals of it are kept."""
    for event, row in (("INSERT", "NEW"), ("DELETE", "OLD")):
        body = _noted(f"= {row}.pack", f"{row}.at")
        yield _trigger(f"pack_event_total_{event.lower()}", f"{event} ON pack_event", body)
    then = "(SELECT coalesce(off_blocks, '') FROM flight WHERE n = NEW.flight)"
    yield _trigger("reading_total", "UPDATE ON reading", _noted("IN (OLD.serial_no, NEW.serial_no)", then))
    for event, rows in _BOTH:
        of = f" OF {_OF_A_FLIGHT}" if event == "UPDATE" else ""
        body = " ".join(_noted(_fitted_then(row), f"coalesce({row}.off_blocks, '')") for row in rows)
        yield _trigger(f"flight_total_{event.lower()}", f"{event}{of} ON flight", body)
        for table, moment in (("observation", "{row}.at"), ("installation", _ANY_MOMENT)):
            body = " ".join(_noted(f"= {row}.serial_no", moment.format(row=row)) for row in rows)
            yield _trigger(f"{table}_total_{event.lower()}", f"{event} ON {table}", body)
        body = " ".join(_noted(f"IN (SELECT n FROM pack WHERE part_no = {row}.part_no)") for row in rows)
        yield _trigger(f"pack_type_total_{event.lower()}", f"{event} ON pack_type", body)
    yield _trigger("pack_total_changed", "UPDATE ON pack", _noted("= NEW.n"))
    yield _trigger("aircraft_total", f"UPDATE OF {_OF_AN_AIRCRAFT} ON aircraft", _noted("IS NOT NULL"))


def _trigger(name: str, when: str, body: str) -> str:
    return f"CREATE TRIGGER {name} AFTER {when} BEGIN {body} END"


def _noted(packs: str, since: str = _ANY_MOMENT) -> str:
    return f"""INSERT INTO pack_stale SELECT pack, {since} FROM pack_total WHERE pack {packs}
            ON CONFLICT (pack) DO UPDATE SET since = min(since, excluded.since);"""


def _fitted_then(row: str) -> str:
    """Packs that were fitted to the aeroplane of a flight at its off blocks, and those that were read on it."""
    return f"""IN (SELECT serial_no FROM installation WHERE aircraft = {row}.aircraft AND fitted <= {row}.off_blocks
                AND coalesce(removed, '9') > {row}.off_blocks
            UNION ALL SELECT serial_no FROM reading WHERE flight = {row}.n)"""
