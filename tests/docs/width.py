"""One width for running text: `python -m tests.docs.width` breaks the lines of every page anew.

Paragraphs and points are broken at 120 characters. Tables, headings, code, formulas, pictures and quotations stay as they are, and so
do the pages that the program makes.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from typing import Final

from logbook.ui.help_text import FOLDER
from tests.docs.pages import DOCS, PAGES, text_of

WIDTH: Final = 120
HELD: Final = sorted({*PAGES, *FOLDER.glob("*.md")} - {DOCS / "commands.md", DOCS / "flags.md"})
"""Pages whose lines people break."""

_POINT = re.compile(r"( *(?:[-*]|\d+\.) +)(.*)")
_STAYS = re.compile(r" *(?:[|#>]|<!--|!\[)|    ")
_SPAN = re.compile(r"`[^`]+`|\[[^\]]*\]\([^)\s]*\)")
_LOOKS_LIKE_A_MARK = re.compile(r" (?=(?:[-*+>#]|\d+\.)(?: |$))")
_HELD_TOGETHER = "\0"


def wrapped(text: str) -> str:
    """A page with the lines of its paragraphs and points broken at `WIDTH`."""
    return "\n".join(_lines(text.splitlines())) + "\n"


def _lines(raw: list[str]) -> Iterator[str]:
    indent, words, code = "", "", False
    for line in raw:
        fence = line.lstrip().startswith("```")
        stays = code or fence or not line.strip() or _STAYS.match(line) is not None
        point = None if stays else _POINT.fullmatch(line)
        if words and (stays or point):
            yield from _broken(words, indent)
            words = ""
        code = code != fence
        if stays:
            yield line
        elif point:
            indent, words = point[1], point[2]
        elif words:
            words += f" {line.strip()}"
        else:
            words = line.strip()
            indent = line[: len(line) - len(line.lstrip())]
    if words:
        yield from _broken(words, indent)


def _broken(words: str, indent: str) -> list[str]:
    """Lines of one paragraph; no code and no link is torn apart, and no line begins with what would be read as a mark."""
    whole = _SPAN.sub(lambda span: span[0].replace(" ", _HELD_TOGETHER), re.sub(" +", " ", words))
    whole = _LOOKS_LIKE_A_MARK.sub(_HELD_TOGETHER, whole)
    lines = textwrap.wrap(
        whole,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=" " * len(indent),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(_HELD_TOGETHER, " ") for line in lines]


def main() -> None:
    """Writes every page whose lines were broken otherwise."""
    for page in HELD:
        text = text_of(page)
        if (again := wrapped(text)) != text:
            page.write_text(again, encoding="utf-8")
            print(page.name)  # noqa: T201 - a tool for a person


if __name__ == "__main__":
    main()
