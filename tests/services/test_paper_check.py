"""An issued paper is read again: unchanged, changed with what changed, altered by hand, or no paper of ours."""

from __future__ import annotations

import io
import re
import textwrap
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import DataRefused, NoBook
from logbook.reports.paper import Paper
from logbook.services.add import add
from logbook.services.correct import correct, strike
from logbook.services.export_pages import packs_page, paper_of, table_page
from logbook.services.export_table import table_of
from logbook.services.fitting import remove
from logbook.services.maintenance_entry import record_entry
from logbook.services.pack_papers import write_paper
from logbook.services.pack_standing import set_state
from logbook.services.paper_check import CHANGED, UNCHANGED, UNKNOWN, Checked, check_paper, in_words
from logbook.services.paper_read import ALTERED, AS_ISSUED, NO_TEXT, RESET, bounded, read_file
from logbook.store.database import Book
from tests.club import ADA, P1, P2, P3, P4, VOLT, WATT, charge, flight_at, reading

DAY = "2031-05-20"


def put(book: Book, kind: str, data: object) -> None:
    """Adds long before any paper of these tests is issued."""
    add(book, kind, data, by=ADA, clock=lambda: "2026-01-01T00:00Z")


@pytest.fixture
def flown(book: Book) -> Book:
    """A fortnight of both aeroplanes, a charge a day, a defect, an entry and a part."""
    for day in range(1, 13):
        date = f"2031-05-{day:02d}"
        put(book, "flight", flight_at(8, f"F{day}", date, remarks="calm"))
        put(book, "charge", charge(f"C{day}", P1, f"{date}T10:00Z", ended=f"{date}T11:00Z"))
        other = {"aircraft": VOLT, "readings": [reading(P3), reading(P4)]}
        put(book, "flight", flight_at(9, f"V{day}", date, **other))
    put(book, "defect", {"defect_id": "D1", "serial_no": P1, "found": "2031-05-13T08:00Z", "text": "Hums"})
    entry = {"entry_id": "M1", "serial_no": P1, "completed": "2031-05-14T08:00Z", "text": "Looked at"}
    put(book, "maintenance", entry)
    put(book, "component", {"component_id": "K1", "name": "propeller", "aircraft": WATT, "serial_no": "PR-1"})
    return book


def file_of(paper: Paper, form: str = "text") -> bytes:
    """An issued paper as a file."""
    if form == "pdf":
        pytest.importorskip("reportlab")
        from tests.reports.paper_forms import pdf_of

        return pdf_of(paper)
    stream = io.StringIO()
    write_paper(stream, paper, form)
    return stream.getvalue().encode()


def printed(
    book: Book, what: str = "pack", which: str = P1, as_of: str | None = DAY, form: str = "text"
) -> bytes:
    """A paper, issued now."""
    return file_of(paper_of(book, what, which, as_of), form)


def said(checked: Checked) -> str:
    """The whole answer."""
    return "\n".join(in_words(checked))


PAPERS = [("pack", P1), ("aircraft", WATT), ("year", "2031")]


@pytest.mark.parametrize("form", ["text", "html", "pdf"])
@pytest.mark.parametrize("as_of", [DAY, None])
@pytest.mark.parametrize(("what", "which"), PAPERS)
def test_a_paper_whose_records_are_as_they_were_is_unchanged(
    flown: Book, what: str, which: str, as_of: str | None, form: str
) -> None:
    checked = check_paper(flown, printed(flown, what, which, as_of, form))
    assert (checked.records, checked.text, checked.still_true) == (UNCHANGED, AS_ISSUED, True)
    assert (checked.line.what, checked.line.which) == (what, which)
    assert "UNCHANGED SINCE ISSUE" in said(checked)


@pytest.mark.parametrize(("what", "which"), PAPERS)
def test_a_corrected_flight_is_named_with_what_it_was_and_became(flown: Book, what: str, which: str) -> None:
    issued = printed(flown, what, which)
    correct(flown, "flight", "F3", {f"{P1}.soc_landing_pct": 58}, by=ADA, why="misread")
    checked = check_paper(flown, issued)
    assert (checked.records, checked.still_true) == (CHANGED, False)
    assert "flights" in {one.kind for one in checked.differences}
    assert [(one.kind, one.record_id) for one in checked.changed] == [("flight", "F3")]
    words = said(checked)
    assert "CHANGED SINCE ISSUE: flights" in words
    assert re.search(rf"flight F3: .* by {ADA}: .*was 60, became 58 \(misread\)", words)


