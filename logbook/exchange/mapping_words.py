"""What all mapping files (TOML) have in common: how they are read, and how a wrong word in one is refused."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any, Final

from logbook.errors import FileTrouble, UsageError

ENCODINGS: Final = (
    *("utf-8", "utf-16", "ascii", "cp1250", "cp1251", "cp1252", "cp437", "cp850", "cp852"),
    *("iso8859-1", "iso8859-2", "iso8859-15", "mac-roman"),
)
_MOST: Final = 2**20


def read_toml(path: Path) -> dict[str, Any]:
    """The words of a mapping file.

    Raises:
        UsageError: it is not TOML.
        FileTrouble: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            text = file.read(_MOST + 1)
    except OSError as error:
        raise FileTrouble(
            f"The mapping {path} cannot be read: {error.strerror}.", next_step="Check its name."
        ) from error
    try:
        return tomllib.loads(text[:_MOST].decode())
    except (ValueError, RecursionError) as error:
        raise UsageError(
            f"The mapping {path.name} is not TOML: {error}.", next_step="Correct it there."
        ) from None


def wrong(what: str, page: str = "docs/exchange.md") -> UsageError:
    """The refusal of a mapping: what cannot be in it, and the page that says what can."""
    return UsageError(f"The mapping cannot be used: {what}.", next_step=f"See {page}.")


def known_zone(name: str) -> None:
    """Refuses a time zone that the public zone database does not have."""
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise wrong(f"there is no time zone '{name[:60]}'") from None


def separator_of(file: dict[str, Any]) -> str:
    """The one character between cells; a comma where none is stated."""
    separator = file.get("separator", ",")
    if not isinstance(separator, str) or len(separator) != 1 or separator in '"\r\n':
        raise wrong("'separator' is not one character")
    return separator


def whole_of(table: dict[str, Any], name: str, most: int) -> int:
    """A whole number from 0 to the most; 0 where none is stated."""
    value = table.get(name, 0)
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= most:
        raise wrong(f"'{name}' is not a whole number from 0 to {most}")
    return value


def table_of(told: dict[str, Any], name: str) -> dict[str, Any]:
    """A table of the mapping; empty where it is not there."""
    table = told.get(name, {})
    if not isinstance(table, dict):
        raise wrong(f"[{name}] is not a table")
    return table


def only(told: dict[str, Any], known: frozenset[str], where: str) -> None:
    """Refuses a word that the mapping cannot have there."""
    for name in told:
        if name not in known:
            raise wrong(f"{where} has an unknown word '{name[:60]}'")


def one_of(value: Any, known: tuple[str, ...], name: str) -> str:
    """One of a few words."""
    if value not in known:
        raise wrong(f"'{name}' is not one of: {', '.join(repr(word) for word in known)}")
    return str(value)
