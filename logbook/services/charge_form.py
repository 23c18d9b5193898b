"""The short form at the charger: what is read there and not in the book yet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.services import typed
from logbook.services.charge_now import Asked, charge_now, in_words
from logbook.services.liked_units import measures_of, presented
from logbook.services.plain_form import FormField, PlainForm
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.units import plain_number

_HELP: Final = "What is left empty is taken from the record; what is typed here is not recorded."


def charge_now_form(book: Book, serial_no: str) -> PlainForm:
    """May this pack be charged now? Expected beside each field is what the record says."""
    measures = measures_of(book)
    last = BookFacts(book).last_reading(serial_no)
    fields = (
        FormField("temp_c", "Temperature now", "°C", _HELP, "", _known(last.temp_c)),
        FormField("soc_pct", "Charge now", "%", _HELP, "", _known(last.soc_pct)),
        FormField("air_c", "Air around it", "°C", "Where it stands; it cools towards that."),
        FormField("charger", "Charger", "", "As charges name it; empty: the one used last."),
        FormField("packs_together", "Packs on it", "", "How many share the charger; empty: as last time."),
    )
    readers = {
        "temp_c": typed.pack_temperature(measures),
        "soc_pct": typed.percent,
        "air_c": typed.pack_temperature(measures),
        "packs_together": typed.count(20, 4),
    }
    return PlainForm(f"May {serial_no} be charged now?", tuple(presented(fields, measures)), readers)


def answer(book: Book, serial_no: str, values: Mapping[str, Any], now: str) -> list[str]:
    """The answer in sentences, for what such a form says."""
    given = {name: value for name, value in values.items() if value is not None}
    measures = measures_of(book)
    return [
        measures.sentence(words) for words in in_words(charge_now(book, serial_no, Asked(at=now, **given)))
    ]


def _known(value: float | None) -> str:
    return "" if value is None else plain_number(value)
