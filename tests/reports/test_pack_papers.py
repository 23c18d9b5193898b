"""Papers: nothing on them runs, nothing hides, a later change shows, and the text fits eighty columns."""

from __future__ import annotations

import hashlib
import html.parser
import io
import json
import re
from base64 import b64encode

import pytest

from logbook.errors import DataRefused
from logbook.reports.html_page import POLICY, STYLE, escaped, write_html
from logbook.reports.paper import Facts, Heading, Listing, Paper, SignHere, Words, digest_of
from logbook.reports.text_page import write_text_page
from logbook.reports.text_table import Column, width_of
from logbook.services.correct import correct
from logbook.services.export_table import export_table
from logbook.services.pack_papers import aircraft_paper, aircraft_status, component_record, write_paper
from logbook.store.database import Book
from tests.club import ADA, NOW, P1, P2, WATT, charge, flight_at, put, reading

EVIL = "<script>alert(1)</script> & \"quoted\" 'single' \x1b[2J\u202egnp.exe"


class Tags(html.parser.HTMLParser):
    """Collects what a browser would see: elements in nesting order, and attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.crossed: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in ("meta", "rect", "line", "path", "circle", "polyline", "polygon"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open and self.open[-1] == tag:
            self.open.pop()
        elif tag not in ("rect", "line", "path", "circle", "polyline", "polygon"):
            self.crossed.append(tag)


def page(paper: Paper, form: str = "html") -> str:
    """A paper as text."""
    stream = io.StringIO()
    write_paper(stream, paper, form)
    return stream.getvalue()


@pytest.fixture
def flown(book: Book) -> Book:
    """A book with a month of flights, an exceedance, a defect, an entry, and bad intentions in its words."""
    for day in range(1, 13):
        hot = 57 if day == 3 else 35
        readings = [reading(P1, temp_max_c=hot), reading(P2)]
        put(book, "flight", flight_at(8, f"F{day}", f"2031-05-{day:02d}", readings=readings, remarks=EVIL))
        put(book, "charge", charge(f"C{day}", P1, f"2031-05-{day:02d}T10:00Z"))
    correct(book, "pack", P1, {"limit_hours": 300, "state_reason": EVIL}, by=ADA)
    put(book, "defect", {"defect_id": "D1", "serial_no": P1, "found": "2031-05-13T08:00Z", "text": EVIL})
    put(
        book,
        "maintenance",
        {"entry_id": "M1", "serial_no": P1, "completed": "2031-05-14T08:00Z", "text": EVIL},
    )
    return book


def test_nothing_that_people_wrote_becomes_markup(flown: Book) -> None:
    for paper in (component_record(flown, P1, NOW), aircraft_paper(flown, WATT, NOW)):
        found = page(paper)
        tags = Tags()
        tags.feed(found)
        assert "script" not in {tag for tag, _ in tags.seen}
        assert tags.open == tags.crossed == []
        assert "\x1b" not in found
        assert "\u202e" not in found
        assert "&lt;script&gt;alert(1)&lt;/script&gt;" in found
        assert not any(name.startswith("on") or name == "style" for _, attrs in tags.seen for name in attrs)


def test_the_page_forbids_itself_everything_but_its_own_style_sheet(flown: Book) -> None:
    """Content Security Policy Level 3: the digest is of the text between the style tags."""
    found = page(component_record(flown, P1, NOW))
    style = re.search(r"<style>(.*?)</style>", found, re.DOTALL)
    assert style is not None
    digest = b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert f"style-src &#x27;sha256-{digest}&#x27;" in found
    assert POLICY.startswith("default-src 'none'")
    assert found.index("Content-Security-Policy") < found.index("<title>")
    assert "http:" not in found.replace("http://www.w3.org/2000/svg", "")
    assert "https:" not in found
    assert "url(" not in STYLE


def test_each_paper_says_what_it_is_not_and_carries_its_digest(flown: Book) -> None:
    for paper in (component_record(flown, P1, NOW), aircraft_paper(flown, WATT, NOW)):
        for form in ("html", "text"):
            found = " ".join(page(paper, form).split())
            assert "As recorded by the operator; not a release to service." in found
            assert re.search(r"SHA-256 [0-9a-f]{64}", found)


def test_the_digest_changes_with_any_record_behind_it_and_with_nothing_else(flown: Book) -> None:
    before = component_record(flown, P1, NOW).digest
    assert component_record(flown, P1, NOW).digest == before
    put(flown, "flight", flight_at(8, "LATER", "2031-07-09"))
    assert component_record(flown, P1, NOW).digest == before  # later than the day asked for
    correct(flown, "flight", "F3", {f"{P1}.temp_max_c": 54}, by=ADA)
    after = component_record(flown, P1, NOW).digest
    assert after != before
    correct(flown, "maintenance", "M1", {"done_by": "Cleo Fenn"}, by=ADA)
    assert component_record(flown, P1, NOW).digest != after


def test_the_digest_is_of_canonical_lines_in_any_order() -> None:
    rows = [{"b": 1, "a": "é"}, {"a": None}]
    text = "\n".join(
        sorted(json.dumps(row, sort_keys=True, separators=(",", ":"), ensure_ascii=False) for row in rows)
    )
    assert digest_of(rows) == digest_of(rows[::-1]) == hashlib.sha256((text + "\n").encode()).hexdigest()


def test_the_text_fits_eighty_columns(flown: Book) -> None:
    for paper in (component_record(flown, P1, NOW), aircraft_paper(flown, WATT, NOW)):
        assert all(width_of(line) <= 80 for line in page(paper, "text").splitlines())


def test_wide_letters_and_long_words_fit_too() -> None:
    wide = "電" * 100
    blocks = (
        Heading(wide),
        Words(wide + "x" * 200),
        Facts([(wide, wide), ("empty", None)]),
        Listing([Column("a", "first"), Column("b", wide)], [{"a": wide, "b": 1.5}]),
        Listing([Column("a", "first")], [], "Nothing."),
        SignHere(),
    )
    stream = io.StringIO()
    write_text_page(stream, Paper(wide, NOW, "0" * 64, blocks))
    assert all(width_of(line) <= 80 for line in stream.getvalue().splitlines())
    assert "Nothing." in stream.getvalue()
    stream = io.StringIO()
    write_html(stream, Paper(wide, NOW, "0" * 64, blocks))
    assert "<dd>unknown</dd>" in stream.getvalue()


def test_the_component_record_has_the_fields_of_a_life_limited_part(flown: Book) -> None:
    """14 CFR 43.10(c), GM M.A.305: part and serial number; limit, total accumulated and remaining in each parameter."""
    found = page(component_record(flown, P1, NOW), "text")
    for words in (
        "Serial number",
        "Part number",
        "accumulated",
        "limit",
        "remaining",
        "Fittings",
        "Maintenance entries",
    ):
        assert words in found
    assert re.search(r"hours +6 +300 +294", found)
    assert "Pack LARK-01 reached 57 °C; its limit is 56 °C." in " ".join(found.split())


def test_the_aeroplane_as_of_a_day_knows_nothing_later(flown: Book) -> None:
    found = page(aircraft_paper(flown, WATT, "2031-05-06"), "text")
    assert re.search(r"Total time \[h\] +3\n", found)
    assert "None open, none deferred." in found
    assert "2031-05-07" not in found
    flights = "<td>Larkfield - Larkfield</td>"
    assert page(aircraft_paper(flown, WATT, "2031-05-06")).count(flights) == 6
    assert page(aircraft_paper(flown, WATT, NOW)).count(flights) == 10


def test_a_defect_that_was_open_on_that_day_is_on_the_paper_though_closed_since(flown: Book) -> None:
    closing = {"serial_no": P1, "completed": "2031-06-01T08:00Z", "text": "mended", "closes_defect": "D1"}
    put(flown, "maintenance", closing)
    assert "D1" not in page(aircraft_paper(flown, WATT, "2031-05-12"), "text")
    assert "open then, closed 2031-06-01" in page(aircraft_paper(flown, WATT, "2031-05-20"))
    assert "None open, none deferred." in page(aircraft_paper(flown, WATT, "2031-06-02"), "text")


def test_the_same_record_gives_the_same_bytes(flown: Book) -> None:
    assert page(component_record(flown, P1, NOW)) == page(component_record(flown, P1, NOW))


@pytest.mark.parametrize(
    ("what", "which", "form", "words"),
    [
        ("packs", None, "html", "<title>Battery packs</title>"),
        ("pack", P1, "html", "Component record"),
        ("pack", P1, "text", "Component record"),
        ("aircraft", WATT, "html", "Total time [h]"),
        ("flights", None, "html", "<td>F3</td>"),
        ("due", None, "html", "Nothing is due."),
    ],
)
def test_exports_as_pages_to_print(flown: Book, what: str, which: str | None, form: str, words: str) -> None:
    stream = io.BytesIO()
    export_table(flown, what, which, stream, form)
    found = stream.getvalue().decode()
    assert words in found
    assert form == "text" or "<script" not in found
    assert "SHA-256" in found


def test_an_unknown_pack_or_aeroplane_is_refused(book: Book) -> None:
    with pytest.raises(DataRefused):
        component_record(book, "P-404")
    with pytest.raises(DataRefused):
        aircraft_paper(book, "X-NONE")


def test_values_are_escaped_for_text_and_for_attributes() -> None:
    assert escaped("<&>\"'") == "&lt;&amp;&gt;&quot;&#x27;"
    assert escaped(1.50) == "1.5"
    assert escaped(None) == ""


def test_the_aeroplane_as_of_a_day_knows_no_later_work_part_or_deferral(flown: Book) -> None:
    work = {"aircraft": WATT, "work": "annual inspection", "text": "done", "completed": "2031-03-01T08:00Z"}
    put(flown, "maintenance", work | {"next_due_date": "2032-03-01"})
    later = {"completed": "2031-05-20T08:00Z", "next_due_date": "2032-05-20"}
    put(flown, "maintenance", work | later)
    part = {"name": "propeller", "aircraft": WATT, "serial_no": "PR-1", "limit_date": "2034-01-01"}
    put(flown, "component", part | {"fitted": "2031-05-15T08:00Z"})
    put(
        flown,
        "component",
        part | {"serial_no": "PR-2", "fitted": "2031-01-15T08:00Z", "removed": "2031-05-15T08:00Z"},
    )
    then = aircraft_status(flown, WATT, "2031-05-10")
    assert [item["due"] for item in then["due"] if item["what"] == "annual inspection"] == ["2032-03-01"]
    assert [one["serial_no"] for one in then["components"]] == ["PR-2"]
    now = aircraft_status(flown, WATT)
    assert [item["due"] for item in now["due"] if item["what"] == "annual inspection"] == ["2032-05-20"]
    assert [one["serial_no"] for one in now["components"]] == ["PR-1"]


def test_a_defect_on_the_record_of_a_pack_has_the_state_of_that_day(flown: Book) -> None:
    closing = {"serial_no": P1, "completed": "2031-06-01T08:00Z", "text": "mended", "closes_defect": "D1"}
    put(flown, "maintenance", closing)

    def line(as_of: str) -> str:
        (row,) = re.findall(r"<tr><td>D1</td>.*?</tr>", page(component_record(flown, P1, as_of)))
        return re.sub("<.*?>", "|", row)

    assert "open then, closed 2031-06-01" in line("2031-05-20")
    assert "|closed|" in line("2031-06-02")
    assert "D1</td>" not in page(component_record(flown, P1, "2031-05-12"))


def test_a_defect_put_off_after_that_day_was_open_on_it(flown: Book) -> None:
    defect = {"aircraft": WATT, "found": "2026-01-05T08:00Z", "text": "light out", "defect_id": "D9"}
    put(flown, "defect", defect)
    later = {
        "state": "deferred",
        "deferred_until": "2032-01-01",
        "deferred_basis": "day only",
        "deferred_by": "Ed",
    }
    correct(flown, "defect", "D9", later)  # written down at the time of this test
    (then,) = [
        one for one in aircraft_status(flown, WATT, "2026-01-10")["defects"] if one["defect_id"] == "D9"
    ]
    assert (then["state"], then["deferred_until"], then["deferred_by"]) == ("open", None, None)
    (now,) = [one for one in aircraft_status(flown, WATT, NOW)["defects"] if one["defect_id"] == "D9"]
    assert (now["state"], now["deferred_until"]) == ("deferred", "2032-01-01")


def test_what_belongs_on_paper_and_was_never_written_down_says_so(flown: Book) -> None:
    put(flown, "maintenance", {"aircraft": WATT, "completed": "2031-05-20T08:00Z", "text": "tyre"})
    put(flown, "component", {"name": "propeller", "aircraft": WATT, "fitted": "2031-01-15T08:00Z"})
    put(
        flown, "defect", {"aircraft": WATT, "found": "2031-05-20T08:00Z", "text": "hiss", "state": "deferred"}
    )
    paper = page(aircraft_paper(flown, WATT, NOW))
    said = "<td>not recorded</td>"
    entry, part, defect = (
        re.search(f"<tr>(?:(?!</tr>).)*<td>{words}</td>.*?</tr>", paper, re.DOTALL)[0]
        for words in ("tyre", "propeller", "hiss")
    )
    assert entry.count(said) == 2  # by whom, and under which certificate
    assert part.count(said) == 2  # part and serial number
    assert defect.count(said) == 3  # until when, on what basis, by whom
    assert "not recorded" in page(aircraft_paper(flown, WATT, NOW), "text")
