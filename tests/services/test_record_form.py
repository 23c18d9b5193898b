"""Every field of every kind of record has its words on a form, and means what was typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.domain.published_reserves import published_words
from logbook.domain.record import read_record
from logbook.errors import DataRefused
from logbook.services.ages import ago, due_in, overdue
from logbook.services.form_readers import moment, reader_for, share, types_of
from logbook.services.form_words import FORM_WORDS
from logbook.services.kinds import KINDS
from logbook.services.record_form import correction_form, record_form
from logbook.services.record_words import lines, one_line, title
from logbook.store.catalogue import TABLES
from tests import club

SILENT = {"record_id", "struck", "entered_by", "entered_at"}


@pytest.mark.parametrize("kind", FORM_WORDS)
def test_every_field_of_the_model_is_on_the_form_once(kind) -> None:
    model = KINDS[kind].load()
    names = [words.name for part in FORM_WORDS[kind] for words in part.fields]
    assert len(names) == len(set(names))
    assert set(names) == set(types_of(model)) - SILENT - {TABLES[KINDS[kind].table].file_id}


@pytest.mark.parametrize("kind", FORM_WORDS)
def test_labels_fit_their_column_and_headings_are_told_apart(kind) -> None:
    for part in FORM_WORDS[kind]:
        for words in part.fields:
            assert 0 < len(words.label) <= 18, words.label
            assert not words.help or words.help.endswith((".", "?", "…")), words.name


def test_the_words_to_look_up_in_the_flight_manual_are_named() -> None:
    soh = next(w for p in FORM_WORDS["pack-type"] for w in p.fields if w.name == "soh_zero_fraction")
    assert soh.help.startswith("What does SOH 0 mean in your manual?")
    headings = " ".join(part.heading for part in FORM_WORDS["pack-type"])
    assert "'state of health' or 'SOH' in the flight manual" in headings


@pytest.mark.parametrize("case", ["local", "day", "night"])
def test_published_final_reserves_stand_beside_their_field(case) -> None:
    """14 CFR 91.151(a), AMC1 NCO.OP.125(b), ICAO Annex 6 Part II 2.2.3.6: `docs/planning/reserves.md`."""
    fields = {words.name: words.help for part in FORM_WORDS["aircraft"] for words in part.fields}
    assert published_words(case) in fields[f"final_reserve_min_{case}"]


@pytest.mark.parametrize("kind", [kind for kind in FORM_WORDS if kind != "charge"])
def test_nothing_is_filled_in_before_somebody_types(book, kind) -> None:
    form = record_form(book, kind, club.NOW)
    assert not any(field.expected for field in form.fields)
    assert {field.name for field in form.fields if field.required} == {
        name for name, field in KINDS[kind].load().model_fields.items() if field.is_required()
    }


def typed(**texts: str) -> dict[str, tuple[str, str]]:
    return {name: (text, "read") for name, text in texts.items()}


def test_what_was_typed_becomes_a_record_of_the_right_values(book) -> None:
    form = record_form(book, "aircraft", club.NOW)
    values = form.record(
        typed(registration="X-OHM", positions="left; right", reserve_soc_pct="25 %", soh_zero_fraction="70 %",
              cruise_power_kw="20,5", time_in_service_from="2")
    )  # fmt: skip
    assert values == {
        "registration": "X-OHM", "positions": ["left", "right"], "reserve_soc_pct": 25.0, "soh_zero_fraction": 0.7,
        "cruise_power_kw": 20.5, "time_in_service_from": "meter",
    }  # fmt: skip
    assert read_record(KINDS["aircraft"].load(), values).columns()["registration"] == "X-OHM"


def test_a_needed_field_is_asked_for_and_an_impossible_one_is_named(book) -> None:
    form = record_form(book, "place", club.NOW)
    with pytest.raises(DataRefused, match="Name is needed") as missing:
        form.record({})
    assert missing.value.field == "place"
    with pytest.raises(DataRefused, match=r"Latitude: .*-360 to 360") as wrong:
        form.record(typed(place="Mill", latitude_deg="4711"))
    assert wrong.value.field == "latitude_deg"


def test_a_pack_names_only_types_and_aeroplanes_the_book_knows(book) -> None:
    form = record_form(book, "pack", club.NOW)
    assert form.meaning("part_no", "pk").value == "PK-12"
    assert form.meaning("part_no", "zz").problem
    fitting = record_form(book, "installation", club.NOW)
    assert fitting.meaning("aircraft", "x-w").value == club.WATT


def test_a_correction_expects_what_is_there_and_asks_for_a_reason_later_on(book) -> None:
    from logbook.services.questions import show

    shown = show(book, "aircraft", club.WATT)
    form = correction_form(book, "aircraft", club.NOW, shown)
    expected = {field.name: field.expected for field in form.fields}
    assert (expected["reserve_soc_pct"], expected["positions"]) == ("25", "front;rear")
    assert not any(field.required for field in form.fields)
    assert form.record({"reserve_soc_pct": ("", "not-read")}) == {"reserve_soc_pct": None}
    late = correction_form(book, "aircraft", "2031-07-01T00:00Z", shown)
    with pytest.raises(DataRefused, match="Reason is needed"):
        late.record(typed(reserve_soc_pct="30"))


@pytest.mark.parametrize(
    ("text", "instant"),
    [
        ("now", club.NOW), ("0830", "2031-06-30T08:30Z"), ("8:30", "2031-06-30T08:30Z"), ("2031-05-09 0830", "2031-05-09T08:30Z"),
        ("2031-05-09T08:30Z", "2031-05-09T08:30Z"), ("-1 2359", "2031-06-29T23:59Z"), ("2500", None), ("2031-02-30 0100", None), ("", None),
    ],
)  # fmt: skip
def test_a_moment_is_read_as_people_write_it(text, instant) -> None:
    meaning = moment(club.NOW)(text)
    assert meaning.value == instant
    assert bool(meaning.problem) is (instant is None)


@given(st.text(max_size=30), st.sampled_from(sorted(FORM_WORDS)))
def test_no_text_breaks_a_field(text, kind) -> None:
    for declared in types_of(KINDS[kind].load()).values():
        meaning = reader_for(declared, club.NOW)(text)
        assert meaning.problem or meaning.value is not None or not text.strip()


@pytest.mark.parametrize(
    ("text", "value"), [("0.46", 0.46), ("46 %", 0.46), ("46%", 0.46), ("1", 1.0), ("0", 0.0), ("46", None)]
)
def test_a_share_may_be_typed_in_percent(text, value) -> None:
    assert share(text).value == value


def test_a_record_is_read_out_with_units_and_without_its_empty_fields(book) -> None:
    from logbook.services.questions import show

    shown = show(book, "pack-type", "PK-12")
    said = {line[0]: line[1:3] for line in lines("pack-type", shown)}
    assert said["SOH 0 means"] == ("70", "% of the nominal capacity")
    assert said["Nominal capacity"] == ("12", "kWh")
    assert "Life" not in said
    assert title("pack-type", shown) == "Pack type: PK-12"
    assert one_line("pack-type", shown) == ("PK-12", "PK-12", "12 kWh")


@pytest.mark.parametrize(
    ("then", "words"),
    [
        ("2031-06-30T12:00Z", "now"), ("2031-06-30T11:48Z", "12 min ago"), ("2031-06-30T09:00Z", "3 h ago"), ("2031-06-28T12:00Z", "2 d ago"),
        ("2031-05-20T12:00Z", "5 weeks ago"), ("2030-06-30T12:00Z", "11 months ago"), ("2020-06-30T12:00Z", "10 years ago"), ("2031-06-30T12:30Z", "in 0:30 h"),
    ],
)  # fmt: skip
def test_an_age_is_said_in_one_figure(then, words) -> None:
    assert ago(then, club.NOW) == words


def test_days_to_come_and_times_that_passed_are_said_in_words() -> None:
    assert [due_in(day, "2031-06-30") for day in ("2031-07-09", "2031-06-30", "2031-06-26")] == [
        "in 9 d",
        "today",
        "4 d past",
    ]
    assert overdue("2031-06-30T11:30Z", club.NOW) == "0:30 h"
    assert overdue("2031-06-30T12:30Z", club.NOW) == ""
