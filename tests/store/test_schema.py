"""The tables hold exactly what the records have: no field can be typed in and lost."""

from __future__ import annotations

import pytest

from logbook.domain.flight import Crew, Phase, Reading
from logbook.services.kinds import KINDS
from logbook.store.catalogue import PARTS, TABLES
from logbook.store.integrity import fresh_schema, schema_of
from logbook.store.records import Records

PART_MODELS = {"reading": Reading, "crew": Crew, "phase": Phase}
NESTED = {"readings", "crew", "phases"}


def fields(model):
    return {field.alias or name for name, field in model.model_fields.items()}


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_field_of_a_record_has_its_column_and_no_column_is_more(book, kind):
    table = TABLES[kind.table]
    columns = {table.file_id if name == "id" else name for name in Records(book, kind.table).columns} - {"n"}
    wanted = fields(kind.load())
    assert columns == wanted - (NESTED if kind.name == "flight" else set())


@pytest.mark.parametrize("part", PARTS)
def test_every_field_of_a_part_of_a_flight_has_its_column(book, part):
    assert set(Records(book, part).columns) - {"n", "flight"} == fields(PART_MODELS[part])


def test_every_kind_has_a_table_and_every_table_a_kind():
    assert {kind.table for kind in KINDS.values()} | set(PARTS) == set(TABLES)


def test_every_reference_points_to_a_table_that_people_name(book):
    for table in TABLES.values():
        declared = {
            row[3]: row[2]
            for row in book.connection.execute(f'PRAGMA foreign_key_list("{table.name}")').fetchall()
        }
        declared.pop("flight", None)
        assert declared == dict(table.refs), table.name


def test_every_table_is_strict(book):
    loose = book.connection.execute(
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0 "
        "AND name NOT LIKE 'sqlite_%' AND name <> '_sqlite_migrations'"  # that one is the library's own
    ).fetchall()
    assert loose == []


def test_a_new_book_has_the_schema_the_check_expects(book):
    found, expected = schema_of(book.connection), fresh_schema()
    assert {name: found[name] for name in expected} == expected


def test_every_table_of_records_has_its_history_and_its_guards(book):
    triggers = {name for name, sql in schema_of(book.connection).items() if "CREATE TRIGGER" in sql}
    for table in TABLES:
        assert {f"{table}_version", f"{table}_keep", f"{table}_same", f"{table}_new"} <= triggers
