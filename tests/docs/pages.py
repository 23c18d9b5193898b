"""The documents as the tests read them: pages, links, blocks of code."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md")])
"""Every page a reader is sent to."""

_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def name_of(page: Path) -> str:
    """The page as people call it."""
    return page.relative_to(ROOT).as_posix()


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def links(page: Path) -> list[str]:
    """Where a page leads, code left out."""
    return _LINK.findall(re.sub(r"```.*?```|`[^`\n]*`", "", text_of(page), flags=re.DOTALL))


def blocks(page: Path, language: str) -> list[str]:
    """The blocks of code in one language."""
    return [code for word, code in _BLOCK.findall(text_of(page)) if word == language]


def spans(page: Path) -> list[str]:
    """Short pieces of code in the running text."""
    return re.findall(r"`([^`\n]+)`", _BLOCK.sub("", text_of(page)))


def anchors(page: Path) -> set[str]:
    """The headings of a page as links name them."""
    headings = re.findall(r"^#+ (.+)$", _BLOCK.sub("", text_of(page)), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}
