"""Where packs stand: what is promised of each column of the fleet table."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.services.correct import correct, strike
from logbook.services.desk import Desk
from logbook.services.due_by_use import due_by_use
from logbook.services.export_table import export_table
from logbook.services.pack_papers import component_record
from logbook.services.pack_status import COLUMNS, pack_rows
from logbook.store.database import Book
from tests.club import NOW, P1, P2, P3, P4, VOLT, charge, flight_at, pack, put, reading
from tests.reports.paper_forms import papers_of

Row = dict[str, Any]


def row(book: Book, serial: str = P1, as_of: str | None = NOW) -> Row:
    """One pack's row."""
    return next(row for row in pack_rows(book, as_of)[1] if row["serial_no"] == serial)


def fly(book: Book, count: int, *, day: str = "2031-05-{:02d}", **changes: Any) -> None:
    """Days with a flight from 90 to 60 % and a charge back to 90 %."""
    for number in range(1, count + 1):
        date = day.format(number)
        put(book, "flight", flight_at(8, f"F{date}", date, **changes))
        for serial in (P1, P2):
            put(book, "charge", charge(f"C{date}", serial, f"{date}T10:00Z", ended=f"{date}T11:00Z"))


def test_every_pack_has_a_row_with_exactly_the_columns(book: Book) -> None:
    columns, rows = pack_rows(book, NOW)
    assert [one["serial_no"] for one in rows] == [P1, P2, P3, P4]
    assert all(tuple(one) == columns == COLUMNS for one in rows)


def test_the_contract_names_these_columns() -> None:
    promised = {
        *("serial_no", "part_no", "aircraft", "position", "state", "time_in_service_hours", "landings"),
        *("equivalent_cycles_discharge", "equivalent_cycles_half_sum", "energy_out_kwh", "soh_pct"),
        *("usable_kwh_low", "usable_kwh_mid", "usable_kwh_high", "highest_temp_c", "exceedances"),
    }
    assert promised <= set(COLUMNS)


def test_hours_landings_and_cycles_follow_from_what_was_flown(book: Book) -> None:
    fly(book, 4)
    found = row(book)
    assert found["time_in_service_hours"] == 2.0  # four times half an hour in the air
    assert found["hours_basis"] == "by air time"
    assert found["landings"] == 4
    assert found["equivalent_cycles_discharge"] == pytest.approx(1.2)  # four falls of 30 points
    assert found["equivalent_cycles_half_sum"] == pytest.approx(1.2)
    # nominal 12 kWh, SOH 98 on the scale 0.7 to 1.0: 11.928 kWh; four times 30 % of it
    assert found["energy_out_kwh"] == pytest.approx(4 * 0.3 * 11.928)
    assert found["equivalent_cycles_by_energy"] == pytest.approx(1.2 * 11.928 / 12, abs=1e-4)


def test_a_worked_example_of_a_life_limited_part(book: Book) -> None:
    """Computed here after 14 CFR 43.10 and GM M.A.305: 40.0 h and 35.20 cycles, then 16 flights of 0.62 in 11.5 h."""
    put(
        book,
        "pack",
        pack(
            "LARK-09",
            hours_brought_forward=40.0,
            cycles_brought_forward=35.20,
            limit_cycles=500,
            cycle_definition="discharge",
        ),
    )
    correct(book, "installation", _fitting(book, P1), {"removed": "2031-05-01T00:00Z"}, by="Ada Quill")
    put(
        book,
        "installation",
        {"serial_no": "LARK-09", "aircraft": "X-WATT", "position": "front", "fitted": "2031-05-01T00:00Z"},
    )
    for number in range(16):
        day, minutes = f"2031-05-{number + 2:02d}", 44 if number < 2 else 43
        readings = [reading("LARK-09", soc_departure_pct=92, soc_landing_pct=30)]
        landing = f"{day}T08:{6 + minutes:02d}Z"
        put(
            book,
            "flight",
            flight_at(8, f"W{number}", day, readings=readings)
            | {"landing": landing, "on_blocks": f"{day}T08:58Z"},
        )
        put(
            book,
            "charge",
            charge(f"WC{number}", "LARK-09", f"{day}T10:00Z", soc_start_pct=30, soc_end_pct=92),
        )
    correct(book, "installation", _fitting(book, "LARK-09"), {"removed": "2031-05-20T00:00Z"}, by="Ada Quill")
    found = row(book, "LARK-09")
    assert found["time_in_service_hours"] == pytest.approx(51.5)
    assert found["equivalent_cycles_discharge"] == pytest.approx(45.12)
    assert found["cycles_accumulated"] == pytest.approx(45.12)
    assert found["cycles_remaining"] == pytest.approx(454.88)
    assert found["cycles_limit"] == 500


