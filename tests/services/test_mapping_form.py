"""A mapping from a form: what was filled in reads the file; what was not is not guessed."""

import tomllib

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.exchange.mapping import read_mapping
from logbook.services.mapping_form import columns_of, mapping_form, save_mapping

HEAD = 'Day;Plane;Out;In;"Who; and how";Front %;Rear %\n'


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "old.csv"
    path.write_text(HEAD)
    return path


def test_the_headings_are_read_whatever_separates_them(source) -> None:
    assert columns_of(source) == ["Day", "Plane", "Out", "In", "Who; and how", "Front %", "Rear %"]


def test_what_the_first_line_shows_is_offered_and_not_taken(source) -> None:
    form = mapping_form(source)
    fields = {field.name: field for field in form.fields}
    assert fields["separator"].expected == "semicolon"
    with pytest.raises(DataRefused, match="Separator is needed"):
        form.record({})


def test_the_mapping_written_is_one_that_can_be_read_and_says_what_was_typed(source) -> None:
    form = mapping_form(source)
    typed = {
        "separator": "semicolon", "order": "day month year", "zone": "Europe/Rome", "aircraft": '="X" \\ Y', "date": "day",
        "off_blocks": "out", "on_blocks": "in", "pilot": "who", "pack1.fitted": "front",
        "pack1.soc_departure_pct": "front", "pack2.fitted": "rear", "pack2.soc_departure_pct": "rear",
    }  # fmt: skip
    values = form.record({name: (text, "read") for name, text in typed.items()})
    target = save_mapping(source, values)
    mapping = read_mapping(target)
    assert (mapping.separator, mapping.order, mapping.zone) == (";", "dmy", "Europe/Rome")
    assert mapping.columns["aircraft"].value == '"X" \\ Y'
    assert mapping.columns["on_blocks"].after == "off_blocks"
    assert mapping.columns["pilot"].columns == ("Who; and how",)
    assert [group["serial_no"].fitted for group in mapping.groups] == ["front", "rear"]
    assert tomllib.loads(target.read_text())["kind"] == "flight"


def test_an_earlier_mapping_is_left_alone_and_one_that_cannot_be_is_not_written(source) -> None:
    values = {"separator": "semicolon", "order": "day month year", "aircraft": "Plane", "date": "Day"}
    first, second = save_mapping(source, values), save_mapping(source, values)
    assert first != second
    with pytest.raises(UsageError, match="times of day need"):
        save_mapping(source, values | {"off_blocks": "Out"})
    assert len(list(source.parent.glob("*.toml"))) == 2


def test_a_file_without_headings_is_refused(tmp_path) -> None:
    path = tmp_path / "x.csv"
    path.write_text("nothing")
    with pytest.raises(DataRefused, match="no headings"):
        columns_of(path)
