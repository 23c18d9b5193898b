"""A flight is entered in one step or two; what it costs and what is flagged is known before it is saved."""

from pathlib import Path

import pytest

from logbook.errors import DataRefused
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.flight_entry import Preview
from tests.services.club import club_book

BEFORE = {
    "pilot": ("Ana Lind", "confirmed"),
    "function": ("pic", "confirmed"),
    "kind": ("local", "read"),
    "place_from": ("Lakeside", "confirmed"),
    "meter_start": ("412.3", "confirmed"),
    "P-101.soc_departure_pct": ("97", "read"),
    "P-101.soh_pct": ("91", "confirmed"),
    "P-102.soc_departure_pct": ("96", "read"),
    "P-102.soh_pct": ("90", "confirmed"),
}
AFTERWARDS = "2031-05-09T09:25Z"
AFTER = {
    "off_blocks": ("0835", "read"),
    "takeoff": ("+6", "read"),
    "landing": ("+34", "read"),
    "on_blocks": ("+4", "read"),
    "place_to": ("Lakeside", "confirmed"),
    "landings_day": ("1", "confirmed"),
    "meter_end": ("413", "read"),
    "P-101.soc_landing_pct": ("55", "read"),
    "P-102.soc_landing_pct": ("54", "read"),
}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: AFTERWARDS, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


def previewed(desk: Desk, values, **changes) -> Preview:
    entry = desk.begin_flight("AB-1")._replace(**changes)
    return desk.preview(desk.flight_form(entry), values, entry.flight_id)


def saved(desk: Desk, values, *, open_only: bool = False, **changes):
    entry = desk.begin_flight(changes.pop("aircraft", "AB-1"))._replace(**changes)
    return desk.save_flight(desk.flight_form(entry), values, entry.flight_id, open_only=open_only)


def test_the_preview_says_what_saving_will_say(desk: Desk) -> None:
    values = BEFORE | AFTER | {"P-101.soc_landing_pct": ("25", "read")}
    seen = previewed(desk, values)
    flight = saved(desk, values)
    assert seen.flags == [(flag["severity"], flag["words"]) for flag in flight.flags]
    assert any("below the reserve" in words for _, words in seen.flags)
    assert seen.derived["derived"] == flight.flight["derived"]
    assert seen.derived["derived"]["block_min"] == 44


def test_a_time_still_to_come_is_told_with_both_clocks(desk: Desk) -> None:
    later = {"off_blocks": ("2058", "read"), "on_blocks": ("2059", "read")}
    said = [words for _, words in previewed(desk, later).flags if "still to come" in words]
    assert len(said) == 1
    assert said[0].startswith("Off blocks 20:58Z")
    assert "F4" in said[0]
    assert not any("still to come" in words for _, words in previewed(desk, BEFORE | AFTER).flags)


def test_the_preview_writes_nothing(desk: Desk) -> None:
    previewed(desk, BEFORE | AFTER)
    assert desk.today().flights == 1


def test_before_start_a_low_charge_is_flagged_while_something_can_be_done(desk: Desk) -> None:
    seen = previewed(desk, {"P-101.soc_departure_pct": ("44", "read")})
    assert any("44 %" in words for severity, words in seen.flags if severity == "serious")


def test_a_field_with_a_problem_does_not_hide_what_the_others_say(desk: Desk) -> None:
    seen = previewed(desk, BEFORE | AFTER | {"meter_end": ("x", "read")})
    assert (seen.field, seen.derived["derived"]["air_min"]) == ("meter_end", 34)
    assert seen.problem.startswith("Meter: a number")


def test_a_contradiction_names_the_problem_and_saving_is_refused(desk: Desk) -> None:
    values = BEFORE | AFTER | {"meter_end": ("400", "read")}
    assert "runs back" in previewed(desk, values).problem
    with pytest.raises(DataRefused, match="runs back"):
        saved(desk, values)
    assert desk.today().flights == 1


def test_two_steps_make_one_flight_with_both_states_kept(desk: Desk) -> None:
    first = saved(desk, BEFORE, open_only=True)
    assert first.flight["state"] == "open"
    entry = desk.go_on_with(first.flight_id)
    assert entry.values["P-101.soc_departure_pct"] == ("97", "read")
    form = desk.flight_form(entry)
    second = desk.save_flight(form, entry.values | AFTER, entry.flight_id, open_only=False)
    assert (second.flight["state"], second.flight["derived"]["block_min"]) == ("closed", 44)
    assert desk.book.connection.execute("SELECT count(*) FROM flight").fetchone() == (2,)
    assert [v["why"] for v in second.flight["versions"]].count("closed after landing") >= 1


def test_two_steps_and_one_step_record_the_same(desk: Desk) -> None:
    first = saved(desk, BEFORE, open_only=True)
    entry = desk.go_on_with(first.flight_id)
    two = desk.save_flight(
        desk.flight_form(entry), entry.values | AFTER, entry.flight_id, open_only=False
    ).flight
    desk.strike("flight", entry.flight_id, "to enter it again in one step")
    one = saved(desk, BEFORE | AFTER).flight
    outside = {"flight_id", "entered_at", "entered_by", "versions", "token", "struck", "flags"}
    plain = [{k: v for k, v in flight.items() if k not in outside} for flight in (one, two)]
    assert plain[0]["derived"] == plain[1]["derived"]
    for flight in plain:
        for reading in flight["readings"]:
            reading.pop(
                "source"
            )  # which field of a reading was confirmed is known at the moment of typing only
    assert plain[0] == plain[1]


