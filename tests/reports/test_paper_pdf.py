"""Papers as PDF: every figure is on them, every sheet says what it is, and nothing is cut away without a word."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from logbook.cli.main import run
from logbook.errors import UsageError
from logbook.reports.paper import Facts, Heading, Listing, Paper, Picture, SignHere, Words
from logbook.reports.paper_pdf import write_pdf
from logbook.reports.plot import Axis, Band, Limit, Mark, Plot, Series
from logbook.reports.text_table import Column
from logbook.services.correct import correct
from logbook.services.export_list import OFFERS, PDF, forms_of
from logbook.services.export_pages import packs_page
from logbook.services.export_table import export_table
from logbook.services.pack_papers import aircraft_paper, component_record
from logbook.services.paper_files import write_papers
from logbook.store.database import Book
from tests.club import NOW, P1, WATT, flight_at, put
from tests.reports.paper_forms import figures_of, papers_of, pdf_of
from tests.reports.pdf_text import sheets_of, text_of

pytest.importorskip("reportlab")

PLOT = Plot(
    "Usable capacity",
    Axis("date", dated=True),
    Axis("usable", "kWh"),
    [Series("line", [741000, 741010], [15.5, 15]), Series("seen", [741005], [15.2], "points", "cross")],
    [Band("nine times in ten", [741000, 741010], [14, 14], [16, 16])],
    [Limit("least", 14.5)],
    [Mark("new firmware", 741004)],
)


@pytest.fixture
def flown(book: Book) -> Book:
    """A book with flights, limits, a part and a deferred defect."""
    for day in range(1, 9):
        put(book, "flight", flight_at(8, f"F{day}", f"2031-05-{day:02d}"))
    correct(book, "pack", P1, {"limit_hours": 300, "limit_date": "2035-02-03"}, by="A")
    part = {"name": "propeller", "aircraft": WATT, "serial_no": "PR-1", "limit_hours": 800}
    put(book, "component", part | {"hours_brought_forward": 12.3456})
    put(
        book,
        "defect",
        {"defect_id": "D1", "aircraft": WATT, "found": "2031-05-13T08:00Z", "text": "Brake drags"},
    )
    correct(book, "defect", "D1", {"state": "deferred", "deferred_until": "2031-09-01"}, by="A")
    return book


def paper(*blocks: object, title: str = "A paper") -> Paper:
    return Paper(title, NOW, "ab" * 32, blocks)  # type: ignore[arg-type]


def test_every_figure_of_a_paper_is_in_each_of_its_forms(flown: Book) -> None:
    """The PDF is read back as a viewer copies it."""
    pages = (component_record(flown, P1), aircraft_paper(flown, WATT), packs_page(flown))
    for one in pages:
        wanted = set(figures_of(one))
        assert len(wanted) > 10
        for form, text in papers_of(one).items():
            assert wanted <= set(re.split(r"[\s(),;]+", text)), form


def test_every_sheet_carries_the_caution_the_digest_and_its_number() -> None:
    rows = [{"what": f"row {number}", "h": number * 1.25} for number in range(200)]
    long = paper(Listing([Column("what", "work done"), Column("h", "hours", right=True)], rows), SignHere())
    sheets = sheets_of(pdf_of(long))
    assert len(sheets) > 2
    for number, sheet in enumerate(sheets, start=1):
        words = " ".join(sheet.split())
        assert "As recorded by the operator; not a release to service." in words
        assert "ab" * 32 in words
        assert f"Page {number} of {len(sheets)}" in words
        assert "A paper" in words
        assert "work done hours" in words  # heads are repeated
    together = " ".join(sheets)
    assert all(len(re.findall(rf"\brow {number}\b", together)) == 1 for number in range(200))
    assert "Certificate number" in sheets[-1]


def test_a_table_that_fits_only_on_its_side_turns_the_sheet_and_a_wider_one_becomes_a_list() -> None:
    def of(count: int) -> bytes:
        columns = [Column(f"c{number}", f"figure{number}", right=True) for number in range(count)]
        return pdf_of(
            paper(Listing(columns, [{f"c{number}": 12345.6789 + number for number in range(count)}]))
        )

    assert b"[ 0 0 595.2756 841.8898 ]" in of(4)
    assert b"[ 0 0 841.8898 595.2756 ]" in of(11)
    assert b"[ 0 0 595.2756 841.8898 ]" in of(60)
    for count in (4, 11, 60):
        assert all(f"{12345.6789 + number:.4f}" in text_of(of(count)).split() for number in range(count))


def test_a_cell_taller_than_a_sheet_goes_on_and_nothing_of_it_is_lost() -> None:
    words = " ".join(f"word{number}" for number in range(3000))
    sheets = sheets_of(pdf_of(paper(Heading("Remarks"), Listing([Column("a", "remarks")], [{"a": words}]))))
    assert len(sheets) > 1
    assert set(words.split()) <= set(" ".join(sheets).split())


def test_markup_and_hidden_characters_stay_text() -> None:
    evil = "<b>bold</b> &amp; <font color='red'>x</font> \x1b[2J\u202eabc"
    found = text_of(pdf_of(paper(Words(evil), Facts([(evil, evil)]), title=evil))).replace(" ", "")
    assert found.count("<b>bold</b>&amp;<fontcolor='red'>x</font>\\x1b[2J\\u202eabc") >= 3


def test_what_the_letters_cannot_write_is_named_and_unknown_is_said() -> None:
    found = text_of(pdf_of(paper(Facts([("By", "Žofie 電"), ("Part number", None)]))))
    assert "Part number unknown" in found
    assert "U+96FB as ?" in found


def test_the_plot_is_drawn_with_its_words() -> None:
    found = text_of(
        pdf_of(paper(Picture(PLOT, "It fades."), Picture(Plot("p", Axis("x"), Axis("y")), "None.")))
    )
    for words in (
        "Usable capacity",
        "usable [kWh]",
        "nine times in ten",
        "least",
        "new firmware",
        "It fades.",
    ):
        assert words in found
    assert "Nothing to draw yet." in found


def test_the_same_paper_gives_the_same_bytes(flown: Book) -> None:
    one = component_record(flown, P1, NOW)
    assert pdf_of(one) == pdf_of(one)


@pytest.mark.parametrize(
    ("what", "which"), [("packs", None), ("pack", P1), ("aircraft", WATT), ("due", None)]
)
def test_exports_as_pdf_by_the_ending_of_the_file(
    flown: Book, tmp_path: Path, what: str, which: str | None
) -> None:
    path = tmp_path / "paper.pdf"
    export_table(flown, what, which, path)
    assert "Page 1 of" in text_of(path.read_bytes())


def test_a_table_of_sixty_columns_is_refused_with_what_to_do(flown: Book, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="too many columns for PDF"):
        export_table(flown, "flights", None, tmp_path / "flights.pdf")
    assert list(tmp_path.glob("*.pdf")) == []


def test_the_screens_write_and_offer_pdf_beside_the_other_forms(
    flown: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = write_papers(flown, "pack", P1, tmp_path).files
    assert [path.suffix for path in written] == [".pdf", ".html", ".txt"]
    offered = {offer.id for offer in OFFERS if PDF in forms_of(offer)}
    assert {"packs", "due", "pack", "aircraft", "plan", "person-pages", "year"} == offered
    monkeypatch.setattr("logbook.services.paper_files.has_pdf", lambda: False)
    written = write_papers(flown, "pack", P1, tmp_path).files
    assert [path.name.partition("-2.")[2] for path in written] == ["html", "txt"]


def test_without_the_extra_it_is_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "reportlab.platypus", None)
    with pytest.raises(UsageError, match="needs the extra 'pdf'"):
        write_pdf(io.BytesIO(), paper())


def test_the_command_writes_it(flown: Book, tmp_path: Path) -> None:
    path = tmp_path / "out.pdf"
    assert run(["--file", str(flown.path), "paper", "aircraft", WATT, "--to", str(path)]) == 0
    found = text_of(path.read_bytes())
    assert "deferred Brake drags" in found
    assert (
        run(["--file", str(flown.path), "export", "pack", P1, "--format", "pdf", "--to", str(tmp_path / "p")])
        == 0
    )
    assert (tmp_path / "p").read_bytes().startswith(b"%PDF-")


def test_a_defect_that_is_open_or_deferred_is_on_the_paper_of_today(flown: Book) -> None:
    """Without a day everything counts: the defects too."""
    for text in papers_of(aircraft_paper(flown, WATT)).values():
        assert "Brake drags" in text
        assert "None open" not in text