def test_a_corrected_flight_of_another_aeroplane_changes_nothing(flown: Book) -> None:
    pack, aircraft = printed(flown), printed(flown, "aircraft", WATT)
    correct(flown, "flight", "V3", {f"{P3}.soc_landing_pct": 58}, by=ADA)
    assert check_paper(flown, pack).records == UNCHANGED
    assert check_paper(flown, aircraft).records == UNCHANGED
    assert check_paper(flown, printed(flown, "aircraft", VOLT)).records == UNCHANGED


@pytest.mark.parametrize("as_of", [DAY, None])
def test_what_is_recorded_of_later_days_changes_nothing(flown: Book, as_of: str | None) -> None:
    """All of it is of July: a flight, a charge, a removal with its reason, a state, a closed defect, a removed part."""
    issued = [printed(flown, what, which, as_of) for what, which in PAPERS if what != "year" or as_of]
    put(flown, "flight", flight_at(8, "LATE", "2031-07-02"))
    put(flown, "charge", charge("CLATE", P1, "2031-07-03T10:00Z"))
    remove(flown, P1, at="2031-07-04T10:00Z", by=ADA, why="hums", to="quarantined")
    set_state(flown, P2, "away", why="to the maker", by=ADA, at="2031-07-05T10:00Z")
    entry = {"serial_no": P1, "completed": "2031-07-06T10:00Z", "text": "Mended", "closes_defect": "D1"}
    record_entry(flown, entry, by=ADA, clock=lambda: "2031-07-08T10:00Z")
    correct(flown, "component", "K1", {"removed": "2031-07-07T10:00Z"}, by=ADA)
    for paper in issued:
        assert said(check_paper(flown, paper)).count("UNCHANGED") == 1


CORRECTIONS: list[tuple[str, str, dict[str, Any]]] = [
    ("charge", "C2", {f"{P1}.soc_end_pct": 88}),
    ("pack", P1, {"limit_hours": 300}),
    ("pack-type", "PK-12", {"temp_limit_c": 55}),
    ("aircraft", WATT, {"time_in_service_from": "meter"}),
    ("maintenance", "M1", {"done_by": "Cleo Fenn"}),
    ("defect", "D1", {"text": "Hums loudly"}),
]


@pytest.mark.parametrize(("kind", "record_id", "changes"), CORRECTIONS)
def test_a_correction_of_anything_it_rests_on_shows(
    flown: Book, kind: str, record_id: str, changes: dict[str, Any]
) -> None:
    issued = printed(flown)
    correct(flown, kind, record_id, changes, by=ADA)
    checked = check_paper(flown, issued)
    assert checked.records == CHANGED
    assert (kind, record_id) in {(one.kind, one.record_id) for one in checked.changed}


def test_a_flight_struck_out_or_entered_for_an_earlier_day_shows(flown: Book) -> None:
    issued = printed(flown)
    strike(flown, "flight", "F5", by=ADA, why="twice")
    checked = check_paper(flown, issued)
    assert [(one.kind, one.then, one.now) for one in checked.differences] == [("flights", 12, 11)]
    assert "flight F5: " in said(checked)
    assert "struck out (twice)" in said(checked)
    add(flown, "flight", flight_at(12, "FORGOTTEN", "2031-05-04"), by=ADA)
    assert re.search(r"flight FORGOTTEN: entered 20\d\d-", said(check_paper(flown, issued)))


def test_a_state_said_later_of_an_earlier_day_shows(flown: Book) -> None:
    issued = printed(flown)
    set_state(flown, P1, "quarantined", why="hums", by=ADA, at="2031-05-15T08:00Z")
    checked = check_paper(flown, issued)
    assert [one.kind for one in checked.differences] == ["packs"]


def test_notes_and_prices_are_nothing_a_paper_of_maintenance_rests_on(flown: Book) -> None:
    issued = [printed(flown), printed(flown, "aircraft", WATT)]
    correct(flown, "flight", "F3", {"remarks": "gusty", "debrief": "hold it off"}, by=ADA)
    correct(flown, "aircraft", WATT, {"electricity_price_per_kwh": 0.4}, by=ADA)
    year = printed(flown, "year", "2031")
    correct(flown, "aircraft", WATT, {"electricity_price_per_kwh": 0.5}, by=ADA)
    assert all(check_paper(flown, one).records == UNCHANGED for one in issued)
    assert check_paper(flown, year).records == CHANGED  # it says what the energy cost


def test_the_page_of_all_packs_can_be_asked_and_that_of_a_table_cannot(flown: Book) -> None:
    issued = file_of(packs_page(flown), "html")
    assert check_paper(flown, issued).records == UNCHANGED
    correct(flown, "flight", "V3", {f"{P3}.soc_landing_pct": 58}, by=ADA)
    assert check_paper(flown, issued).records == CHANGED
    with pytest.raises(DataRefused, match="page of a table"):
        check_paper(flown, file_of(table_page(flown, table_of(flown, "due", None)), "html"))


