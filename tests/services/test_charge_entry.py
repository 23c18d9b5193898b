"""A charge is one session for the packs that took part, with one meter or one each; expected values store nothing."""

from pathlib import Path

import pytest

from logbook.errors import ChangedMeanwhile, DataRefused
from logbook.services.charge_entry import as_before, asked_of
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.unfinished import entry_of
from tests.services.club import club_book

NOW = "2031-05-08T11:30Z"
ONE_METER = {
    "started": ("1130", "read"),
    "ended": ("+95", "read"),
    "shared_energy_kwh": ("9,4", "read"),
    "P-101.soc_start_pct": ("55", "confirmed"),
    "P-101.soc_end_pct": ("97", "read"),
    "P-102.soc_start_pct": ("53", "confirmed"),
    "P-102.soc_end_pct": ("96", "read"),
}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    desk = Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    desk.strike("charge", "c1", "the tests enter it themselves")
    yield desk
    book.close()


def saved(desk: Desk, values, subject: str = "AB-1") -> dict:
    entry = desk.charging.begin(subject)
    desk.charging.save(desk.charging.form(entry), values, entry)
    return desk.show("charge", entry.flight_id)


def test_what_can_be_charged_are_aeroplanes_with_packs_and_packs_in_store(desk: Desk) -> None:
    assert desk.charging.subjects() == [("AB-1", "AB-1"), ("P-103", "pack P-103")]


def test_the_landing_charge_is_expected_and_not_stored(desk: Desk) -> None:
    form = desk.charging.form(desk.charging.begin("AB-1"))
    expected = {field.name: field.expected for field in form.fields if field.expected}
    assert (expected["P-101.soc_start_pct"], expected["P-102.soc_start_pct"]) == ("55", "53")
    shown = saved(desk, {"started": ("1130", "read"), "P-101.soc_end_pct": ("97", "read")})
    assert [row["soc_start_pct"] for row in shown["packs"]] == [None]


def test_one_meter_is_counted_once_for_both_packs(desk: Desk) -> None:
    shown = saved(desk, ONE_METER)
    assert [(row["serial_no"], row["shared_energy_kwh"], row["energy_kwh"]) for row in shown["packs"]] == [
        ("P-101", 9.4, None), ("P-102", 9.4, None),
    ]  # fmt: skip
    (session,) = [row for row in desk.charging.sessions() if row["charge_id"] != "c1"]
    assert session["meter_kwh"] == 9.4


def test_packs_may_have_a_meter_each(desk: Desk) -> None:
    values = {name: value for name, value in ONE_METER.items() if name != "shared_energy_kwh"}
    values |= {"P-101.energy_kwh": ("4.6", "read"), "P-102.energy_kwh": ("4,8 kWh", "read")}
    assert [row["energy_kwh"] for row in saved(desk, values)["packs"]] == [4.6, 4.8]


def test_a_pack_of_which_nothing_is_typed_took_no_part(desk: Desk) -> None:
    values = {name: value for name, value in ONE_METER.items() if not name.startswith("P-102")}
    assert [row["serial_no"] for row in saved(desk, values)["packs"]] == ["P-101"]


def test_a_pack_in_store_is_charged_by_its_serial_number(desk: Desk) -> None:
    values = {"started": ("1130", "read"), "P-103.soc_end_pct": ("60", "read")}
    assert [row["serial_no"] for row in saved(desk, values, "P-103")["packs"]] == ["P-103"]


def test_the_end_of_a_running_charge_takes_back_what_was_emptied(desk: Desk) -> None:
    begun = saved(
        desk, {"started": ("1130", "read"), "P-101.soc_start_pct": ("5", "read"), "price": ("3", "read")}
    )
    assert [row["packs"] for row in desk.charging.running()] == [["P-101"]]
    entry = desk.charging.go_on_with(begun["charge_id"])
    values = entry.values | {
        "ended": ("1230", "read"),
        "price": ("", "empty"),
        "P-101.soc_start_pct": ("55", "read"),
    }
    desk.charging.save(desk.charging.form(entry), values, entry)
    (row,) = desk.show("charge", begun["charge_id"])["packs"]
    assert (row["ended"], row["price"], row["soc_start_pct"]) == ("2031-05-08T12:30Z", None, 55)
    assert desk.charging.running() == []


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"P-101.soc_end_pct": ("97", "read")}, "started"),
        ({"started": ("1130", "read")}, "P-101.soc_start_pct"),
        ({"started": ("1130", "read"), "ended": ("1100", "read")}, "ended"),
        ({"started": ("1130", "read"), "purpose": ("x", "read")}, "purpose"),
    ],
)
def test_what_cannot_be_is_refused_in_its_field(desk: Desk, values, field: str) -> None:
    with pytest.raises(DataRefused) as refused:
        saved(desk, values)
    assert refused.value.field == field


def test_as_before_takes_charger_and_place_and_no_reading(desk: Desk) -> None:
    desk.correct("charge", "c1", {"struck": 0}, why="needed after all")
    form = desk.charging.form(desk.charging.begin("AB-1"))
    assert as_before(form, {}) == {"charger": ("Wall", "confirmed"), "place": ("Lakeside", "confirmed")}


def test_the_charger_is_asked_about_what_was_typed(desk: Desk) -> None:
    form = desk.charging.form(desk.charging.begin("AB-1"))
    values = ONE_METER | {
        "ended": ("", "empty"),
        "P-101.temp_start_c": ("31", "read"),
        "charger": ("Wall", "read"),
    }
    serial, position, asked = asked_of(form, values)[0]
    assert (serial, position) == ("P-101", "front")
    assert (asked.at, asked.soc_pct, asked.temp_c, asked.charger) == ("2031-05-08T11:30Z", 55, 31, "Wall")
    assert asked.wanted == (97,)


