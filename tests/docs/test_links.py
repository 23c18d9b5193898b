"""Every page can be reached, every link leads somewhere, and no page names what is none of its business."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from logbook.ui.help_text import FOLDER
from tests.docs.pages import DOCS, PAGES, ROOT, anchors, links, name_of, spans, text_of
from tests.docs.width import HELD, wrapped

_PLACE_OF_A_MACHINE = re.compile(r"(?<![\w.~])/(?:home|root|work|tmp|Users|mnt|var)/|[A-Z]:\\")
_REGISTRATION = re.compile(
    r"\b(?:[A-Z]{1,2}|\d[A-Z]|[A-Z]\d)-[A-Z]{3,4}\b|\bN\d{1,4}[A-Z]{1,2}\b|\bN\d{4,5}\b"
)
_INVENTED = re.compile(r"X-[A-Z]+|ZZ-[A-Z]+")
_INDICATOR = re.compile(r"(?<![\w.-])[A-Z]{4}(?![\w.-])")
_NO_INDICATORS = frozenset(
    """YYYY TOML FULL WHAT ICAO JCGM ASTM ISO CSV JSON HTML UTF GPX ASVS SAND OWASP FITS DOES TELL TURN BACK PAST NULL TEXT KIND NAME PATH DATE
    RULE FILE PACK FREE WHERE FROM JOIN DESC SELECT LIMIT GROUP ORDER BEGIN OPEN DATA""".split()  # noqa: SIM905 - as words they can be read
)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    for link in links(page):
        if link.startswith(("http://", "https://")):
            continue
        target, _, anchor = link.partition("#")
        there = (page.parent / target).resolve() if target else page
        assert there.exists(), f"{link} is not there"
        if anchor and there.suffix == ".md":
            assert anchor in anchors(there), f"{link} names no heading"


@pytest.mark.parametrize("page", [page for page in HELD if DOCS in page.parents], ids=name_of)
def test_a_page_that_is_named_is_a_link(page: Path) -> None:
    assert [word for word in spans(page) if re.fullmatch(r"(?:docs/)?[a-z/-]+\.md", word)] == []


def test_every_page_of_the_documentation_is_reached_from_its_index() -> None:
    index = DOCS / "README.md"
    reached = {(index.parent / link.partition("#")[0]).resolve() for link in links(index)}
    assert set(DOCS.rglob("*.md")) - reached == {index}


def test_every_page_of_help_is_reached_from_the_page_of_the_screens() -> None:
    screens = DOCS / "screens.md"
    reached = {(screens.parent / link).resolve() for link in links(screens)}
    assert {page for page in FOLDER.glob("*.md") if page.resolve() not in reached} == set()


def test_no_page_of_help_uses_marks_that_the_screen_would_show_as_they_are() -> None:
    for page in FOLDER.glob("*.md"):
        assert not re.search(r"[`*]|\]\(", text_of(page)), page.name


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_no_page_names_a_place_on_somebodys_machine(page: Path) -> None:
    assert not _PLACE_OF_A_MACHINE.search(text_of(page))


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_registration_is_an_invented_one(page: Path) -> None:
    found = set(_REGISTRATION.findall(text_of(page)))
    assert {name for name in found if not _INVENTED.fullmatch(name)} == set()


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_no_page_names_an_aerodrome_by_its_indicator(page: Path) -> None:
    assert set(_INDICATOR.findall(text_of(page))) - _NO_INDICATORS == set()


def test_the_readme_leads_to_the_documentation() -> None:
    assert "docs/README.md" in links(ROOT / "README.md")


@pytest.mark.parametrize("page", HELD, ids=name_of)
def test_lines_of_running_text_have_one_width(page: Path) -> None:
    assert text_of(page) == wrapped(text_of(page)), "break them again: python -m tests.docs.width"


def test_percent_is_written_in_one_way_on_pages_and_screens() -> None:
    """One word for one thing, also where a line breaks between its halves."""
    told = [*PAGES, *(ROOT / "logbook").rglob("*.md"), *(ROOT / "logbook").rglob("*.py")]
    halves = re.compile(r"\bper[\s#-]+cents?\b", re.IGNORECASE)
    assert [path.name for path in told if halves.search(path.read_text(encoding="utf-8"))] == []
