"""The documents name every file and every column of a package."""

import re
from pathlib import Path

import pytest

from logbook.exchange.layout import LAYOUTS

TEXT = (Path(__file__).parents[2] / "docs" / "interface.md").read_text(encoding="utf-8")


def documented(name: str) -> list[str]:
    """The columns in the table of a file, in order."""
    section = TEXT.split(f"### `{name}.csv`", 1)[1].split("\n#", 1)[0]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return [column for row in rows for column in re.findall(r"`(\w+)`", row)]


@pytest.mark.parametrize("name", list(LAYOUTS))
def test_the_columns_of_a_file_are_documented_in_their_order(name: str) -> None:
    assert documented(name) == list(LAYOUTS[name].columns)
