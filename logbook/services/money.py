"""The currency of a book: a word of its owner's, kept in its settings and put beside prices; nothing is converted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final, TypeVar

from logbook.errors import DataRefused
from logbook.services.liked_units import column_of
from logbook.store.database import Book
from logbook.store.settings import Settings

SETTING: Final = "currency"
LONGEST: Final = 12
"""Letters a currency may have: it stands beside figures."""
_AnyField = TypeVar("_AnyField")
_PRICES: Final = {"price": "", "pack_set_price": "", "electricity_price_per_kwh": "per kWh"}
"""Columns that hold money, and what they are counted for."""


def currency_of(book: Book) -> str:
    """The currency of a book; empty where none was named."""
    return str(Settings(book).value(SETTING) or "")


def read_currency(text: str) -> str:
    """A currency as somebody names it: a code or a sign, without digits.

    Raises:
        DataRefused: it cannot stand beside a figure.
    """
    bare = " ".join(text.split())
    if len(bare) > LONGEST or any(letter.isdigit() or not letter.isprintable() for letter in bare):
        raise DataRefused(
            f"A currency is a word of at most {LONGEST} letters, without digits.",
            next_step="Such as EUR.",
            field=SETTING,
        )
    return bare


def unit_of(column: str, currency: str) -> str:
    """What stands beside a price: `EUR`, `EUR per kWh`; empty for a column that holds no money."""
    if column not in _PRICES:
        return ""
    return f"{currency} {_PRICES[column]}".strip()


def priced(fields: Iterable[_AnyField], currency: str) -> list[_AnyField]:
    """Fields with the currency beside those that hold a price."""
    return [_priced(field, currency) for field in fields]


def _priced(field: Any, currency: str) -> Any:
    unit = unit_of(column_of(field.name), currency)
    return field._replace(unit=unit) if unit else field
