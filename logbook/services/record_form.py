"""Forms for records of any kind, made from the models: new ones, and corrections with what stands there now."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.domain.pack_states import STATES
from logbook.services import typed
from logbook.services.form_readers import UNITS, reader_for, type_name, types_of
from logbook.services.form_words import FORM_WORDS
from logbook.services.kinds import kind_of
from logbook.services.liked_units import measures_of, presented
from logbook.services.money import currency_of, unit_of
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Reader
from logbook.store.book_facts import BookFacts
from logbook.store.catalogue import KEYS, TABLES
from logbook.store.database import Book
from logbook.units import minutes_of, to_cell

REASON: Final = "why"
"""The field of a correction that is not a column."""
FREE_MIN: Final = 15
"""A typing error in the first minutes needs no reason [min]."""
_CHOICES: Final = {
    ("pack", "state"): STATES,
    ("aircraft", "time_in_service_from"): ("air", "meter"),
}
_TITLES: Final = {
    "aircraft": "aeroplane",
    "pack-type": "pack type", "person-item": "dated item", "capacity-check": "capacity check",
    "maintenance": "maintenance entry", "installation": "fitting",
}  # fmt: skip


def title_of(kind: str) -> str:
    """What a record of a kind is called."""
    return _TITLES.get(kind, kind)


def record_form(book: Book, kind: str, now: str, given: Mapping[str, Any] | None = None) -> PlainForm:
    """The form for a new record.

    Args:
        book: the open book, for the names it knows.
        kind: the word for it, as in commands.
        now: the present moment (UTC, stored form).
        given: what is expected in some fields, as values.
    """
    fields, readers = _fields(book, kind, now, given or {})
    return PlainForm(f"New {title_of(kind)}", fields, readers)


def correction_form(book: Book, kind: str, now: str, shown: Mapping[str, Any]) -> PlainForm:
    """The form to correct a record as `questions.show` gives it: what stands there now is what is expected."""
    fields, readers = _fields(book, kind, now, shown)
    name = shown.get(TABLES[kind_of(kind).table].key) or ""
    plain = tuple(
        field._replace(required=False, unit="" if field.unit == "needed" else field.unit) for field in fields
    )
    title = f"Correct {title_of(kind)} {name}".strip()
    return PlainForm(title, (*plain, reason_field(shown, now)), readers, changing=True)


def reason_field(shown: Mapping[str, Any], now: str) -> FormField:
    """The reason for a change: asked for always, demanded where the record is older than some minutes."""
    entered = shown.get("entered_at")
    fresh = entered is not None and 0 <= minutes_of(now) - minutes_of(entered) <= FREE_MIN
    note = "not needed yet" if fresh else "needed"
    words = f"Why it is changed; kept with the earlier version. In the first {FREE_MIN} minutes it may be left out."
    return FormField(REASON, "Reason", note, words, "Why", required=not fresh)


def _fields(
    book: Book, kind: str, now: str, given: Mapping[str, Any]
) -> tuple[tuple[FormField, ...], dict[str, Reader]]:
    model, measures = kind_of(kind).load(), measures_of(book)
    types, known, currency = types_of(model), _Names(book, kind), currency_of(book)
    required = {field.alias or name for name, field in model.model_fields.items() if field.is_required()}
    fields, readers = [], {}
    for part in FORM_WORDS[kind]:
        for words in part.fields:
            declared = types[words.name]
            counted = unit_of(words.name, currency) or words.unit
            readers[words.name] = known.reader(words.name) or reader_for(
                declared, now, column=words.name, unit=counted, measures=measures
            )
            unit = counted or UNITS.get(type_name(declared), "")
            fields.append(
                FormField(
                    words.name,
                    words.label,
                    unit or ("needed" if words.name in required else ""),
                    words.help,
                    part.heading,
                    as_typed(given.get(words.name)),
                    words.name in required,
                )
            )
    return tuple(presented(fields, measures)), readers


def as_typed(value: Any) -> str:
    """A value as somebody would type it into the form."""
    text = to_cell(value)
    return (
        f"{text[:10]} {text[11:16]}" if len(text) == 17 and text[10] == "T" and text.endswith("Z") else text
    )


class _Names(NamedTuple):
    """Columns that name something the book must know, or one of a few words."""

    book: Book
    kind: str

    def reader(self, column: str) -> Reader | None:
        """Its reader; None where the column is neither."""
        choices = _CHOICES.get((self.kind, column))
        if choices:
            return typed.one_of(choices)
        table = TABLES[kind_of(self.kind).table]
        target = table.refs.get(column)
        if column == "part_no" and self.kind == "pack":
            target = "pack_type"
        if target is None:
            return None
        return typed.known_name(tuple(names_of(self.book, target)), target.replace("_", " "))


def names_of(book: Book, table: str) -> list[str]:
    """The names of a kind of thing that are in the book."""
    if table in KEYS:
        facts = BookFacts(book)
        if table == "aircraft":
            return facts.fleet()
        if table == "person":
            return facts.people()
    from logbook.store.records import Records

    key = TABLES[table].key
    return [str(row[key]) for _, row in Records(book, table).select("struck = 0", order=key)]