# -- its own text ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["text", "html"])
def test_a_figure_edited_by_hand_shows_though_the_records_are_unchanged(flown: Book, form: str) -> None:
    issued = printed(flown, form=form).decode()
    edited = issued.replace("2031-05-14", "2031-05-15", 1)
    assert edited != issued
    checked = check_paper(flown, edited.encode())
    assert (checked.records, checked.text, checked.still_true) == (UNCHANGED, ALTERED, False)
    assert "THE PAPER ITSELF WAS ALTERED" in said(checked)


def test_a_pdf_of_which_one_byte_differs_was_altered(flown: Book) -> None:
    issued = bytearray(printed(flown, form="pdf"))
    at = issued.index(b"stream\n") + 40
    issued[at] ^= 1
    assert check_paper(flown, bytes(issued)).text == ALTERED


def test_an_edited_line_is_an_edited_paper_and_then_nothing_is_said_of_the_records(flown: Book) -> None:
    issued = printed(flown).decode()
    checked = check_paper(flown, issued.replace("as-of=2031-05-20", "as-of=2031-05-10").encode())
    assert (checked.records, checked.text) == (UNKNOWN, ALTERED)
    assert "cannot be told" in said(checked)


def _crlf(text: str) -> str:
    return text.replace("\n", "\r\n")


def _trailing(text: str) -> str:
    return text.replace("\n", "  \t\n")


def _marked(text: str) -> str:
    return "\ufeff\n\n" + text + "\n\n"


@pytest.mark.parametrize("form", ["text", "html"])
@pytest.mark.parametrize(
    "change", [_crlf, _trailing, _marked], ids=["line ends", "trailing blanks", "byte order mark"]
)
def test_what_an_editor_does_to_line_ends_is_no_alteration(flown: Book, form: str, change: Any) -> None:
    checked = check_paper(flown, change(printed(flown, form=form).decode()).encode())
    assert (checked.text, checked.behind) == (AS_ISSUED, False)


def test_html_whose_lines_were_broken_anew_is_as_issued(flown: Book) -> None:
    wrapped = "\n".join(
        textwrap.wrap(
            printed(flown, form="html").decode(), 90, break_long_words=False, break_on_hyphens=False
        )
    )
    assert check_paper(flown, wrapped.encode()).text == AS_ISSUED


def test_a_figure_moved_to_another_cell_of_html_shows(flown: Book) -> None:
    issued = printed(flown, "aircraft", WATT, form="html").decode()
    moved = re.sub(
        r'(<td class="right">)([0-9.]+)</td>(<td[^>]*>)</td>', r"\1</td>\3\2</td>", issued, count=1
    )
    assert moved != issued
    checked = check_paper(flown, moved.encode())
    assert checked.text == RESET
    assert "look at its columns" in said(checked)


def test_text_that_a_mail_program_broke_anew_has_its_words_as_issued(flown: Book) -> None:
    broken = "\n".join(
        textwrap.wrap(printed(flown).decode(), 60, break_long_words=False, break_on_hyphens=False)
    )
    checked = check_paper(flown, broken.encode())
    assert (checked.text, checked.records, checked.still_true) == (RESET, UNCHANGED, True)


def test_the_line_alone_typed_off_a_sheet_is_enough(flown: Book) -> None:
    line = re.search(r"Paper check:.*", printed(flown).decode(), re.DOTALL)
    assert line is not None
    typed = re.sub(r"; text=.*", ".", line[0], flags=re.DOTALL)
    checked = check_paper(flown, typed.encode())
    assert (checked.records, checked.text) == (UNCHANGED, NO_TEXT)


def test_what_stands_behind_the_last_line_is_said_to_be_no_part_of_it(flown: Book) -> None:
    checked = check_paper(flown, printed(flown) + b"\nInspected and released.\n")
    assert checked.behind
    assert "no part of the paper" in said(checked)


def test_a_remark_that_quotes_another_paper_leads_nowhere(flown: Book) -> None:
    quoted = re.sub(r"\s+", " ", printed(flown, "aircraft", WATT).decode().partition("Paper check:")[2])
    correct(flown, "defect", "D1", {"text": f"see Paper check:{quoted}"}, by=ADA)
    for form in ("text", "html", "pdf"):
        checked = check_paper(flown, printed(flown, form=form))
        assert (checked.line.which, checked.text, checked.records) == (P1, AS_ISSUED, UNCHANGED)


