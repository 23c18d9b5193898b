"""The page of commands says what the program says."""

from __future__ import annotations

from pathlib import Path

from logbook.cli.reference import reference

PAGE = Path(__file__).resolve().parents[2] / "docs" / "commands.md"


def test_the_page_of_commands_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == reference(), (
        "run: python -m logbook.cli.reference > docs/commands.md"
    )


def test_every_option_is_explained() -> None:
    bare = [line for line in reference().splitlines() if line.startswith("| `") and line.endswith("` |  |")]
    assert bare == []
