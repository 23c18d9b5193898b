"""Settings typed as a whole: recency rules of the book's own, bands of charges, columns of the record's pages.

They are typed as one value of `logbook settings NAME=VALUE`, checked whole before anything is kept; an empty value takes the
usual again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any, Final

from logbook.errors import DataRefused
from logbook.rules.charge_rules import ChargeBands
from logbook.rules.recency_rules import rules_in_force
from logbook.services.legal_record import FORMS
from logbook.store.database import Book
from logbook.store.settings import Settings


def _recency_rules(text: str) -> Any:
    rules = _json("recency_rules", text)
    rules_in_force(rules)
    return rules


def _charge_bands(text: str) -> Any:
    bands = _json("charge_bands", text)
    if not isinstance(bands, dict):
        raise DataRefused("charge_bands is no object of names and figures.", next_step=_BANDS_SUCH_AS)
    for name, value in bands.items():
        if name not in ChargeBands._fields:
            raise DataRefused(
                f"charge_bands has no '{name}'.", next_step=f"There are: {', '.join(ChargeBands._fields)}."
            )
        if not isinstance(value, (int, float)) or isinstance(value, bool) or not 0 <= value < 1e6:
            raise DataRefused(f"charge_bands: {name} must be a figure from 0 on.", next_step=_BANDS_SUCH_AS)
    return bands


def _record_form(text: str) -> Any:
    if text not in FORMS:
        raise DataRefused(f"'{text}' is no form of pages.", next_step=f"There are: {', '.join(FORMS)}.")
    return text


_BANDS_SUCH_AS: Final = "Write, for example, charge_bands='{\"parked_days\": 14}'."
READERS: Final[Mapping[str, Callable[[str], Any]]] = {
    "recency_rules": _recency_rules,
    "charge_bands": _charge_bands,
    "record_form": _record_form,
}
"""Name of a setting to what reads it."""


def read_rule_settings(changes: Mapping[str, str]) -> dict[str, Any]:
    """Those of some changes that are settings of this kind, read; None takes the usual again.

    Raises:
        DataRefused: one cannot be that.
    """
    return {name: READERS[name](text) if text else None for name, text in changes.items() if name in READERS}


def rule_settings_of(book: Book) -> dict[str, str]:
    """What is set, as it would be typed; empty where it is as usual."""
    kept = Settings(book)
    values = {name: kept.value(name) for name in READERS}
    return {
        name: "" if not value else value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
        for name, value in values.items()
    }


def _json(name: str, text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise DataRefused(
            f"{name} is not JSON.",
            next_step='Give it from a file: logbook settings "recency_rules=$(cat rules.json)".',
        ) from None