def test_names_with_anything_in_them_are_found_again(flown: Book) -> None:
    name = "A;b. c=d, (x)\\ %20 \u00e9" + "9" * 100
    correct(flown, "pack", P1, {"serial_no": name}, by=ADA)
    for form in ("text", "html", "pdf"):
        checked = check_paper(flown, printed(flown, which=name, form=form))
        assert (checked.line.which, checked.text, checked.records) == (name, AS_ISSUED, UNCHANGED)


# -- editions, other books, no papers ------------------------------------------------------------------------------------


def test_other_words_of_the_program_are_no_change_of_the_records(
    flown: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    issued = printed(flown)
    monkeypatch.setattr("logbook.services.paper_check.EDITION", 999)
    checked = check_paper(flown, issued)
    assert (checked.records, checked.still_true) == (UNCHANGED, True)
    assert "this program those of 999" in said(checked)


def test_digests_made_otherwise_cannot_be_compared(flown: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    issued = printed(flown)
    monkeypatch.setattr("logbook.services.paper_check.FORM", 999)
    with pytest.raises(DataRefused, match="another edition of the program"):
        check_paper(flown, issued)


def test_a_paper_of_another_book_is_refused_by_name(flown: Book, tmp_path: Path) -> None:
    issued = printed(flown)
    with (
        Book.open(tmp_path / "other.logbook", create=True) as other,
        pytest.raises(DataRefused, match="another book"),
    ):
        check_paper(other, issued)


def test_the_same_records_in_another_file_are_the_same_records(flown: Book, tmp_path: Path) -> None:
    """A book that went out as a package and in again: whole numbers are stored otherwise, and no row has its old number."""
    from logbook.services.export_book import export_package
    from logbook.services.import_book import import_package

    issued = [printed(flown, what, which) for what, which in PAPERS]
    export_package(flown, tmp_path / "all.zip")
    with Book.open(tmp_path / "other.logbook", create=True) as other:
        import_package(other, tmp_path / "all.zip")
        for paper in issued:
            assert said(check_paper(other, paper)).count("UNCHANGED") == 1


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"Dear all, nothing here.",
        b"\x89PNG\r\n\x1a\n\xff\xfe\xfd",
        b"%PDF-1.4 nothing",
        b"%PDF-1.4 /Keywords (Paper check: pack=",
        b"Paper check:",
        b"Paper check: pack=X; as-of=yesterday.",
        b"<main>" + b"<" * 1_000_000 + b"Paper check: pack=X",
        b"Paper check:" * 200_000,
        b"Paper check: " + b"a" * 4_000_000,
        b"Paper check: pack=" + b"9;" * 1_000_000 + b".",
    ],
    ids=["empty", "a letter", "a picture", "a PDF", "half a PDF", "nothing after", "no moment", "tags", "again and again", "long", "semicolons"],
)  # fmt: skip
def test_what_is_no_paper_of_ours_is_refused_in_plain_words(book: Book, data: bytes) -> None:
    with pytest.raises(DataRefused) as refused:
        check_paper(book, data)
    assert "paper" in refused.value.problem.lower() or "neither text, HTML nor PDF" in refused.value.problem
    assert "Give the text, HTML or PDF file as it was written" in refused.value.next_step


def test_a_damaged_line_is_refused_not_guessed(flown: Book) -> None:
    issued = printed(flown).decode()
    for damaged in (
        issued.replace("records=", "records=0"),
        issued[: issued.index("records=")],
        issued.replace("; as-of", " as-of"),
    ):
        with pytest.raises(DataRefused, match="damaged"):
            check_paper(flown, damaged.encode())


def test_folders_devices_and_enormous_files_are_not_read(tmp_path: Path) -> None:
    with pytest.raises(DataRefused, match="no file"):
        read_file(tmp_path)
    with pytest.raises(DataRefused, match="no file"):
        read_file(Path("/dev/zero"))
    with pytest.raises(NoBook):
        read_file(tmp_path / "none")
    large = tmp_path / "large"
    with large.open("wb") as file:
        file.truncate(40 * 2**20)
    with pytest.raises(DataRefused, match="larger than 32 MiB"):
        read_file(large)
    assert bounded(b"x") == b"x"


@pytest.mark.parametrize(
    ("kind", "name", "key"), [("pack", P1, "serial_no"), ("aircraft", WATT, "registration")]
)
def test_what_got_another_name_is_said_by_that_name(flown: Book, kind: str, name: str, key: str) -> None:
    paper = printed(flown, kind, name)
    correct(flown, kind, name, {key: "NEW-1"}, why="misread")
    with pytest.raises(DataRefused, match=f"{kind} '{name}' got another name, 'NEW-1'"):
        check_paper(flown, paper)
