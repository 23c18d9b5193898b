"""The help pages: plain text with a few marks, shipped with the program and read in the documentation as they are.

A page knows `# heading`, `- point`, and paragraphs; lines of a paragraph are joined. That is all that is needed, and all
that is drawn.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

FOLDER = Path(__file__).parent / "help"


class Block(NamedTuple):
    """A piece of a page: `heading`, `point` or `words`."""

    what: str
    text: str


def page(name: str) -> str:
    """The text of a page; empty if there is none."""
    path = FOLDER / f"{name}.md"
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def blocks(text: str) -> list[Block]:
    """A page in its pieces, the lines of each joined."""
    found: list[Block] = []
    ended = True
    for raw in text.splitlines():
        line = raw.strip()
        if not line:
            ended = True
        elif line.startswith("#"):
            found.append(Block("heading", line.lstrip("#").strip()))
            ended = True
        elif line.startswith("- "):
            found.append(Block("point", line[2:]))
            ended = False
        elif ended or not found:
            found.append(Block("words", line))
            ended = False
        else:
            last = found[-1]
            found[-1] = last._replace(text=f"{last.text} {line}")
    return found
