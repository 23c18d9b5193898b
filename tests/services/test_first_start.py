"""The first start writes what was asked, all or nothing, and has no silent default."""

from pathlib import Path

import pytest

from logbook.errors import DataRefused
from logbook.services.first_start import first_form, save_first
from logbook.services.questions import list_records, show
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.store.settings import Settings
from tests.club import NOW


@pytest.fixture
def new_book(tmp_path: Path):
    with Book.open(tmp_path / "new.logbook", create=True) as book:
        yield book


def kinds(book: Book) -> dict[str, int]:
    names = ("pack-type", "aircraft", "pack", "person", "place", "installation")
    return {kind: len(list(list_records(book, kind, FlightFilter()))) for kind in names}


def test_serial_numbers_with_only_a_space_between_them_are_doubted() -> None:
    assert "F1 R1" in first_form(NOW).meaning("serials", "F1 R1").doubt
    assert not first_form(NOW).meaning("serials", "F1; R1").doubt


def test_only_the_registration_is_needed(new_book) -> None:
    assert save_first(new_book, {"registration": "X-OHM"}, NOW) == "X-OHM"
    assert kinds(new_book) == {
        "pack-type": 0,
        "aircraft": 1,
        "pack": 0,
        "person": 0,
        "place": 0,
        "installation": 0,
    }
    shown = show(new_book, "aircraft", "X-OHM")
    assert all(
        shown[name] is None
        for name in ("soh_zero_fraction", "soh_full_fraction", "reserve_soc_pct", "temp_limit_c")
    )


def test_everything_that_was_asked_is_in_the_book_and_ready_to_fly(new_book) -> None:
    form = first_form(NOW)
    texts = {
        "operator": "Ada Quill", "base": "Larkfield", "zone": "Europe/Rome", "registration": "X-OHM", "cruise_power_kw": "20",
        "positions": "front; rear", "serials": "L1; L2", "fitted": "2031-06-01", "part_no": "PK-9", "nominal_kwh": "12",
        "soh_zero_fraction": "70 %", "unusable_soc_pct": "5", "reserve_soc_pct": "25", "final_reserve_min_local": "10",
    }  # fmt: skip
    save_first(new_book, form.record({name: (text, "read") for name, text in texts.items()}), NOW)
    facts = BookFacts(new_book)
    assert facts.fitted_now("X-OHM") == [("L1", "front"), ("L2", "rear")]
    assert facts.zone_of("Larkfield") == "Europe/Rome"
    assert facts.people() == ["Ada Quill"]
    assert Settings(new_book).value("operator") == "Ada Quill"
    kind = show(new_book, "pack-type", "PK-9")
    assert (kind["nominal_kwh"], kind["soh_zero_fraction"], kind["unusable_soc_pct"]) == (12, 0.7, 5)
    assert next(list_records(new_book, "installation", FlightFilter()))["fitted"] == "2031-06-01T00:00Z"


def test_without_a_part_number_limits_stay_with_the_aeroplane_and_capacity_with_the_packs(new_book) -> None:
    values = {
        "registration": "X-OHM",
        "positions": ["one"],
        "serials": ["L1"],
        "nominal_kwh": 20.0,
        "temp_limit_c": 55.0,
    }
    save_first(new_book, values, NOW)
    assert show(new_book, "pack", "L1")["nominal_kwh"] == 20
    assert show(new_book, "aircraft", "X-OHM")["temp_limit_c"] == 55


@pytest.mark.parametrize(
    "values",
    [{"registration": "X-OHM", "positions": ["one"], "serials": ["L1", "L2"]}, {"registration": "X-OHM", "positions": ["one"], "serials": ["L1"], "base": " "}],
)  # fmt: skip
def test_what_cannot_be_writes_nothing_at_all(new_book, values) -> None:
    with pytest.raises(DataRefused):
        save_first(new_book, values, NOW)
    assert not any(kinds(new_book).values())


def test_every_field_says_what_cannot_be_told_without_it() -> None:
    form = first_form(NOW)
    for field in form.fields:
        assert field.required or "eft empty" in field.help or "Flights before" in field.help, field.name
    soh = next(field for field in form.fields if field.name == "soh_zero_fraction")
    assert soh.help.startswith("What does SOH 0 mean in your manual?")
    assert not soh.expected