def test_what_is_emptied_when_closing_is_taken_back(desk: Desk) -> None:
    first = saved(desk, BEFORE | {"mass_kg": ("540", "read")}, open_only=True)
    entry = desk.go_on_with(first.flight_id)
    values = entry.values | AFTER | {"mass_kg": ("", "empty"), "P-101.soh_pct": ("", "empty")}
    flight = desk.save_flight(desk.flight_form(entry), values, entry.flight_id, open_only=False).flight
    assert flight["mass_kg"] is None
    assert flight["readings"][0]["soh_pct"] is None
    assert flight["readings"][0]["soc_departure_pct"] == 97


def test_a_pack_not_read_before_start_can_be_read_after_landing(desk: Desk) -> None:
    only_front = {name: value for name, value in BEFORE.items() if not name.startswith("P-102")}
    first = saved(desk, only_front, open_only=True)
    entry = desk.go_on_with(first.flight_id)
    form = desk.flight_form(entry)
    assert [slot.serial_no for slot in form.packs] == ["P-101", "P-102"]
    flight = desk.save_flight(form, entry.values | AFTER, entry.flight_id, open_only=False).flight
    assert {r["serial_no"]: r["soc_landing_pct"] for r in flight["readings"]} == {"P-101": 55, "P-102": 54}


def test_an_open_flight_keeps_its_packs_when_they_are_changed_meanwhile(desk: Desk) -> None:
    first = saved(desk, BEFORE, open_only=True)
    for row in desk.records("installation"):
        desk.correct("installation", row["installation_id"], {"removed": "2031-05-09T08:31Z"})
    form = desk.flight_form(desk.go_on_with(first.flight_id))
    assert {slot.serial_no for slot in form.packs} == {"P-101", "P-102"}


def test_one_figure_for_the_whole_aeroplane_goes_through_both_steps(desk: Desk) -> None:
    first = saved(desk, {".soc_departure_pct": ("95", "read")}, open_only=True, aircraft="ONE-3")
    entry = desk.go_on_with(first.flight_id)
    after = {
        "off_blocks": ("0835", "read"),
        "on_blocks": ("0920", "read"),
        ".soc_landing_pct": ("40", "read"),
    }
    flight = desk.save_flight(
        desk.flight_form(entry), entry.values | after, entry.flight_id, open_only=False
    ).flight
    (reading,) = flight["readings"]
    assert (reading["serial_no"], reading["soc_departure_pct"], reading["soc_landing_pct"]) == (None, 95, 40)


@pytest.mark.parametrize("outcome", ["ground-run", "aborted", "rejected", "device"])
def test_what_never_flew_is_saved_without_times(desk: Desk, outcome: str) -> None:
    flight = saved(desk, {"pilot": ("ana", "read")}, outcome=outcome).flight
    assert (flight["state"], flight["outcome"], flight["pilot"]) == ("closed", outcome, "Ana Lind")


def test_a_tug_without_packs_is_logged_by_times_alone(desk: Desk) -> None:
    values = {"pilot": ("Bert", "read"), "off_blocks": ("0900", "read"), "on_blocks": ("+9", "read")}
    assert saved(desk, values, aircraft="TUG-2").flight["derived"]["block_min"] == 9


def test_a_flown_flight_needs_both_block_times_or_stays_open(desk: Desk) -> None:
    with pytest.raises(DataRefused, match="off blocks and on blocks"):
        saved(desk, BEFORE)
    saved(desk, BEFORE, open_only=True)


def test_a_defect_that_was_noticed_enters_the_book_with_the_flight_once(desk: Desk) -> None:
    first = saved(desk, BEFORE, open_only=True)
    entry = desk.go_on_with(first.flight_id)
    values = entry.values | AFTER | {"defect": ("Left brake drags", "read")}
    form = desk.flight_form(entry)
    desk.save_flight(form, values, entry.flight_id, open_only=False)
    desk.save_flight(form, values, entry.flight_id, open_only=False)
    (defect,) = desk.records("defect")
    assert (defect["text"], defect["state"], defect["found_by"]) == ("Left brake drags", "open", "Ana Lind")
    assert (defect["flight_id"], defect["found"]) == (entry.flight_id, "2031-05-09T09:19Z")


def test_a_new_flight_and_its_defect_enter_together_or_not_at_all(desk: Desk) -> None:
    values = BEFORE | AFTER | {"off_blocks": ("0835", "read"), "defect": ("x" * 100_001, "read")}
    with pytest.raises(DataRefused):
        saved(desk, values)
    assert (desk.today().flights, desk.records("defect")) == (1, [])


def test_an_unknown_person_is_told_in_its_field(desk: Desk) -> None:
    with pytest.raises(DataRefused, match="no person of that name") as refused:
        saved(desk, BEFORE | AFTER | {"pilot": ("Zoe", "read")})
    assert refused.value.field == "pilot"


def test_a_closed_flight_cannot_be_opened_again(desk: Desk) -> None:
    flight = saved(desk, BEFORE | AFTER)
    entry = desk.go_on_with(flight.flight_id)
    with pytest.raises(DataRefused, match="closed already"):
        desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=True)
