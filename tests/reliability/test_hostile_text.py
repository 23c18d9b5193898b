"""Every text, through every door, out of every exit: nothing is run, nothing hides, nothing is taken for markup or a formula."""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
import zipfile
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from logbook.cli.main import run
from logbook.reports.html_page import escaped
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.export_book import export_package
from logbook.services.import_book import import_package
from logbook.services.import_csv import import_csv
from logbook.services.questions import show
from logbook.store.database import Book
from tests import club
from tests.reliability.hostile import CORPUS, hostile_book
from tests.ui.screen_text import screen_text
from tests.ui.walk import walk

LISTS = ("flights", "charges", "packs", "aircraft", "people", "places", "installations", "person-items", "observations",
         "defects", "maintenance", "components", "plans", "pack-types", "due")  # fmt: skip

BIDI = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}


def nothing_hidden(text: str, *, breaks: str = "\n") -> None:
    """No control code, no bidirectional control, no character that breaks a line unseen."""
    for character in text:
        if character in breaks:
            continue
        kind = unicodedata.category(character)
        assert kind not in ("Cc", "Cs", "Zl", "Zp"), f"U+{ord(character):04X} in {text[:200]!r}"
        assert unicodedata.bidirectional(character) not in BIDI, f"U+{ord(character):04X}"


class Strict(HTMLParser):
    """Reads a page as a browser does and refuses what no page of ours holds."""

    ALLOWED = frozenset(
        [
            "html",
            "head",
            "meta",
            "title",
            "style",
            "body",
            "main",
            "header",
            "footer",
            "section",
            "div",
            "span",
            "h1",
            "h2",
            "h3",
            "p",
            "table",
            "caption",
            "colgroup",
            "col",
            "thead",
            "tbody",
            "tfoot",
            "tr",
            "th",
            "td",
            "dl",
            "dt",
            "dd",
            "ul",
            "ol",
            "li",
            "strong",
            "em",
            "b",
            "i",
            "br",
            "hr",
            "figure",
            "figcaption",
            "small",
            "time",
            "svg",
            "g",
            "rect",
            "line",
            "path",
            "text",
            "polyline",
            "polygon",
            "circle",
            "desc",
            "defs",
            "clippath",
            "marker",
            "tspan",
            "pre",
            "abbr",
        ]
    )

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.policy = ""
        self.styles = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in self.ALLOWED, tag
        told = dict(attrs)
        assert not [
            name for name in told if name.startswith("on") or name in ("src", "href", "action", "formaction")
        ], told
        if tag == "meta" and told.get("http-equiv"):
            self.policy = told["content"] or ""
        if tag == "style":
            self.styles += 1
            assert self.policy, "the policy comes before what it governs"

    def handle_comment(self, data: str) -> None:
        raise AssertionError(data)


def plain(data: bytes) -> None:
    nothing_hidden(data.decode())


def slip(data: bytes) -> None:
    """Plain text for a printer, one slip a sheet."""
    nothing_hidden(data.decode(), breaks="\n\f")


def page(data: bytes) -> None:
    text = data.decode()
    nothing_hidden(text)
    reader = Strict()
    reader.feed(text)
    assert reader.policy.startswith("default-src 'none'")
    assert "unsafe" not in reader.policy
    assert reader.styles == 1


def sheet(data: bytes) -> None:
    """What a spreadsheet would make of it: no cell begins like a formula, except numbers."""
    for row in csv.reader(io.StringIO(data.decode(), newline="")):
        for cell in row:
            if not re.fullmatch(r"-?\d+(\.\d+)?", cell):
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n", "\0")), cell


