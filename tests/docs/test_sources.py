"""Every page with a formula says where it comes from, or that it comes from nowhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.docs.pages import DOCS, name_of, text_of

METHODS = sorted(
    page for folder in ("energy", "planning", "packs", "people") for page in (DOCS / folder).glob("*.md")
)
_FORMULA = re.compile(r"^    \S.*[=≈].*$", re.MULTILINE)
_SOURCE = re.compile(
    r"[Ss]ource|common practice|CFR|AMC\d|FCL\.|GM M\.A|ICAO|JCGM|ASTM|RFC \d|doi |et al\.|[Cc]hecked (against|by)"
)


@pytest.mark.parametrize("page", METHODS, ids=name_of)
def test_a_page_with_a_formula_names_its_sources(page: Path) -> None:
    text = text_of(page)
    if _FORMULA.search(text):
        assert _SOURCE.search(text)


@pytest.mark.parametrize("page", METHODS, ids=name_of)
def test_the_code_a_page_names_is_there(page: Path) -> None:
    for name in re.findall(r"`(logbook/[\w/]+\.py|tests/[\w/]+\.py)`", text_of(page)):
        assert (DOCS.parent / name).exists(), name
