"""A mapping from a form: what was filled in reads the file; what was not is not guessed."""

import tomllib

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.exchange.mapping import read_mapping
from logbook.services.import_csv import import_csv
from logbook.services.mapping_form import columns_of, mapping_form, save_mapping
from logbook.services.questions import list_flights
from logbook.store.flights import FlightFilter
from tests.services.club import club_book

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


# -- what a spreadsheet may hold instead -------------------------------------------------------------------------------

SHEET = (
    "Day,Plane,Out,Block,Up,Air,Weight,OAT,Height,Left\n"
    "01/07/31,AB-1,10:30,1:15,10:36,0:57,1190.5,104,500,0.55\n"
    "02/07/31,AB-1,23:30,0:45,23:40,0:30,1190.5,104,500,0.6\n"
    "03/07/31,AB-1,10:00,1:75,10:06,0:57,1190.5,104,500,0.5\n"
)
FILLED = {
    "separator": "comma", "order": "day month year", "century": "2000", "zone": "Europe/Rome", "lengths": "h:mm",
    "aircraft": "Plane", "date": "Day", "off_blocks": "Out", "block_time": "Block", "takeoff": "Up", "air_time": "Air",
    "mass_kg": "Weight", "mass_unit": "lb", "outside_temp_c": "OAT", "temperature_unit": "fahrenheit",
    "climb_ft": "Height", "height_unit": "m", "whole.soc_landing_pct": "Left", "charge_unit": "fraction",
}  # fmt: skip


def _filled(path, **changes: str):
    return mapping_form(path).record(
        {name: (text, "read") for name, text in (FILLED | changes).items() if text}
    )


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "sheet.csv"
    path.write_text(SHEET)
    return path


def test_durations_units_and_one_charge_for_all_packs_are_taken_in(sheet, tmp_path) -> None:
    with club_book(tmp_path / "club.logbook") as book:
        mapping = save_mapping(sheet, _filled(sheet))
        trial = import_csv(book, sheet, mapping, dry_run=True)
        assert [(fate.line, fate.fate) for fate in trial.fates] == [(2, "new"), (3, "new"), (4, "refused")]
        assert "1:75" in trial.fates[2].why
        import_csv(book, sheet, mapping, partial=True)
        flights = {
            flight["date"]: flight
            for flight in list_flights(book, FlightFilter())
            if flight["date"].startswith("2031-07")
        }
    first = flights["2031-07-01"]
    # Rome is two hours ahead of UTC in July: 10:30 is 08:30, and 1:15 later 09:45; 10:36 + 0:57 is 11:33
    assert (first["off_blocks"], first["on_blocks"]) == ("2031-07-01T08:30Z", "2031-07-01T09:45Z")
    assert (first["takeoff"], first["landing"]) == ("2031-07-01T08:36Z", "2031-07-01T09:33Z")
    assert first["mass_kg"] == pytest.approx(540.0, abs=0.05)  # 1190.5 lb x 0.45359237
    assert first["outside_temp_c"] == pytest.approx(40)  # (104 - 32) / 1.8
    assert first["climb_ft"] == pytest.approx(1640.4, abs=0.1)  # 500 / 0.3048
    (reading,) = first["readings"]
    assert (reading["serial_no"], reading["soc_landing_pct"]) == (None, 55)
    assert flights["2031-07-02"]["on_blocks"] == "2031-07-02T22:15Z"  # past midnight in Rome


@pytest.mark.parametrize(
    ("form", "cell", "minutes"), [("h:mm", "1:15", 75), ("decimal hours", "1.25", 75), ("minutes", "75", 75)]
)
def test_each_way_to_write_a_duration(tmp_path, form: str, cell: str, minutes: int) -> None:
    path = tmp_path / "one.csv"
    path.write_text(f"Day,Plane,Out,Block\n01/07/2031,AB-1,10:00,{cell}\n")
    with club_book(tmp_path / "club.logbook") as book:
        unused = ("takeoff", "air_time", "mass_kg", "outside_temp_c", "climb_ft", "whole.soc_landing_pct")
        import_csv(
            book,
            path,
            save_mapping(path, _filled(path, lengths=form, zone="UTC", **dict.fromkeys(unused, ""))),
        )
        (flight,) = [one for one in list_flights(book, FlightFilter()) if one["date"] == "2031-07-01"]
    assert flight["derived"]["block_min"] == minutes