def workbook(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert not [
            name for name in archive.namelist() if "vba" in name.lower() or "external" in name.lower()
        ]
        for name in archive.namelist():
            if name.endswith(".xml"):
                tree = ET.fromstring(archive.read(name))  # noqa: S314 - just written by us
                assert not [node for node in tree.iter() if node.tag.rpartition("}")[2] in ("f", "hyperlink")]


def calendar(data: bytes) -> None:
    lines = data.decode().split("\r\n")
    nothing_hidden("".join(lines), breaks="")
    unfolded = [line for line in lines if line and not line.startswith(" ")]
    known = "BEGIN|END|VERSION|PRODID|CALSCALE|METHOD|UID|DTSTAMP|DTSTART|DTEND|DURATION|SUMMARY|DESCRIPTION|TRIGGER|ACTION|X-WR-CALNAME|TRANSP|CATEGORIES|CLASS|STATUS|NAME"
    assert [line for line in unfolded if not re.match(rf"(?:{known})[:;]", line)] == []
    assert sum(line == "BEGIN:VEVENT" for line in unfolded) == sum(
        line.startswith("UID:") for line in unfolded
    )
    assert not [line for line in unfolded if line == "SUMMARY:planted"]


def exact(data: bytes) -> None:
    """JSON carries text as it is, escaped by its own rules."""
    json.loads(data)


EXITS: dict[str, tuple[Callable[[bytes], None], tuple[str, ...]]] = {
    **{f"list {kind}": (plain, ("list", kind)) for kind in LISTS},
    **{f"list {kind} as CSV": (sheet, ("list", kind, "--format", "csv")) for kind in LISTS},
    **{f"list {kind} as JSON": (exact, ("list", kind, "--format", "json")) for kind in ("flights", "packs", "people", "due")},
    **{
        f"show {kind}": (plain, ("show", kind, record))
        for kind, record in (("flight", "F0"), ("charge", "C1"), ("pack", "{front}"), ("aircraft", "{craft}"),
                             ("person", "{pilot}"), ("defect", "D1"), ("maintenance", "M1"), ("component", "K1"),
                             ("plan", "{plan}"), ("observation", "O1"))
    },
    "pack": (plain, ("pack", "{front}")),
    "ledger": (plain, ("ledger", "{front}")),
    "charge-now": (plain, ("charge-now", "{front}")),
    "rates": (plain, ("rates", "{craft}")),
    "capacity": (plain, ("capacity", "{front}")),
    "forecasts": (plain, ("forecasts", "{craft}", "--rows")),
    "plans": (plain, ("plans",)),
    "totals": (plain, ("totals", "{pilot}")),
    "recency": (plain, ("recency", "{pilot}")),
    "student": (plain, ("student", "{student}")),
    "students": (plain, ("students",)),
    "pages": (plain, ("pages", "{pilot}")),
    "billing": (plain, ("billing", "--month", "2031-05")),
    "signatures": (plain, ("signatures",)),
    "check": (plain, ("check",)),
    "paper of a pack": (plain, ("paper", "pack", "{front}")),
    "export flights CSV": (sheet, ("export", "flights", "--to", "-", "--format", "csv")),
    "export packs CSV": (sheet, ("export", "packs", "--to", "-", "--format", "csv")),
    "export due CSV": (sheet, ("export", "due", "--to", "-", "--format", "csv")),
    "export flights xlsx": (workbook, ("export", "flights", "--to", "-", "--format", "xlsx")),
    "export packs xlsx": (workbook, ("export", "packs", "--to", "-", "--format", "xlsx")),
    "export pack HTML": (page, ("export", "pack", "{front}", "--to", "-", "--format", "html")),
    "export packs HTML": (page, ("export", "packs", "--to", "-", "--format", "html")),
    "export flights HTML": (page, ("export", "flights", "--to", "-", "--format", "html")),
    "export aircraft HTML": (page, ("export", "aircraft", "{craft}", "--to", "-", "--format", "html")),
    "export person HTML": (page, ("export", "person", "{pilot}", "--to", "-", "--format", "html")),
    "export plan HTML": (page, ("export", "plan", "{plan}", "--to", "-", "--format", "html")),
    "export person text": (plain, ("export", "person", "{pilot}", "--to", "-", "--format", "text")),
    "export pack text": (plain, ("export", "pack", "{front}", "--to", "-", "--format", "text")),
    "export due calendar": (calendar, ("export", "due", "--to", "-", "--format", "ics")),
    "slips": (slip, ("slips", "--aircraft", "{craft}")),
    "slips HTML": (page, ("slips", "--aircraft", "{craft}", "--format", "html")),
}  # fmt: skip
"""What is asked, and what the answer must be."""


@pytest.fixture(scope="module")
def books(tmp_path_factory) -> dict[str, tuple[Path, dict[str, str]]]:
    """A book for each text."""
    folder = tmp_path_factory.mktemp("hostile")
    made = {}
    for number, text in enumerate(CORPUS):
        path = folder / f"{number}.logbook"
        with Book.open(path, create=True) as book:
            made[text] = path, hostile_book(book, text, by="correct" if number % 2 else "add")
    return made


@pytest.mark.parametrize("exit_", EXITS)
def test_no_exit_lets_a_text_become_something_else(exit_, books, capfdbinary):
    """Each exit is asked about the books of all texts."""
    right, words = EXITS[exit_]
    answered = 0
    for path, names in books.values():
        status = run(
            [
                "--file",
                str(path),
                *(names.get(word.strip("{}"), word) if word[0] == "{" else word for word in words),
            ]
        )
        answer = capfdbinary.readouterr()
        assert status in (0, 1, 3), (words, answer.err)
        plain(answer.err)
        assert b"Traceback" not in answer.err
        if status != 3:
            right(answer.out)
            answered += bool(answer.out)
    assert answered, answer.err


@pytest.mark.parametrize("text", CORPUS, ids=ascii)
def test_what_is_refused_is_refused_without_a_code_that_could_run(text, book_path, capfdbinary, monkeypatch):
    for data in (
        {"flight_id": text, "aircraft": text},
        {text: 1},
        {"date": text, "aircraft": club.WATT},
        [text],
    ):
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(json.dumps(data).encode())))
        assert run(["--file", str(book_path), "add", "flight", "-"]) == 3
        plain(capfdbinary.readouterr().err)
    words = text.replace("\0", "")
    for command in (["show", "flight", words], ["show", words, "x"], ["list", "flights", "--flag", words], ["rates", words],
                    ["correct", "flight", "F9", f"{words}=1"], ["import", words], ["export", "pack", words, "--to", "-"]):  # fmt: skip
        assert run(["--file", str(book_path), *command]) in (2, 3, 74)
        answer = capfdbinary.readouterr()
        plain(answer.err)
        plain(answer.out)


