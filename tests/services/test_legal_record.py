"""The pilot's record: entries, totals, forms, what is missing; against the published fields and rules.

Fields: 14 CFR 61.51(b); AMC1 FCL.050 as of ED Decision 2022/014/R (columns 9 to 11 from memory, the others read).
"""

from __future__ import annotations

import io
import re

import pytest

from logbook.errors import UsageError
from logbook.reports.pilot_pages import sum_up
from logbook.reports.pilot_pages_text import columns_of, missing_lines, write_pages
from logbook.services.correct import correct
from logbook.services.legal_record import person_pages, write_person_pages
from logbook.store.version_chain import chain_head, chain_heads
from tests.club import ADA, BEN, CLEO, FIELD, MOSS, WATT, flight, flight_at, put

LESSON = {"pilot": BEN, "function": "dual", "second_person": ADA, "second_function": "instructor"}


def text_of(pages, width=80) -> str:
    stream = io.StringIO()
    write_pages(stream, pages, width=width)
    return stream.getvalue()


def entries_of(pages):
    return [entry for page in pages.pages for entry in page.entries]


def test_the_european_columns_stand_in_the_published_order():
    groups = list(dict.fromkeys(column.group for column in columns_of("european")))
    assert [int(group.split()[0]) for group in groups] == [1, 2, 3, 4, 5, 5, 6, 7, 8, 9, 10, 11, 12]
    named = {(c.group.split()[0], c.title) for c in columns_of("european")}
    assert {("2", "place"), ("2", "UTC"), ("5", "SE"), ("5", "ME"), ("8", "day"), ("8", "night")} <= named
    assert {
        ("9", "night"),
        ("9", "IFR"),
        ("10", "PIC"),
        ("10", "co-pilot"),
        ("10", "dual"),
        ("10", "instructor"),
    } <= named


def test_the_american_record_has_every_field_of_the_rule():
    named = {(column.group, column.title) for column in columns_of("american")}
    general = {"date", "total time", "from", "to", "type", "identification", "safety pilot"}
    experience = {"solo", "PIC", "SIC", "received", "ground", "in device"}
    conditions = {"day", "night", "actual instr.", "simul. instr.", "NVG"}
    assert {("general", name) for name in general} <= named
    assert {("experience", name) for name in experience} <= named
    assert {("conditions", name) for name in conditions} <= named


def test_every_page_carries_its_own_the_previous_and_the_total_sums(book):
    put(book, "flight", [flight_at(8, f"F{day}", day=f"2031-05-{day:02d}") for day in range(1, 8)])
    pages = person_pages(book, ADA, rows=3).pages
    assert [len(page.entries) for page in pages] == [3, 3, 1]
    assert [page.this.minutes for page in pages] == [120, 120, 40]
    assert [page.before.minutes for page in pages] == [0, 120, 240]
    assert [page.total.minutes for page in pages] == [120, 240, 280]
    assert [page.total.landings_day for page in pages] == [3, 6, 7]


def test_earlier_flights_and_time_brought_forward_are_in_the_previous_pages(book):
    put(
        book,
        "person",
        {"person": "Dot Reed", "brought_forward_total_min": 6000, "brought_forward_pic_min": 3000},
    )
    put(
        book,
        "flight",
        [flight_at(8, f"F{day}", day=f"2031-05-{day:02d}", pilot="Dot Reed") for day in (1, 2, 3)],
    )
    pages = person_pages(book, "Dot Reed", since="2031-05-02", until="2031-05-02")
    (page,) = pages.pages
    assert (page.before.minutes, page.before.pic_min) == (6040, 3040)
    assert (page.this.minutes, page.total.minutes) == (40, 6080)
    assert any("brought forward" in note for note in pages.notes)


def test_each_function_has_its_time_and_the_commander_is_named(book):
    put(book, "aircraft", {"registration": "X-TWIN", "type": "old twin", "class": "MEP", "positions": []})
    put(
        book,
        "flight",
        [
            flight_at(6, "A", **LESSON),
            flight_at(
                8,
                "B",
                aircraft="X-TWIN",
                readings=[],
                function="picus",
                second_person=CLEO,
                second_function="pic",
            ),
        ],
    )
    lesson, supervised = entries_of(person_pages(book, ADA))
    assert (lesson.sums.instructor_min, lesson.sums.pic_min, lesson.sums.dual_min) == (40, 40, 0)
    assert (lesson.commander, supervised.commander) == (ADA, CLEO)
    assert "not countersigned" in supervised.remarks
    assert (supervised.sums.multi_min, supervised.sums.single_min) == (40, 0)
    (dual,) = entries_of(person_pages(book, BEN))
    assert (dual.sums.dual_min, dual.sums.pic_min) == (40, 0)