def test_date_and_time_in_one_cell_need_no_date_column(tmp_path) -> None:
    path = tmp_path / "one.csv"
    path.write_text("Plane,Out,In\nAB-1,01/07/2031 10:00,01/07/2031 11:00\n")
    form = mapping_form(path)
    typed = {
        "separator": "comma", "order": "day month year", "zone": "Europe/Rome", "cells": "date and time",
        "aircraft": "Plane", "off_blocks": "Out", "on_blocks": "In",
    }  # fmt: skip
    with club_book(tmp_path / "club.logbook") as book:
        import_csv(
            book,
            path,
            save_mapping(path, form.record({name: (text, "read") for name, text in typed.items()})),
        )
        (flight,) = [one for one in list_flights(book, FlightFilter()) if one["date"] == "2031-07-01"]
    assert flight["off_blocks"] == "2031-07-01T08:00Z"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"lengths": ""}, "lengths"),
        ({"takeoff": ""}, "takeoff"),
        ({"on_blocks": "Block"}, "block_time"),
        ({"date": ""}, "date"),
        ({"pack1.soc_landing_pct": "Left"}, "pack1.fitted"),
    ],
)
def test_what_another_field_needs_is_asked_for_in_its_field(
    sheet, changes: dict[str, str], field: str
) -> None:
    with pytest.raises(DataRefused) as refused:
        save_mapping(sheet, _filled(sheet, **changes))
    assert refused.value.field == field
    assert list(sheet.parent.glob("*.toml")) == []


def test_the_first_row_is_shown_beside_a_heading_and_a_zone_must_be_known(sheet) -> None:
    form = mapping_form(sheet)
    assert form.meaning("block_time", "blo").echo == "Block: first row '1:15'"
    assert form.meaning("zone", "Mars/Base").problem
    assert form.meaning("century", "20").problem
    assert form.meaning("block_time", "=1:15").problem


def test_words_of_the_file_for_kinds_and_functions_are_told_in_pairs(tmp_path) -> None:
    path = tmp_path / "words.csv"
    path.write_text("Plane,Out,In,What,As\nAB-1,2031-05-07 08:00,2031-05-07 08:30,pattern work,P1\n")
    typed = {
        "separator": "comma", "order": "year month day", "zone": "UTC", "aircraft": "plane", "cells": "date and time",
        "off_blocks": "out", "on_blocks": "in", "kind": "what", "function": "as",
        "kind_words": 'pattern work = circ, away = cross, "?" = -', "function_words": "P1 = pic",
    }  # fmt: skip
    values = mapping_form(path).record({name: (text, "read") for name, text in typed.items()})
    mapping = save_mapping(path, values)
    assert tomllib.loads(mapping.read_text())["columns"]["kind"]["words"] == {
        "pattern work": "circuits", "away": "cross-country", '"?"': "",
    }  # fmt: skip
    with club_book(tmp_path / "club.logbook") as book:
        assert import_csv(book, path, mapping).counts["flight"].new == 1
        row = next(row for row in list_flights(book, FlightFilter()) if row["date"] == "2031-05-07")
        assert (row["kind"], row["function"]) == ("circuits", "pic")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("pattern", "no pair"),
        ("= circuits", "no pair"),
        ("a = circuits,", "no pair"),
        ("a = circuits, a = local", "told twice"),
        ("a = c", "which: circuits, cross-country, check"),
        ("a = aerobatics", "one of 1 circuits"),
    ],
)
def test_words_that_mean_nothing_are_said(source, text, said) -> None:
    assert said in mapping_form(source).readers["kind_words"](text).problem


def test_words_without_their_column_are_not_dropped(source) -> None:
    values = {"separator": "semicolon", "order": "day month year", "aircraft": "Plane", "date": "Day"}
    with pytest.raises(DataRefused, match="a column that is not"):
        save_mapping(source, values | {"kind_words": {"a": "local"}})