@pytest.mark.parametrize("text", CORPUS, ids=ascii)
def test_a_text_comes_through_package_and_back_exactly(text, books, tmp_path):
    path, _ = books[text]
    with Book.open(path) as book, Book.open(tmp_path / "other.logbook", create=True) as other:
        export_package(book, tmp_path / "package.zip")
        import_package(other, tmp_path / "package.zip")
        export_package(other, tmp_path / "again.zip")
    assert (tmp_path / "package.zip").read_bytes() == (tmp_path / "again.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "package.zip") as archive:
        for name in archive.namelist():
            if name.endswith(".csv"):
                sheet(archive.read(name))


@pytest.mark.parametrize("text", CORPUS, ids=ascii)
def test_a_text_of_a_foreign_file_is_kept_as_it_is(text, book, tmp_path):
    with (tmp_path / "list.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["Place", "Words"], ["Field", text]])
    (tmp_path / "map.toml").write_text('kind = "place"\n[columns]\nplace = "Place"\ntext = "Words"\n')
    report = import_csv(book, tmp_path / "list.csv", tmp_path / "map.toml")
    assert report.counts["place"].new == 1
    assert show(book, "place", "Field")["text"] == text


SECTIONS = (
    "today",
    "flights",
    "packs",
    "people",
    "maintenance",
    "plan",
    "rates",
    "charging",
    "exports",
    "setup",
)


def in_few() -> list[str]:
    """The whole corpus in few texts, as long as a name may be: a screen takes longer to draw than a line."""
    texts = [""]
    for text in CORPUS:
        if len(texts[-1]) + len(text) > 180:
            texts.append("")
        texts[-1] += text + " "
    return texts


@pytest.mark.parametrize("text", in_few(), ids=range(len(in_few())))
async def test_no_screen_takes_a_text_for_markup_or_a_code(text, tmp_path):
    """Drawn text is looked at cell by cell: what reaches the terminal is styles of ours and these characters."""
    path = tmp_path / "hostile.logbook"
    with Book.open(path, create=True) as book:
        names = hostile_book(book, text)
        desk = Desk(book, clock=lambda: club.NOW, drafts=Drafts(path, tmp_path / "drafts"))
        async with walk(desk, size=(100, 40)) as walker:
            for section in SECTIONS:
                walker.app.action_go(section)
                await walker.app.workers.wait_for_complete()
                await walker.press()
                nothing_hidden(screen_text(walker.app))
            for kind, record in (
                ("flight", "F0"),
                ("pack", names["front"]),
                ("person", names["pilot"]),
                ("defect", "D1"),
                ("plan", names["plan"]),
            ):
                walker.app.open_record(kind, record)
                await walker.app.workers.wait_for_complete()
                await walker.press()
                nothing_hidden(screen_text(walker.app))
                await walker.press("escape")


def test_markup_is_shown_as_it_was_written(books, capfd):
    path, _ = books[next(text for text in CORPUS if "[bold]" in text)]
    assert run(["--file", str(path), "show", "flight", "F0"]) == 0
    assert "[bold]x[/] [@click=app.quit]y[/] [/]" in capfd.readouterr().out


ANY = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=60)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=ANY)
@example(text="\x1b]8;;http://x\x07click\x1b]8;;\x07")
def test_any_text_at_all_comes_out_harmless(text, tmp_path_factory, capfdbinary):
    folder = tmp_path_factory.mktemp("any")
    with Book.open(folder / "b.logbook", create=True) as book:
        club.put(book, "place", {"place": f"{text}x", "text": text})
        club.put(book, "person", {"person": f"x{text}y", "licence_no": f"{text}z", "address": text})
    for right, words in (
        (plain, ["list", "places"]), (plain, ["list", "people"]), (plain, ["show", "person", f"x{text}y".replace("\0", "")]),
        (sheet, ["list", "places", "--format", "csv"]), (exact, ["list", "people", "--format", "json"]),
    ):  # fmt: skip
        status = run(["--file", str(folder / "b.logbook"), *words])
        answer = capfdbinary.readouterr()
        assert status in (0, 2, 3)
        if status == 0:
            right(answer.out)
        plain(answer.err)
    nothing_hidden(escaped(text))
