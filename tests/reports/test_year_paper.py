"""The report of a year: its figures are those shown elsewhere for the same days, and it says what it leaves out."""

from __future__ import annotations

import io
import re
from pathlib import Path
from unittest.mock import patch

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.paths import sample_file
from logbook.reports.text_page import write_text_page
from logbook.services import estimates
from logbook.services.charging import metered
from logbook.services.correct import correct, strike
from logbook.services.estimates import capacity_of
from logbook.services.export_table import export_table
from logbook.services.pack_status import pack_rows
from logbook.services.questions import list_flights
from logbook.services.settings import change_settings
from logbook.services.year_figures import year_figures
from logbook.services.year_paper import period_of, year_paper, years_of
from logbook.services.year_upkeep import pack_year
from logbook.store.database import Book
from logbook.store.flights import FlightFilter, Flights
from logbook.store.records import versions
from tests.club import ADA, P1, P2, WATT, charge, flight_at, put, reading

AS_OF = "2026-11-16"


@pytest.fixture
def sample(tmp_path: Path) -> Book:
    copy = tmp_path / "sample.logbook"
    copy.write_bytes(sample_file().read_bytes())
    with Book.open(copy) as book:
        yield book


def text(book: Book, year: str, as_of: str | None = None) -> str:
    stream = io.StringIO()
    write_text_page(stream, year_paper(book, year, as_of))
    return stream.getvalue()


def test_the_totals_are_those_of_the_list_of_flights(sample: Book) -> None:
    rows = year_figures(sample, period_of(sample, "2025"))
    assert [row["aircraft"] for row in rows] == ["ZZ-AMP", "ZZ-OHM", "ZZ-TOW", ""]
    for row in rows:
        wanted = FlightFilter(since="2025-01-01", until="2025-12-31", aircraft=row["aircraft"] or None)
        totals = Flights(sample).totals(wanted)
        assert {name: row[name] for name in totals._fields} == totals._asdict()
        assert (totals.energy_kwh is None) == (row["energy"]["known"] == 0)
        assert row["energy"]["flown"][1] == pytest.approx(
            totals.energy_kwh or 0.0, abs=1e-3 * max(1, totals.flights)
        )
        for name, rule in (
            ("below_reserve", "landing_below_reserve"),
            ("below_final_reserve", "final_reserve_short"),
        ):
            assert row[name] == len(list(list_flights(sample, wanted._replace(flag=rule))))
    assert sum(row["flights"] for row in rows[:-1]) == rows[-1]["flights"] > 100
    assert rows[-1]["below_final_reserve"] > 0


def test_what_was_aboard_less_what_was_left_is_what_was_flown(sample: Book) -> None:
    for row in year_figures(sample, period_of(sample, "2025")):
        energy = row["energy"]
        assert energy["departed"][1] - energy["landed"][1] == pytest.approx(energy["flown"][1], abs=1e-6)
        assert energy["flown"][0] <= energy["flown"][1] <= energy["flown"][2]


def test_the_meter_is_that_of_all_charges_and_adds_up(sample: Book) -> None:
    period = period_of(sample, "2026", AS_OF)
    rows = year_figures(sample, period)
    whole = metered(sample, None, period.since, period.until)
    assert (rows[-1]["meter_kwh"], rows[-1]["sessions"], rows[-1]["unmetered"]) == (
        pytest.approx(whole.kwh), whole.sessions, whole.unmetered,
    )  # fmt: skip
    assert sum(row["meter_kwh"] for row in rows[:-1]) == pytest.approx(whole.kwh)


def test_two_years_of_a_pack_add_up_to_what_the_table_of_packs_says(sample: Book) -> None:
    periods = [period_of(sample, year, AS_OF) for year in ("2025", "2026")]
    years = [{row["serial_no"]: row for row in pack_year(sample, p.before, p.last)} for p in periods]
    for row in pack_rows(sample, AS_OF)[1]:
        serial = row["serial_no"]
        for name, column in (
            ("cycles", "equivalent_cycles_discharge"), ("hours", "time_in_service_hours"), ("exceedances", "exceedances"),
        ):  # fmt: skip
            assert sum(year[serial][name] for year in years) == pytest.approx(row[column], abs=0.02)
        assert years[0][serial]["capacity_end"] == years[1][serial]["capacity_begin"]
        newest = capacity_of(sample, serial)["history"][-1]
        assert years[1][serial]["capacity_end"] == newest["usable_kwh"]


def test_the_record_of_an_aeroplane_is_gone_over_once_for_all_its_packs(sample: Book) -> None:
    period = period_of(sample, "2026", AS_OF)
    with patch.object(estimates, "estimator_of", side_effect=estimates.estimator_of) as over:
        packs = pack_year(sample, period.before, period.last)
    gone_over = [call.args[1] for call in over.call_args_list]
    assert len(gone_over) == len(set(gone_over)) < len(packs)