def test_training_devices_stand_apart_and_add_nothing_to_flight_time(book):
    put(
        book,
        "flight",
        [flight_at(8, "D", outcome="device", readings=[], **LESSON), flight_at(10, "F", pilot=BEN)],
    )
    pages = person_pages(book, BEN)
    assert (pages.pages[0].total.minutes, pages.pages[0].total.device_min) == (40, 40)
    shown = [[column.cell(entry) for column in columns_of("european")] for entry in entries_of(pages)]
    assert shown[0][:12] == [""] * 12
    assert shown[0][20:23] == ["09/05/31", "invented two-seater", "0:40"]
    assert shown[1][20:23] == ["", "", ""]


def cells_of(form, entry):
    """Cells by group and title."""
    return {(column.group, column.title): column.cell(entry) for column in columns_of(form)}


def notes_of(pages):
    return " ".join(pages.notes)


def test_recorded_night_goes_before_the_sun_and_is_said_to_be_recorded(book):
    put(book, "flight", [flight_at(8, "N", night_min=25), flight_at(10, "S")])
    recorded, unknown = entries_of(person_pages(book, ADA))
    assert (recorded.sums.night_min, recorded.sums.day_min) == (25, 15)
    assert "day or night" not in " ".join(recorded.missing)
    assert "day or night" in " ".join(unknown.missing)
    notes = notes_of(person_pages(book, ADA))
    assert "The night of 1 of 2 flights is as it was written down" in notes
    correct(book, "place", FIELD, {"latitude_deg": 48, "longitude_deg": 11})
    assert (
        entries_of(person_pages(book, ADA))[0].sums.night_min == 25
    )  # the Sun says 0: it was a morning in May


def test_a_flight_recorded_as_by_day_needs_no_coordinates(book):
    put(book, "flight", flight("D", night_min=0))
    (entry,) = entries_of(person_pages(book, ADA))
    assert (entry.sums.day_min, entry.night_known) == (40, True)


def test_every_box_of_the_forms_that_the_record_can_fill_is_filled(book):
    flown = {
        "ifr_min": 30, "instrument_min": 5, "simulated_instrument_min": 20, "ground_training_min": 45,
        "safety_pilot": CLEO, "approaches_text": "Larkfield, RNP",
    }  # fmt: skip
    put(book, "flight", flight("F", **flown))
    (entry,) = entries_of(person_pages(book, ADA))
    assert cells_of("european", entry)["9 condition", "IFR"] == "0:30"
    american = cells_of("american", entry)
    assert american["conditions", "actual instr."] == "0:05"
    assert american["conditions", "simul. instr."] == "0:20"
    assert american["experience", "ground"] == "0:45"
    assert american["general", "safety pilot"] == CLEO
    assert (
        "approaches: Larkfield, RNP" in american["remarks", "remarks and endorsements"]
    )  # 14 CFR 61.51(g)(3)
    assert american["conditions", "NVG"] == ""


def test_instrument_time_is_the_handling_pilots_and_ground_training_the_learners(book):
    """14 CFR 61.51(g) (from memory): actual conditions count for the instructor too, simulated ones do not."""
    minutes = {"instrument_min": 10, "simulated_instrument_min": 20, "ground_training_min": 45}
    put(book, "flight", flight("L", **LESSON, **minutes))
    (student,) = entries_of(person_pages(book, BEN, "american"))
    (teacher,) = entries_of(person_pages(book, ADA, "american"))
    wanted = ("instrument_min", "simulated_min", "ground_min")
    assert [getattr(student.sums, name) for name in wanted] == [10, 20, 45]
    assert [getattr(teacher.sums, name) for name in wanted] == [10, 0, 0]


def test_a_lesson_in_a_device_names_the_device_and_adds_simulated_instrument_time(book):
    device = {"device_text": "BITD, qualification Q-12", "simulated_instrument_min": 30}
    put(book, "flight", flight("D", outcome="device", readings=[], **LESSON, **device))
    for form, box in (("european", ("11 device", "type")), ("american", ("general", "type"))):
        (entry,) = entries_of(person_pages(book, BEN, form))
        assert cells_of(form, entry)[box] == "BITD, qualification Q-12"
        assert (entry.sums.minutes, entry.sums.device_min, entry.sums.simulated_min) == (0, 40, 30)
        assert entry.missing == ()


def test_a_device_without_its_qualification_is_named_as_incomplete_in_europe(book):
    put(book, "flight", flight("D", outcome="device", readings=[], **LESSON))
    assert "type and qualification of the device" in " ".join(missing_lines(person_pages(book, BEN)))
    assert "qualification" not in " ".join(missing_lines(person_pages(book, BEN, "american")))