def test_answers_that_hold_for_all_packs_are_said_once(desk: Desk) -> None:
    lines = desk.charging.answers([("P-101", "front", None), ("P-102", "rear", None)])
    assert sum("Charge now?" in line for line in lines) in (1, 2)
    assert len(lines) == len(set(lines))


# -- somebody else changed it meanwhile ------------------------------------------------------------------------------


def begun(desk: Desk):
    """A charge of both packs, open for correction."""
    charge_id = saved(desk, ONE_METER)["charge_id"]
    return desk.charging.go_on_with(charge_id)


def test_a_charge_that_somebody_else_changed_is_not_overwritten(desk: Desk) -> None:
    entry = begun(desk)
    desk.correct("charge", entry.flight_id, {"P-101.soc_end_pct": 95, "price": 4.2}, why="read again")
    typed = entry._replace(values=entry.values | {"charger": ("Wall 2", "read")})
    with pytest.raises(ChangedMeanwhile):
        desk.charging.save(desk.charging.form(typed), typed.values, typed)
    rows = desk.show("charge", entry.flight_id)["packs"]
    assert [(row["charger"], row["soc_end_pct"], row["price"]) for row in rows] == [
        (None, 95, 4.2),
        (None, 96, 4.2),
    ]


def test_what_somebody_else_changed_is_said_and_taken_in_and_the_own_change_stays(desk: Desk) -> None:
    entry = begun(desk)
    desk.set("operator", "Ben Ott")
    desk.correct("charge", entry.flight_id, {"P-101.soc_end_pct": 95, "price": 4.2}, why="read again")
    typed = entry._replace(values=entry.values | {"charger": ("Wall 2", "read")})
    now, said = desk.charging.meanwhile(typed)
    assert said == [
        "Charge at end of P-101: it was 97 and is 95 now.", "Price: it was empty and is 4.2 now.", "By Ben Ott.",
    ]  # fmt: skip
    desk.charging.save(desk.charging.form(now), now.values, now)
    first = desk.show("charge", entry.flight_id)["packs"][0]
    assert (first["charger"], first["soc_end_pct"], first["price"]) == ("Wall 2", 95, 4.2)


def test_a_field_both_changed_keeps_what_was_typed_and_says_so(desk: Desk) -> None:
    entry = begun(desk)
    desk.correct("charge", entry.flight_id, {"P-101.soc_end_pct": 95}, why="read again")
    typed = entry._replace(values=entry.values | {"P-101.soc_end_pct": ("99", "read")})
    now, (first, *_) = desk.charging.meanwhile(typed)
    assert "is 95 now; you typed 99, which F2 writes over it" in first
    assert now.values["P-101.soc_end_pct"] == ("99", "read")


def test_a_charge_struck_out_meanwhile_says_so(desk: Desk) -> None:
    entry = begun(desk)
    desk.strike("charge", entry.flight_id, "entered twice")
    assert desk.charging.meanwhile(entry)[1][0] == "It was struck out."


def test_an_unfinished_correction_remembers_what_it_was_made_upon(desk: Desk) -> None:
    entry = begun(desk)
    desk.correct("charge", entry.flight_id, {"price": 4.2}, why="read again")
    again = entry_of(entry.draft(NOW))
    with pytest.raises(ChangedMeanwhile):
        desk.charging.save(desk.charging.form(again), again.values, again)


# -- times to come, and money ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "doubt"), [("1130", ""), ("1135", ""), ("1136", "a time to come."), ("2100", "a time to come.")]
)
def test_a_time_to_come_is_doubted_in_words_five_minutes_are_let_pass(
    desk: Desk, text: str, doubt: str
) -> None:
    form = desk.charging.form(desk.charging.begin("AB-1"))
    assert form.reader("started", {})(text).doubt == doubt
    assert form.reader("ended", {"started": ("1000", "read")})(text).doubt == doubt


def test_an_end_on_the_next_day_that_is_to_come_says_both(desk: Desk) -> None:
    form = desk.charging.form(desk.charging.begin("AB-1"))
    assert (
        form.reader("ended", {"started": ("1800", "read")})("0200").doubt == "the next day. a time to come."
    )


def test_the_price_has_the_currency_of_the_book_beside_it(desk: Desk) -> None:
    def price() -> tuple[str, str]:
        form = desk.charging.form(desk.charging.begin("AB-1"))
        unit = next(field.unit for field in form.fields if field.name == "price")
        return unit, form.reader("price", {})("4,2").echo

    assert price() == ("", "4.2")
    desk.keep_currency("EUR")
    assert price() == ("EUR", "4.2 EUR")
    charge_id = saved(desk, ONE_METER | {"price": ("4,20 EUR", "read")})["charge_id"]
    shown = desk.show("charge", charge_id)
    assert ("Price", "4.2", "EUR", "") in desk.charging.lines_of(shown["packs"])
    fields = {field.name: field.unit for field in desk.record_form("aircraft").fields}
    assert (fields["electricity_price_per_kwh"], fields["pack_set_price"]) == ("EUR per kWh", "EUR")


@pytest.mark.parametrize("text", ["a currency too long", "5 EUR", "E\x1bR"])
def test_a_currency_that_could_be_taken_for_a_figure_or_run_away_is_refused(desk: Desk, text: str) -> None:
    with pytest.raises(DataRefused, match="without digits"):
        desk.keep_currency(text)
    assert desk.currency == ""