def test_defects_are_counted_in_the_year_they_were_found_and_closed_in(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    defect = {"defect_id": "D1", "aircraft": WATT, "found": "2030-12-30T08:00Z", "text": "tyre"}
    put(book, "defect", [defect, defect | {"defect_id": "D2", "found": "2031-02-01T08:00Z"}])
    done = {"aircraft": WATT, "completed": "2031-01-02T08:00Z", "text": "mended", "closes_defect": "D1"}
    put(book, "maintenance", done)

    def counted(year: str) -> tuple[int, int]:
        row = year_figures(book, period_of(book, year, "2032-01-01"))[-1]
        return row["defects_opened"], row["defects_closed"]

    assert (counted("2030"), counted("2031")) == ((1, 0), (1, 1))


def test_a_defect_closed_without_an_entry_was_closed_when_that_was_written_down(book: Book) -> None:
    put(book, "defect", {"defect_id": "D1", "aircraft": WATT, "found": "2030-12-30T08:00Z", "text": "tyre"})
    correct(book, "defect", "D1", {"state": "closed"}, by=ADA)
    (version,) = [one for one in versions(book, "D1") if one["was"] is not None]
    year = version["at"][:4]
    row = year_figures(book, period_of(book, year, f"{year}-12-31"))[-1]
    assert row["defects_closed"] == 1


def test_the_price_of_a_session_counts_once_and_what_has_none_is_said(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    paid = {"ended": "2031-05-10T11:00Z", "shared_energy_kwh": 9, "price": 3.5}
    put(book, "charge", [charge("C1", serial, "2031-05-10T10:00Z", **paid) for serial in (P1, P2)])
    put(book, "charge", charge("C2", P1, "2031-05-11T10:00Z", energy_kwh=5))
    change_settings(book, {"currency": "EUR"})
    correct(book, "aircraft", WATT, {"electricity_price_per_kwh": 0.5}, by=ADA)
    row = year_figures(book, period_of(book, "2031", "2031-12-31"))[-1]
    assert (row["price"], row["unpriced"], row["meter_kwh"]) == (3.5, 1, 14)
    found = text(book, "2031", "2031-12-31")
    assert "3.50 EUR; 1 charge has no price" in found
    assert "7.00 EUR at the price of a kWh set now" in " ".join(found.split())


def test_what_is_not_known_is_said_and_not_called_nought(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, soc_landing_pct=None), reading(P2)]))
    found = text(book, "2031", "2031-12-31")
    assert re.search(r"Energy known of +0 of 1 flights", found)
    assert re.search(r"Energy flown \[kWh\] +not known", found)
    assert re.search(r"Cost as written down +not recorded", found)


def test_it_counts_only_up_to_the_day_it_is_of(sample: Book) -> None:
    early, late = (year_figures(sample, period_of(sample, "2026", day))[-1] for day in ("2026-03-31", AS_OF))
    assert 0 < early["flights"] < late["flights"]
    assert "From 2026-01-01 to 2026-03-31, both included." in text(sample, "2026", "2026-03-31")


def test_the_digest_changes_with_a_record_of_the_year_and_with_no_later_one(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    before = year_paper(book, "2031", "2031-06-01").digest
    put(book, "flight", flight_at(8, "F2", day="2031-06-02"))
    assert year_paper(book, "2031", "2031-06-01").digest == before
    correct(book, "flight", "F1", {"landings_day": 2})
    assert year_paper(book, "2031", "2031-06-01").digest != before


def test_a_struck_flight_counts_in_no_year(book: Book) -> None:
    put(book, "flight", [flight_at(8, "F1"), flight_at(10, "F2")])
    strike(book, "flight", "F2", why="twice")
    assert year_figures(book, period_of(book, "2031", "2031-12-31"))[-1]["flights"] == 1


@pytest.mark.parametrize("form", ["text", "html", "pdf"])
def test_it_is_written_in_every_form_with_its_caution_and_digest(
    sample: Book, tmp_path: Path, form: str
) -> None:
    target = tmp_path / f"year.{form}"
    export_table(sample, "year", "2025", target, form)
    if form == "pdf":
        assert target.read_bytes().startswith(b"%PDF")
        return
    words = " ".join(target.read_text().split())
    assert "Report of the year 2025" in words
    assert "no account and not a release to service" in words
    assert "SHA-256" in words


def test_what_is_no_year_or_has_not_begun_is_refused(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    with pytest.raises(UsageError, match="no year"):
        year_paper(book, "31")
    with pytest.raises(DataRefused, match="has not begun"):
        year_paper(book, "2032", "2031-12-31")
    with pytest.raises(UsageError, match="a page, no table"):
        export_table(book, "year", "2031", "-", "csv")


def test_years_that_can_be_named_are_those_anything_was_flown_in(sample: Book, book: Book) -> None:
    assert years_of(sample) == ["2026", "2025"]
    assert years_of(book) == []