def test_simulated_instrument_time_alone_wants_a_safety_pilot_on_the_american_page(book):
    put(book, "flight", flight("S", simulated_instrument_min=20))
    assert "safety pilot" in " ".join(missing_lines(person_pages(book, ADA, "american")))
    assert "safety pilot" not in " ".join(missing_lines(person_pages(book, ADA)))


def test_a_lesson_on_the_ground_alone_stands_on_the_american_page(book):
    put(book, "flight", flight("G", outcome="aborted", ground_training_min=50, **LESSON))
    (entry,) = entries_of(person_pages(book, BEN, "american"))
    assert (entry.sums.minutes, entry.sums.ground_min) == (0, 50)
    assert entries_of(person_pages(book, BEN)) == []


def test_what_is_blank_because_nobody_wrote_it_down_is_said_and_is_no_zero(book):
    put(book, "flight", [flight_at(8, "A"), flight_at(10, "B", ifr_min=0)])
    assert "blank in the others: IFR time of 1 of 2" in notes_of(person_pages(book, ADA))
    american = person_pages(book, ADA, "american")
    never = "actual instrument time, simulated instrument time, ground training, safety pilot"
    assert f"Not written down in any entry, and blank: {never}." in notes_of(american)
    totals = {(c.group, c.title): c.total(american.pages[0].total) for c in columns_of("american") if c.total}
    assert totals["conditions", "simul. instr."] == ""
    assert totals["conditions", "day"] == "0:00"


def session(flight_id, off, on, **changes):
    day = "2031-05-09T"
    times = {"off_blocks": f"{day}{off}Z", "takeoff": None, "landing": None, "on_blocks": f"{day}{on}Z"}
    return flight(flight_id, **(times | changes))


def test_two_sessions_twenty_five_minutes_apart_may_be_one_entry(book):
    """Check value: 10:00-11:00 and 11:25-12:25 at the same field may be one entry; a gap of 31 minutes makes two."""
    put(book, "flight", [session("A", "10:00", "11:00"), session("B", "11:25", "12:25")])
    assert len(entries_of(person_pages(book, ADA))) == 2
    (entry,) = entries_of(person_pages(book, ADA, join_same_day=True))
    assert (entry.departed[11:16], entry.arrived[11:16]) == ("10:00", "12:25")
    assert entry.sums.minutes == 120  # the break is no flight time
    assert (entry.sums.landings_day, entry.flight_ids, entry.remarks) == (2, ("A", "B"), "2 flights")


def test_thirty_one_minutes_another_place_or_another_function_make_two_entries(book):
    put(
        book,
        "flight",
        [
            session("A", "06:00", "06:30"),
            session("B", "07:01", "07:30"),
            session("C", "07:40", "08:00", place_to=MOSS),
            session("D", "08:10", "08:20", function="picus", second_person=CLEO, second_function="pic"),
        ],
    )
    assert len(entries_of(person_pages(book, ADA, join_same_day=True))) == 4


def test_joining_changes_no_total(book):
    put(
        book,
        "flight",
        [session("A", "10:00", "11:00"), session("B", "11:30", "12:00"), session("C", "12:10", "12:20")],
    )
    apart, together = person_pages(book, ADA), person_pages(book, ADA, join_same_day=True)
    assert len(entries_of(together)) == 1
    assert entries_of(together)[0].remarks == "3 flights"
    assert sum_up(entries_of(apart)) == sum_up(entries_of(together))


def test_what_the_law_wants_and_nobody_wrote_down_is_named_first(book):
    put(book, "flight", flight("F", function=None, place_to=None, landings_day=None))
    lines = missing_lines(person_pages(book, ADA))
    assert lines[0] == "incomplete: of the pilot: licence number, address"
    for words in (
        "function",
        "place of arrival",
        "landings",
        "day or night",
        "single- or multi-engine",
        "pilot in command",
    ):
        assert words in lines[1]
    american = missing_lines(person_pages(book, ADA, "american"))
    assert "landings" not in american[1]


def test_nothing_is_missing_from_a_complete_record(book):
    correct(book, "person", ADA, {"licence_no": "L-1", "address": "1 Hangar Row"})
    correct(book, "aircraft", WATT, {"class": "SEP"})
    correct(book, "place", FIELD, {"latitude_deg": 48, "longitude_deg": 11})
    put(book, "flight", flight("F"))
    for form in ("european", "american"):
        assert person_pages(book, ADA, form).missing == ()


def test_no_line_is_wider_than_asked_for_and_the_head_stands_on_every_page(book):
    put(
        book,
        "flight",
        [flight_at(8, f"F{day}", day=f"2031-05-{day:02d}", remarks="w" * 200) for day in range(1, 8)],
    )
    for form in ("european", "american"):
        for width in (80, 132, 240):
            text = text_of(person_pages(book, ADA, form, rows=3), width)
            assert max(map(len, text.splitlines())) <= width
            assert text.count("Holder: Ada Quill") == text.count("Pilot's signature") == 3
            assert text.count("total of previous pages") == 3