def _fitting(book: Book, serial: str) -> str:
    from logbook.services.questions import list_records
    from logbook.store.flights import FlightFilter

    rows = list_records(book, "installation", FlightFilter(pack=serial))
    return str(next(iter(rows))["installation_id"])


def test_without_air_times_block_time_counts_and_is_named(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1") | {"takeoff": "", "landing": ""})
    found = row(book)
    assert found["time_in_service_hours"] == pytest.approx(40 / 60, abs=1e-4)
    assert found["hours_basis"] == "by block time"


def test_a_mixture_of_clocks_names_how_many_flights_fell_back(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    put(book, "flight", flight_at(12, "F2") | {"takeoff": "", "landing": ""})
    found = row(book)
    assert found["time_in_service_hours"] == pytest.approx(30 / 60 + 40 / 60, abs=1e-4)
    assert "1 of 2 flights by block time" in found["hours_basis"]


def test_meter_time_counts_where_the_operator_counts_so(book: Book) -> None:
    correct(book, "aircraft", "X-WATT", {"time_in_service_from": "meter"}, by="Ada Quill")
    put(book, "flight", flight_at(8, "F1", meter_start=100.0, meter_end=100.6))
    found = row(book)
    assert found["time_in_service_hours"] == pytest.approx(0.6)
    assert found["hours_basis"] == "by meter time"


def test_time_accrues_only_while_fitted_and_a_reading_elsewhere_is_named(book: Book) -> None:
    put(
        book, "flight", flight_at(8, "F1", readings=[reading(P1), reading(P3)])
    )  # P3 is in the other aeroplane
    found = row(book, P3)
    assert found["time_in_service_hours"] == 0.0
    assert "1 flights on which it was read but not fitted" in found["hours_basis"]


def test_a_pack_whose_fitting_was_never_written_down_counts_by_its_readings(book: Book) -> None:
    put(book, "pack", pack("LARK-08"))
    put(book, "flight", flight_at(8, "F1", readings=[reading("LARK-08")]))
    found = row(book, "LARK-08")
    assert found["time_in_service_hours"] == 0.5
    assert "no fitting is recorded" in found["hours_basis"]


def test_struck_flights_and_readings_nobody_made_count_for_nothing(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    put(book, "flight", flight_at(12, "F2", readings=[reading(P1, source="not-read")]))
    strike(book, "flight", "F1", by="Ada Quill", why="entered twice")
    found = row(book)
    assert found["time_in_service_hours"] == 0.5  # F2 was flown, read or not
    assert found["equivalent_cycles_discharge"] == 0.0
    assert found["soh_pct"] is None


def test_a_gap_in_the_line_counts_as_the_change_that_it_is(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))  # 90 to 60
    put(book, "flight", flight_at(12, "F2"))  # 90 to 60 again, no charge written down between
    found = row(book)
    assert found["equivalent_cycles_discharge"] == pytest.approx(0.6)
    assert found["equivalent_cycles_half_sum"] == pytest.approx((30 + 30 + 30) / 200)


def test_exceedances_are_the_flights_that_the_rules_flag(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, temp_max_c=56)]))
    put(book, "flight", flight_at(12, "F2", readings=[reading(P1, temp_max_c=49)]))
    found = row(book)
    assert (found["exceedances"], found["cautions"]) == (1, 1)
    assert found["highest_temp_c"] == 56
    assert found["highest_temp_at"] == "2031-05-09T08:00Z"


