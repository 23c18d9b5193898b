"""The triggers that guard the records: made from the tables, so that no column can be forgotten.

- An update writes the row as it was into `version`; outside tools cannot avoid that.
- A delete is refused; so is an insert over an existing row, since `INSERT OR REPLACE` deletes without a trigger.
- An id never changes.
- Two packs in one position, or one pack in two places, are refused.
- What a change makes stale (flags and figures of flights nearby) is noted.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Final

from logbook.store.catalogue import PARTS, TABLES
from logbook.store.person_triggers import person_triggers
from logbook.store.total_triggers import total_triggers


def trigger_statements(connection: sqlite3.Connection) -> Iterator[str]:
    """All triggers of the book, as SQL statements, for tables that exist already."""
    for table in TABLES.values():
        columns = [row[1] for row in connection.execute(f'PRAGMA table_info("{table.name}")')]
        yield _version(table.name, columns)
        yield from _guards(table.name, table.key, part=bool(table.parent))
    for part in PARTS:
        yield _part_added(part)
    yield from _kept_history()
    yield from _no_overlap()
    yield from _pack_events()
    yield from _staleness()
    yield from total_triggers()
    yield from person_triggers()


def _quoted(columns: list[str]) -> list[str]:
    return [f'"{column}"' for column in columns]


def _record_id(table: str, row: str) -> str:
    """The id a version is filed under: parts are filed under their flight."""
    return f"(SELECT id FROM flight WHERE n = {row}.flight)" if table in PARTS else f"{row}.id"


def _version(table: str, columns: list[str]) -> str:
    changed = " OR ".join(f"OLD.{column} IS NOT NEW.{column}" for column in _quoted(columns))
    pairs = ", ".join(f"'{column}', OLD.\"{column}\"" for column in columns if column != "n")
    return f"""
    CREATE TRIGGER {table}_version AFTER UPDATE ON {table} WHEN {changed} BEGIN
        INSERT INTO version (record, record_id, was, at, by_whom, why)
        SELECT '{table}', {_record_id(table, "OLD")}, json_object({pairs}),
            strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), by_whom, why FROM change_note;
    END"""


def _kept_history() -> Iterator[str]:
    """The history itself is only ever added to."""
    for event in ("DELETE", "UPDATE"):
        yield f"""
        CREATE TRIGGER version_{event.lower()} BEFORE {event} ON version BEGIN
            SELECT RAISE(ABORT, 'history is never changed');
        END"""
    yield """
    CREATE TRIGGER version_new BEFORE INSERT ON version WHEN EXISTS (SELECT 1 FROM version WHERE seq = NEW.seq) BEGIN
        SELECT RAISE(ABORT, 'history is never changed');
    END"""


def _part_added(part: str) -> str:
    return f"""
    CREATE TRIGGER {part}_added AFTER INSERT ON {part} WHEN (SELECT adding FROM change_note) = 0 BEGIN
        INSERT INTO version (record, record_id, was, at, by_whom, why)
        SELECT '{part}', {_record_id(part, "NEW")}, NULL,
            strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), by_whom, why FROM change_note;
    END"""


def _guards(table: str, key: str, *, part: bool) -> Iterator[str]:
    yield f"""
    CREATE TRIGGER {table}_keep BEFORE DELETE ON {table} BEGIN
        SELECT RAISE(ABORT, 'a {table} is never deleted: strike it out');
    END"""
    fixed = ["n", "flight"] if part else ["n", "id"]
    moved = " OR ".join(f"OLD.{column} IS NOT NEW.{column}" for column in fixed)
    yield f"""
    CREATE TRIGGER {table}_same BEFORE UPDATE ON {table} WHEN {moved} BEGIN
        SELECT RAISE(ABORT, 'the id of a {table} never changes');
    END"""
    checks = ["EXISTS (SELECT 1 FROM {t} WHERE n = NEW.n)"]
    if table == "reading":
        checks.append(
            "EXISTS (SELECT 1 FROM {t} WHERE flight = NEW.flight AND coalesce(serial_no, 0) = coalesce(NEW.serial_no, 0))"
        )
    elif table == "crew":
        checks.append("EXISTS (SELECT 1 FROM {t} WHERE flight = NEW.flight AND person = NEW.person)")
    elif table == "phase":
        checks.append("EXISTS (SELECT 1 FROM {t} WHERE flight = NEW.flight AND sequence = NEW.sequence)")
    elif table == "charge":
        checks.append("EXISTS (SELECT 1 FROM {t} WHERE id = NEW.id AND serial_no = NEW.serial_no)")
    else:
        checks.append("EXISTS (SELECT 1 FROM {t} WHERE id = NEW.id)")
    if key:
        checks.append(f"EXISTS (SELECT 1 FROM {{t}} WHERE {key} = NEW.{key})")
    if table == "flight":
        checks.append(
            "NEW.off_blocks IS NOT NULL AND NEW.struck = 0 AND EXISTS (SELECT 1 FROM {t} "
            "WHERE aircraft = NEW.aircraft AND off_blocks = NEW.off_blocks AND struck = 0)"
        )
    taken = " OR ".join(check.format(t=table) for check in checks)
    yield f"""
    CREATE TRIGGER {table}_new BEFORE INSERT ON {table} WHEN {taken} BEGIN
        SELECT RAISE(ABORT, 'this {table} is in the book already');
    END"""


def _no_overlap() -> Iterator[str]:
    """Half-open intervals: a pack removed at noon may be fitted elsewhere at noon."""
    other = "o.n IS NOT NEW.n AND o.struck = 0 AND o.fitted < coalesce(NEW.removed, '9') AND NEW.fitted < coalesce(o.removed, '9')"
    for event in ("INSERT", "UPDATE"):
        yield f"""
        CREATE TRIGGER installation_alone_{event.lower()} BEFORE {event} ON installation WHEN NEW.struck = 0 BEGIN
            SELECT RAISE(ABORT, 'the pack is fitted elsewhere then')
            WHERE EXISTS (SELECT 1 FROM installation o WHERE o.serial_no = NEW.serial_no AND {other});
            SELECT RAISE(ABORT, 'the position is taken then')
            WHERE EXISTS (SELECT 1 FROM installation o
                WHERE o.aircraft = NEW.aircraft AND o.position = NEW.position AND {other});
        END"""


def _pack_events() -> Iterator[str]:
    flight_event = """INSERT OR IGNORE INTO pack_event (pack, at, what, n)
            SELECT r.serial_no, f.off_blocks, 'flight', f.n FROM reading r JOIN flight f ON f.n = r.flight
            WHERE {where} AND r.serial_no IS NOT NULL AND f.off_blocks IS NOT NULL AND f.struck = 0;"""
    charge_event = """INSERT OR IGNORE INTO pack_event (pack, at, what, n)
            SELECT NEW.serial_no, NEW.started, 'charge', NEW.n WHERE NEW.struck = 0;"""
    yield f"CREATE TRIGGER reading_event AFTER INSERT ON reading BEGIN {flight_event.format(where='r.n = NEW.n')} END"
    yield f"""CREATE TRIGGER reading_moved AFTER UPDATE OF serial_no ON reading BEGIN
            DELETE FROM pack_event WHERE what = 'flight' AND n = NEW.flight;
            {flight_event.format(where="r.flight = NEW.flight")} END"""
    yield f"""CREATE TRIGGER flight_moved AFTER UPDATE OF off_blocks, struck ON flight BEGIN
            DELETE FROM pack_event WHERE what = 'flight' AND n = NEW.n;
            {flight_event.format(where="r.flight = NEW.n")} END"""
    yield f"CREATE TRIGGER charge_event AFTER INSERT ON charge BEGIN {charge_event} END"
    yield f"""CREATE TRIGGER charge_moved AFTER UPDATE ON charge BEGIN
            DELETE FROM pack_event WHERE what = 'charge' AND n = NEW.n; {charge_event} END"""


def _beside(pack: str, at: str) -> str:
    """Notes as stale the flights before and after a moment in the life of a pack; all of those of one minute."""
    flights = f"FROM pack_event WHERE pack = {pack} AND what = 'flight'"
    return f"""INSERT OR IGNORE INTO stale SELECT n {flights}
                AND at = (SELECT at {flights} AND at < {at} ORDER BY at DESC LIMIT 1);
            INSERT OR IGNORE INTO stale SELECT n {flights}
                AND at IN (SELECT DISTINCT at {flights} AND at >= {at} ORDER BY at LIMIT 2);"""


def _staleness() -> Iterator[str]:
    """What a change makes stale; a row that moves concerns both where it was and where it is."""
    for event, row in (("INSERT", "NEW"), ("DELETE", "OLD")):
        yield f"CREATE TRIGGER pack_event_{event.lower()} AFTER {event} ON pack_event BEGIN {_beside(f'{row}.pack', f'{row}.at')} END"
    yield from _stale_by_flight()
    yield from _stale_by_fitting()
    for event, rows in (("INSERT", ("NEW",)), ("UPDATE", ("OLD", "NEW"))):
        yield from _stale_by_upkeep(event, rows)
    yield from _stale_by_figures()


_JUDGED_BY: Final = """soh_zero_fraction, soh_full_fraction, unusable_soc_pct, energy_by_decile, takeoff_min_temp_c,
            takeoff_max_temp_c, temp_caution_c, temp_limit_c"""
"""Figures of aeroplanes, packs and pack types that flights are judged by."""


_BY_ONE_GAUGE: Final = """INSERT OR IGNORE INTO stale SELECT f.n FROM installation i
                JOIN flight f ON f.aircraft = i.aircraft AND f.off_blocks >= i.fitted
                    AND f.off_blocks < coalesce(i.removed, '9')
                JOIN reading r ON r.flight = f.n AND r.serial_no IS NULL
                WHERE i.serial_no {packs} AND i.struck = 0;"""
"""Flights of which one figure for the whole aeroplane was read while one of these packs was fitted."""


def _stale_by_figures() -> Iterator[str]:
    """Another price or a note makes no flight stale; another limit makes all of them."""
    reserves = ", ".join(
        f"final_reserve_{unit}_{case}" for unit in ("min", "kw") for case in ("local", "day", "night")
    )
    yield f"""CREATE TRIGGER aircraft_stale AFTER UPDATE OF registration, positions, reserve_soc_pct, minimum_departure_soc_pct,
            {reserves}, cruise_power_kw, handbook_level_kwh_per_min, {_JUDGED_BY} ON aircraft BEGIN
            INSERT OR IGNORE INTO stale SELECT n FROM flight WHERE aircraft = NEW.n; END"""
    yield f"""CREATE TRIGGER pack_stale AFTER UPDATE OF serial_no, part_no, nominal_kwh, {_JUDGED_BY} ON pack BEGIN
            INSERT OR IGNORE INTO stale SELECT flight FROM reading WHERE serial_no = NEW.n;
            INSERT OR IGNORE INTO stale SELECT flight FROM flight_flag WHERE pack = NEW.n;
            {_BY_ONE_GAUGE.format(packs="= NEW.n")} END"""
    yield """CREATE TRIGGER pack_state_stale AFTER UPDATE OF state, state_since ON pack BEGIN
            INSERT OR IGNORE INTO stale SELECT n FROM pack_event WHERE pack = NEW.n AND what = 'flight'
                AND at >= min(coalesce(OLD.state_since, ''), coalesce(NEW.state_since, '')); END"""


def _stale_by_flight() -> Iterator[str]:
    near = """INSERT OR IGNORE INTO stale VALUES (NEW.n);
            INSERT OR IGNORE INTO stale SELECT n FROM (SELECT n FROM flight WHERE aircraft = NEW.aircraft
                AND off_blocks < NEW.off_blocks AND struck = 0 ORDER BY off_blocks DESC LIMIT 1);
            INSERT OR IGNORE INTO stale SELECT n FROM (SELECT n FROM flight WHERE aircraft = NEW.aircraft
                AND off_blocks > NEW.off_blocks AND struck = 0 ORDER BY off_blocks LIMIT 1);"""
    next_of_packs = """INSERT OR IGNORE INTO stale SELECT e.n FROM reading r
                JOIN pack_event e ON e.pack = r.serial_no AND e.what = 'flight' WHERE r.flight = NEW.n
                AND e.at = (SELECT x.at FROM pack_event x WHERE x.pack = r.serial_no AND x.what = 'flight'
                    AND x.at > NEW.off_blocks ORDER BY x.at LIMIT 1);"""
    yield f"CREATE TRIGGER flight_stale_new AFTER INSERT ON flight BEGIN {near} END"
    yield f"""CREATE TRIGGER flight_stale AFTER UPDATE ON flight BEGIN
            {near} {near.replace("NEW", "OLD")} {next_of_packs} END"""
    for event in ("INSERT", "UPDATE"):
        yield f"""CREATE TRIGGER reading_stale_{event.lower()} AFTER {event} ON reading BEGIN
            INSERT OR IGNORE INTO stale VALUES (NEW.flight);
            {_beside("NEW.serial_no", "(SELECT off_blocks FROM flight WHERE n = NEW.flight)")} END"""
        yield f"""CREATE TRIGGER crew_stale_{event.lower()} AFTER {event} ON crew BEGIN
            INSERT OR IGNORE INTO stale VALUES (NEW.flight); END"""


def _stale_by_fitting() -> Iterator[str]:
    """Flights during which a pack was fitted before the change and is not after it, or the other way round."""
    during = """(aircraft = {row}.aircraft AND {row}.struck = 0 AND off_blocks >= {row}.fitted
                AND off_blocks < coalesce({row}.removed, '9'))"""
    was, now = during.format(row="OLD"), during.format(row="NEW")
    yield f"""CREATE TRIGGER installation_stale_insert AFTER INSERT ON installation BEGIN
            INSERT OR IGNORE INTO stale SELECT n FROM flight WHERE struck = 0 AND {now}; END"""
    yield f"""CREATE TRIGGER installation_stale_update AFTER UPDATE ON installation BEGIN
            INSERT OR IGNORE INTO stale SELECT n FROM flight WHERE struck = 0
                AND aircraft IN (OLD.aircraft, NEW.aircraft) AND off_blocks >= min(OLD.fitted, NEW.fitted)
                AND ({was} <> {now} OR (OLD.serial_no <> NEW.serial_no AND ({was} OR {now}))); END"""


def _stale_by_upkeep(event: str, rows: tuple[str, ...]) -> Iterator[str]:
    statements = {
        "answer": "INSERT OR IGNORE INTO stale SELECT n FROM flight WHERE id = {row}.flight_id;",
        "recording": "INSERT OR IGNORE INTO stale SELECT n FROM flight WHERE id = {row}.flight_id;",
        "observation": _beside("{row}.serial_no", "{row}.at"),
        "defect": """INSERT OR IGNORE INTO stale SELECT n FROM pack_event WHERE pack = {row}.serial_no
                AND what = 'flight' AND at >= {row}.found AND {row}.needs_inspection = 1;""",
        "maintenance": """INSERT OR IGNORE INTO stale SELECT e.n FROM defect d JOIN pack_event e ON e.pack = d.serial_no
                AND e.what = 'flight' AND e.at >= d.found
                WHERE (d.id = {row}.closes_defect OR d.closed_by_entry = {row}.id) AND d.needs_inspection = 1;""",
        "pack_type": """INSERT OR IGNORE INTO stale SELECT r.flight FROM pack p JOIN reading r ON r.serial_no = p.n
                WHERE p.part_no = {row}.part_no;
            """
        + _BY_ONE_GAUGE.format(packs="IN (SELECT n FROM pack WHERE part_no = {row}.part_no)"),
    }
    for table, statement in statements.items():
        body = " ".join(statement.format(row=row) for row in rows)
        yield f"CREATE TRIGGER {table}_stale_{event.lower()} AFTER {event} ON {table} BEGIN {body} END"
