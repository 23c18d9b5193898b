"""Forms for packs that are fitted, removed, swapped, or put into another state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.domain.pack_states import STATES
from logbook.errors import DataRefused
from logbook.services import fitting, typed
from logbook.services.fitting_words import WAYS
from logbook.services.form_readers import moment
from logbook.services.pack_standing import Change, set_state
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.record_form import names_of
from logbook.services.taking_back import take_back
from logbook.services.typed import Reader
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

_PACK: Final = FormField(
    "serial_no", "Pack", "needed", "Its serial number; the beginning is enough.", required=True
)
_AT: Final = FormField(
    "at", "When", "UTC; empty: now", "From that moment on. `now`, 0830 for today, or 2031-05-09 0830."
)
_WHY: Final = FormField("why", "Reason", "", "Kept with the record.")
_FIELDS: Final[dict[str, tuple[FormField, ...]]] = {
    "fit": (
        _PACK,
        FormField("aircraft", "Aeroplane", "needed", "The beginning of its registration is enough.", required=True),
        FormField("position", "Position", "needed", "As the aeroplane lists them.", required=True),
        _AT,
        FormField("aircraft_hours", "Aeroplane hours", "h", "At the fitting, if known."),
        _WHY,
    ),
    "remove": (
        _PACK, _AT,
        FormField("to", "It goes to", "empty: store", f"One of {', '.join(STATES)}."),
        _WHY,
    ),
    "swap": (
        FormField("first", "First pack", "needed", "Its serial number; the beginning is enough.", required=True),
        FormField("second", "Second pack", "needed", "Its serial number; the beginning is enough.", required=True),
        _AT, _WHY,
    ),
    "back": (_PACK, _WHY),
    "state": (
        _PACK,
        FormField("state", "State", "needed", f"One of {', '.join(STATES)}; quarantined, away and scrapped ground it.", required=True),
        _AT,
        FormField("why", "Reason", "needed", "For a release, the maintenance entry that allows it.", required=True),
    ),
}  # fmt: skip


def fitting_form(book: Book, way: str, now: str, serial_no: str = "") -> PlainForm:
    """The form for one of `WAYS`; about a pack, which is then not asked for, if one is named."""
    packs = typed.known_name(tuple(names_of(book, "pack")), "pack")
    facts = BookFacts(book)
    positions = sorted(
        {place for name in facts.fleet() for place in facts.aircraft(name).get("positions") or ()}
    )
    readers: dict[str, Reader] = {
        "serial_no": packs,
        "first": packs,
        "second": packs,
        "aircraft": typed.known_name(tuple(facts.fleet()), "aeroplane"),
        "position": typed.one_of(tuple(positions)) if positions else typed.words,
        "at": moment(now),
        "to": typed.one_of(tuple(STATES)),
        "state": typed.one_of(tuple(STATES)),
        "aircraft_hours": typed.number("h", 0, 1e6),
    }
    first = field_of_pack(way)
    fields = tuple(field for field in _FIELDS[way] if not serial_no or field.name != first)
    return PlainForm(f"{WAYS[way][0]}: {serial_no}" if serial_no else WAYS[way][0], fields, readers)


def field_of_pack(way: str) -> str:
    """The field for the pack that a form is about."""
    return "first" if way == "swap" else "serial_no"


def do_fitting(
    book: Book, way: str, values: Mapping[str, Any], now: str, *, by: str | None, sure: bool = True
) -> str:
    """Does what a form of `fitting_form` says. Returns what was done and what to look at, in words.

    Args:
        book: the open book.
        way: one of `WAYS`.
        values: of the fields of the form.
        now: the present moment (UTC, stored form).
        by: who is at the keys.
        sure: write it also where flights on record speak against it.

    Raises:
        Contradicted: flights on record speak against it, and it is not sure.
        DataRefused: it cannot be; nothing was written then.
    """
    given: dict[str, Any] = {"at": now, "by": by, "clock": lambda: now} | {
        name: value for name, value in values.items() if value is not None
    }
    change: Change
    if way == "fit":
        change = fitting.fit(
            book, given.pop("serial_no"), given.pop("aircraft"), given.pop("position"), sure=sure, **given
        )
    elif way == "remove":
        change = fitting.remove(book, given.pop("serial_no"), sure=sure, **given)
    elif way == "swap":
        change = fitting.swap(book, given.pop("first"), given.pop("second"), sure=sure, **given)
    elif way == "back":
        change = take_back(book, given["serial_no"], by=by, why=given.get("why"))
    elif way == "state":
        change = set_state(book, given.pop("serial_no"), given.pop("state"), why=given.pop("why"), **given)
    else:
        raise DataRefused(f"Nothing is called '{way}'.", next_step="Fit, remove, swap, back or state.")
    return " ".join([*change.done, *change.notes])