def test_a_limit_whose_cycle_nobody_defined_cannot_be_judged_and_says_why(book: Book) -> None:
    correct(book, "pack", P1, {"limit_cycles": 500}, by="Ada Quill")
    fly(book, 2)
    found = row(book)
    assert found["cycles_limit"] == 500
    assert found["cycles_accumulated"] is None
    assert found["cycles_remaining"] is None
    assert "does not say what its maker calls a cycle" in found["cycles_words"]


def test_accumulated_and_remaining_add_up_to_the_limit_and_the_dates_are_in_order(book: Book) -> None:
    limits = {
        "limit_hours": 300,
        "limit_cycles": 400,
        "cycle_definition": "half-sum",
        "limit_date": "2036-01-01",
    }
    correct(book, "pack", P1, limits | {"hours_brought_forward": 12.5}, by="Ada Quill")
    for month in ("03", "04", "05"):
        fly(book, 8, day="2031-" + month + "-{:02d}")
    found = row(book)
    for name in ("hours", "cycles"):
        assert found[f"{name}_accumulated"] + found[f"{name}_remaining"] == pytest.approx(
            found[f"{name}_limit"]
        )
        dates = [found[f"{name}_expected_{end}"] for end in ("low", "mid", "high")]
        assert dates == sorted(dates)
        assert dates[0] > NOW[:10]
    assert found["date_limit"] == found["date_expected_mid"] == "2036-01-01"
    assert found["date_remaining"] == 1646  # days from 2031-06-30 to 2036-01-01
    assert "12.5 h brought forward" in found["hours_basis"]


def test_limits_of_the_type_hold_where_the_pack_is_silent(book: Book) -> None:
    correct(book, "pack-type", "PK-12", {"limit_hours": 1000}, by="Ada Quill")
    correct(book, "pack", P2, {"limit_hours": 800}, by="Ada Quill")
    assert row(book, P1)["hours_limit"] == 1000
    assert row(book, P2)["hours_limit"] == 800


def test_as_of_a_day_only_what_was_recorded_until_then_counts(book: Book) -> None:
    fly(book, 4)
    assert row(book, as_of="2031-05-02")["flights"] == 2
    assert row(book, as_of="2031-05-02")["equivalent_cycles_discharge"] == pytest.approx(0.6)
    assert row(book, as_of="2031-03-01")["state"] == "store"  # not fitted yet then
    with pytest.raises(UsageError, match="As of when"):
        pack_rows(book, "yesterday")


def test_unknown_capacity_is_unknown_and_says_so(book: Book) -> None:
    put(book, "pack", {"serial_no": "NOBODYS"})
    found = row(book, "NOBODYS")
    assert found["usable_kwh_mid"] is None
    assert "nominal capacity is not stated" in found["usable_basis"]
    assert "nominal capacity is not stated" in found["reference_capacity"]


def test_one_pack_can_be_asked_for_and_an_unknown_one_is_refused(book: Book) -> None:
    fly(book, 2)
    assert pack_rows(book, NOW, [P1])[1] == [row(book)]
    with pytest.raises(DataRefused, match="knows no pack"):
        pack_rows(book, NOW, ["P-404"])


def test_screen_file_and_paper_show_the_same_digits(book: Book) -> None:
    correct(
        book, "pack", P1, {"limit_hours": 300, "limit_cycles": 400, "cycle_definition": "discharge"}, by="A"
    )
    fly(book, 7)
    screen = row(book, as_of=None)
    as_csv, as_json = io.BytesIO(), io.BytesIO()
    export_table(book, "packs", None, as_csv, "csv")
    export_table(book, "packs", None, as_json, "json")
    cells = next(csv.DictReader(io.StringIO(as_csv.getvalue().decode())))
    plain = json.loads(as_json.getvalue())[0]
    papers = papers_of(component_record(book, P1))
    assert {name: value for name, value in plain.items() if name != "as_of"} == {
        name: value for name, value in screen.items() if name != "as_of"
    }
    for name in ("time_in_service_hours", "equivalent_cycles_discharge", "energy_out_kwh", "hours_remaining"):
        assert float(cells[name]) == screen[name]
        for form, text in papers.items():
            assert cells[name] in text.split(), (form, name)