def test_the_head_of_the_chain_of_earlier_states_is_printed_and_moves_with_a_correction(book):
    put(book, "flight", flight("F"))
    before = chain_head(book)
    assert before.head in text_of(person_pages(book, ADA))
    correct(book, "flight", "F", {"remarks": "gusty"}, by=ADA)
    after = chain_head(book)
    assert after.states > before.states
    assert after.head != before.head
    assert chain_heads(book, {before.states}) == {before.states: before.head}


def test_text_from_people_is_shown_never_obeyed(book):
    put(book, "flight", flight("F", remarks="<script>alert(1)</script> \x1b[2J", place_to="<b>"))
    pages = person_pages(book, ADA)
    assert "\x1b" not in text_of(pages)
    stream = io.BytesIO()
    write_person_pages(pages, stream, "html")
    page = stream.getvalue().decode()
    assert "<script" not in page
    assert "<b>" not in page
    assert "&lt;script&gt;" in page
    assert "\x1b" not in page
    assert "default-src &#x27;none&#x27;" in page


def test_html_has_a_sheet_for_each_page_with_repeated_heads_and_total_rows(book):
    put(book, "flight", [flight_at(8, f"F{day}", day=f"2031-05-{day:02d}") for day in range(1, 6)])
    stream = io.BytesIO()
    write_person_pages(person_pages(book, ADA, "american", rows=2), stream, "html")
    page = stream.getvalue().decode()
    assert page.count("<section>") == page.count("<thead>") == page.count("<tfoot>") == 3
    assert page.count("total of previous pages") == 3
    assert "table-header-group" in page
    assert (
        "tfoot { display: table-row-group; }" in page
    )  # sums once, at the end, where an entry makes a page too tall
    assert "break-after: page" in page


def test_pdf_has_a_sheet_for_each_page_and_the_same_bytes_each_time(book):
    pytest.importorskip("reportlab")
    put(
        book,
        "flight",
        [flight_at(8, f"F{day}", day=f"2031-05-{day:02d}", remarks="<b>x</b>") for day in range(1, 6)],
    )
    written = []
    for _ in range(2):
        stream = io.BytesIO()
        write_person_pages(person_pages(book, ADA, rows=2), stream, "pdf")
        written.append(stream.getvalue())
    assert written[0].startswith(b"%PDF-")
    assert written[0] == written[1]
    assert b"/Count 3" in written[0]


def test_letters_the_font_of_pdf_lacks_are_shown_otherwise_and_named():
    pytest.importorskip("reportlab")
    from logbook.reports.pdf_letters import letters, lost

    assert letters("Łódź, café, Žižkov, Москва") == "Łódz, café, Žižkov, ??????"
    assert letters("cafe\u0301") == "café"
    assert letters("\x1b[2J") == "\\x1b[2J"
    assert lost(["Łódź", "日"]) == (
        "Letters that the font of this paper does not have are shown otherwise: U+017A as z, U+65E5 as ?; "
        "the HTML page has them all."
    )
    assert lost(["Łódka", "café"]) == ""


def sheets(pages) -> int:
    stream = io.BytesIO()
    write_person_pages(pages, stream, "pdf")
    (count,) = re.findall(rb"/Count (\d+)", stream.getvalue())
    return int(count)


def test_a_full_page_of_long_words_is_one_sheet_and_one_that_is_far_too_tall_goes_on(book):
    pytest.importorskip("reportlab")
    days = [f"2031-05-{day:02d}" for day in range(1, 29)]
    put(book, "flight", [flight_at(8, f"F{day}", day=day, remarks="long words " * 9) for day in days])
    for form in ("european", "american"):
        assert sheets(person_pages(book, ADA, form)) == 2
    put(book, "flight", flight_at(12, "X", day="2031-05-29", remarks="long words " * 500))
    assert sheets(person_pages(book, ADA, rows=40)) > 1


def test_without_the_extra_pdf_is_refused_with_what_to_do(book, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "reportlab.platypus", None)
    with pytest.raises(UsageError, match="needs the extra 'pdf'"):
        write_person_pages(person_pages(book, ADA), io.BytesIO(), "pdf")


def test_an_empty_record_is_one_page_that_says_so(book):
    assert "No entries." in text_of(person_pages(book, CLEO))


def test_an_unknown_form_is_refused_in_words(book):
    with pytest.raises(UsageError, match="no form 'martian'"):
        person_pages(book, ADA, "martian")
