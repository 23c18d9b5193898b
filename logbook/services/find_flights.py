"""Narrowing the list of flights: the form, what was asked for, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.measures import TIME, USUAL, Measures
from logbook.services import typed
from logbook.services.flight_fields import KINDS, OUTCOMES
from logbook.services.form_readers import day, yes_or_no
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.record_form import names_of
from logbook.services.rule_words import rules, title
from logbook.services.typed import Meaning, Reader
from logbook.store.database import Book
from logbook.store.flights import FlightFilter, Totals

_LABELS: Final = {
    "text": ("Words", "", "Any words in remarks, debrief, exercise, places or the id."),
    "aircraft": ("Aeroplane", "", "The beginning of a registration is enough."),
    "person": ("Person", "", "As pilot, second person or crew. The beginning of a name is enough."),
    "since": ("From day", "2031-05-09, 9.5. or -30", "The first day. -30 is thirty days ago."),
    "until": ("To day", "such as 2031-05-09", "The last day."),
    "kind": ("Kind", "", "Circuits, local, cross-country, ferry or check; the first letters are enough."),
    "flag": ("Flag", "any, or its words", "'any' finds every flight with a flag without an answer; words such as 'reserve' find one rule, answered or not."),
    "outcome": ("Outcome", "", "Flown, ground run, aborted, rejected or device."),
    "pack": ("Pack", "", "Serial number: flights on which it was read."),
    "struck": ("Struck out", "yes or no", "Yes shows the flights that were struck out instead."),
}  # fmt: skip


def find_form(book: Book, wanted: FlightFilter, now: str) -> PlainForm:
    """The form: beside each field stands what the list is narrowed to now; `-` leaves it out."""
    expected = {
        name: "" if value is None else str(value)
        for name, value in wanted._asdict().items()
        if name in _LABELS
    } | {"struck": "yes" if wanted.struck else ""}
    fields = tuple(
        FormField(name, label, unit, words, expected=expected[name])
        for name, (label, unit, words) in _LABELS.items()
    )
    readers: dict[str, Reader] = {
        "aircraft": typed.known_name(tuple(names_of(book, "aircraft")), "aeroplane"),
        "person": typed.known_name(tuple(names_of(book, "person")), "person"),
        "pack": typed.known_name(tuple(names_of(book, "pack")), "pack"),
        "since": day(now),
        "until": day(now),
        "kind": typed.one_of(KINDS),
        "outcome": typed.one_of(OUTCOMES),
        "flag": read_flag,
        "struck": yes_or_no,
    }
    return PlainForm("Find flights", fields, readers, changing=True)


def read_flag(text: str) -> Meaning:
    """`any`, a rule's id, or words of its title."""
    low = text.strip().casefold()
    if low == "any":
        return Meaning("any", "any flag without an answer")
    found = [rule for rule, words in rules() if low in (rule, words.casefold())]
    found = found or [rule for rule, words in rules() if low in words.casefold() or low in rule]
    if len(found) == 1:
        return Meaning(found[0], title(found[0]))
    if not found:
        return Meaning(problem="no flag with these words; write any, or a word such as reserve")
    return Meaning(problem=f"which: {'; '.join(title(rule) for rule in found[:4])}?")


def narrowed(wanted: FlightFilter, values: Mapping[str, Any]) -> FlightFilter:
    """The filter after the form; what was left empty stays, what was made unknown is left out."""
    changes = {name: value for name, value in values.items() if name != "struck"}
    struck = values.get("struck", int(wanted.struck))
    return wanted._replace(**changes, struck=bool(struck))


def words_of(wanted: FlightFilter) -> str:
    """What the list is narrowed to, in words; empty where it is not."""
    parts = []
    if wanted.text:
        parts.append(f"with '{wanted.text}'")
    parts += [str(value) for value in (wanted.aircraft, wanted.person) if value]
    if wanted.pack:
        parts.append(f"pack {wanted.pack}")
    parts += [f"{word} {value}" for word, value in (("from", wanted.since), ("to", wanted.until)) if value]
    parts += [str(value) for value in (wanted.kind, wanted.outcome) if value]
    if wanted.flag:
        parts.append("any flag without an answer" if wanted.flag == "any" else f"flag: {title(wanted.flag)}")
    if wanted.struck:
        parts.append("struck out")
    return " · ".join(parts)


def words_of_totals(totals: Totals, measures: Measures = USUAL) -> str:
    """The totals of a list of flights in one line."""
    flights = "1 flight" if totals.flights == 1 else f"{totals.flights} flights"
    flags = "no open flag" if not totals.open_flags else f"{totals.open_flags} open flags"
    energy = "energy not known" if totals.energy_kwh is None else f"{totals.energy_kwh:.1f} kWh"
    return (
        f"{flights} · block {measures.say(totals.block_min, TIME)} · air {measures.say(totals.air_min, TIME)} · "
        f"{totals.landings} landings · {energy} · {flags}"
    )