def test_an_expected_date_of_a_resting_pack_is_from_the_year_before_its_last_flight(book: Book) -> None:
    correct(book, "pack", P1, {"limit_hours": 300}, by="Ada Quill")
    for month in ("03", "04", "05"):
        fly(book, 8, day="2031-" + month + "-{:02d}")
    found = row(book, as_of="2033-06-01")
    assert found["hours_expected_mid"] > "2033-06-01"


def test_a_pack_in_the_other_aeroplane_stands_there(book: Book) -> None:
    found = row(book, P4)
    assert (found["aircraft"], found["position"], found["state"]) == (VOLT, "rear", "fitted")


def test_a_limit_beyond_a_hundred_years_is_an_empty_cell_and_words(book: Book) -> None:
    correct(book, "pack", P1, {"limit_hours": 1e6}, by="A")
    for month in ("03", "04", "05"):
        fly(book, 3, day="2031-" + month + "-{:02d}")
    found = row(book)
    assert [found[f"hours_expected_{end}"] for end in ("low", "mid", "high")] == [None] * 3
    assert "not within 100 years" in found["hours_words"]
    for text in papers_of(component_record(book, P1, NOW)).values():
        assert "not within 100 years" in text
    assert not [item for item in due_by_use(book, NOW) if item["of"] == P1]


def test_now_is_by_the_clock_of_the_desk(book: Book) -> None:
    fly(book, 1)
    Desk(book, clock=lambda: "2031-07-01T09:30Z")
    assert row(book, as_of=None)["as_of"] == "2031-07-01T09:30Z"
    Desk(book, clock=lambda: "2031-01-01T09:30Z")
    assert row(book, as_of=None)["as_of"] == "2031-05-01T23:59Z"  # the newest day on record is later


def test_a_health_read_before_a_baseline_break_says_so_wherever_it_or_its_capacity_stands(book):
    put(book, "observation", {"serial_no": P1, "at": "2031-06-01T08:00Z", "soh_pct": 85})
    assert row(book)["soh_note"] == ""
    broke = {"observation_id": "B", "serial_no": P1, "at": "2031-06-01T10:00Z", "baseline_break": "module"}
    put(book, "observation", broke)
    found = row(book)
    assert found["soh_note"].startswith("read before its estimates started anew on 2031-06-01")
    assert found["usable_basis"].endswith(f"; SOH {found['soh_note']}")
    assert row(book, as_of="2031-05-31")["soh_note"] == ""  # not broken yet then
    put(book, "observation", {"serial_no": P1, "at": "2031-06-02T08:00Z", "soh_pct": 97})
    assert (row(book)["soh_pct"], row(book)["soh_note"]) == (97, "")
    strike(book, "observation", "B", why="it was another pack")
    assert row(book, as_of="2031-06-01T12:00Z")["soh_note"] == ""


def test_flights_read_by_one_gauge_leave_cycles_too_few_and_it_is_said(book: Book) -> None:
    """One figure for all packs is copied into none of them; a limit in cycles must not look far off for that."""
    correct(book, "pack-type", "PK-12", {"limit_cycles": 900, "cycle_definition": "discharge"}, why="manual")
    fly(book, 3)
    assert row(book)["flights_unread"] == 0
    assert "too few" not in row(book)["cycles_words"]
    for day in ("2031-05-11", "2031-05-12"):
        put(book, "flight", flight_at(8, f"W{day}", day, readings=[reading(None)]))
    found = row(book)
    unread = "2 of 5 flights have no charge of this pack"
    assert found["flights_unread"] == 2
    assert found["cycles_basis"].endswith(f"; counted too few: {unread}")
    assert found["energy_basis"].endswith(f"; counted too few: {unread}")
    assert found["cycles_words"].endswith(f"; counted too few, so the limit comes earlier: {unread}")
    assert found["first_limit"].endswith(f" Cycles are counted too few: {unread}.")
