"""The flight form: its fields in the order of the work, what is expected in each, and what was typed turned to a flight.

A prefilled reading is a fabricated reading: `expected` values are shown beside the fields and enter the record only
when somebody typed or confirmed them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.services import typed
from logbook.services.typed import Clock, Meaning, Reader
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

KINDS: Final = ("circuits", "local", "cross-country", "ferry", "check")
FUNCTIONS: Final = ("pic", "dual", "instructor", "solo", "picus", "copilot")
OUTCOMES: Final = ("flown", "ground-run", "aborted", "rejected", "device")
TIMES: Final = ("off_blocks", "takeoff", "landing", "on_blocks")
BEFORE: Final = "before start"
AFTER: Final = "after landing"


class Field(NamedTuple):
    """One field of the form.

    Attributes:
        name: the column, or `SERIAL.column` for a reading of one pack.
        label: what stands before it.
        unit: shown in grey.
        part: `before start` or `after landing`.
        expected: what the record lets one expect, as text; empty where nothing.
        usual: asked of every flight; the others are further down the form.
    """

    name: str
    label: str
    unit: str = ""
    part: str = BEFORE
    expected: str = ""
    usual: bool = True


class Choice(NamedTuple):
    """What the form is about: the aeroplane and the day, with how times are typed."""

    aircraft: str
    clock: Clock


class Form(NamedTuple):
    """A flight form for one aeroplane on one day."""

    choice: Choice
    fields: tuple[Field, ...]
    packs: tuple[str, ...]
    people: tuple[str, ...]

    def reader(self, name: str, values: Mapping[str, tuple[str, str]]) -> Reader:
        """How the text of a field is read, given what stands in the others."""
        if name in TIMES:
            after = self._time_before(name, values)
            return lambda text: typed.read_time(text, self.choice.clock, after)
        column = name.rpartition(".")[2]
        return _READERS.get(column) or _named(column, self.people)

    def _time_before(self, name: str, values: Mapping[str, tuple[str, str]]) -> str | None:
        """The nearest time above that is known, read in turn from the one above it."""
        before = None
        for earlier in TIMES[: TIMES.index(name)]:
            text, source = values.get(earlier, ("", "empty"))
            if source in ("read", "confirmed") and text:
                meaning = typed.read_time(text, self.choice.clock, before)
                before = meaning.value or before
        return before


def _named(column: str, people: tuple[str, ...]) -> Reader:
    if column in ("pilot", "second_person", "handled_by"):
        return typed.known_name(people, "person")
    return typed.words


_READERS: Final[dict[str, Reader]] = {
    "function": typed.one_of(FUNCTIONS),
    "second_function": typed.one_of(FUNCTIONS),
    "kind": typed.one_of(KINDS),
    "outcome": typed.one_of(OUTCOMES),
    "aboard": typed.count(50, 9),
    "circuits": typed.count(99, 25),
    "landings_day": typed.count(99, 25),
    "landings_night": typed.count(99, 25),
    "landings_night_full_stop": typed.count(99, 25),
    "mass_kg": typed.number("kg", 0, 20_000, (100, 6_000)),
    "meter_start": typed.number("h", 0, 100_000),
    "meter_end": typed.number("h", 0, 100_000),
    "climb_ft": typed.number("ft", 0, 60_000, (0, 20_000)),
    "highest_ft": typed.number("ft", -1_500, 60_000, (-500, 15_000)),
    "level_min": typed.number("min", 0, 1_440, (0, 240)),
    "level_kw": typed.number("kW", 0, 2_000, (2, 300)),
    "outside_temp_c": typed.number("°C", -70, 60, (-25, 42)),
    "wind_dir": typed.number("°", 0, 360),
    "wind_kt": typed.number("kt", 0, 150, (0, 45)),
    "pilot_estimate_soc_pct": typed.percent,
    "soc_departure_pct": typed.percent,
    "soc_takeoff_pct": typed.percent,
    "soc_touchdown_pct": typed.percent,
    "soc_landing_pct": typed.percent,
    "soh_pct": typed.health,
    "temp_departure_c": typed.celsius,
    "temp_max_c": typed.celsius,
    "temp_landing_c": typed.celsius,
}


def form_for(book: Book, choice: Choice) -> Form:
    """The form for an aeroplane, with what the record lets one expect now."""
    facts = BookFacts(book)
    last = facts.last_flight(choice.aircraft)
    packs = facts.fitted_now(choice.aircraft)
    fields = [*_before(facts, choice, last, packs), *_after(last, packs)]
    return Form(choice, tuple(fields), tuple(serial for serial, _ in packs), tuple(facts.people()))


def _text(value: Any) -> str:
    from logbook.units import to_cell

    return to_cell(value)


def _before(
    facts: BookFacts, choice: Choice, last: Mapping[str, Any], packs: list[tuple[str, str]]
) -> list[Field]:
    base = last.get("place_to") or facts.aircraft(choice.aircraft).get("base")
    fields = [
        Field("pilot", "Pilot", expected=_text(last.get("pilot"))),
        Field("function", "Function", expected=_text(last.get("function") or "pic")),
        Field("second_person", "Second person", usual=False),
        Field("second_function", "Their function", usual=False),
        Field("kind", "Kind of flight", expected=_text(last.get("kind"))),
        Field("place_from", "From", expected=_text(base)),
        Field("aboard", "Persons aboard", expected=_text(last.get("aboard"))),
        Field("mass_kg", "Take-off mass", "kg", usual=False),
        Field(
            "meter_start",
            "Meter at start",
            "h",
            expected=_text(last.get("meter_end")),
            usual=bool(last.get("meter_end")),
        ),
        Field("pilot_estimate_soc_pct", "Own estimate", "% at landing", usual=False),
    ]
    for serial, position in packs:
        known = facts.last_reading(serial)
        where = position or serial
        fields += [
            Field(f"{serial}.soc_departure_pct", f"{where} charge", "%", expected=_text(known.soc_pct)),
            Field(f"{serial}.soh_pct", f"{where} health", "%", expected=_text(known.soh_pct)),
            Field(f"{serial}.temp_departure_c", f"{where} temp.", "°C"),
        ]
    if not packs and facts.aircraft(choice.aircraft).get("positions"):
        fields.append(Field(".soc_departure_pct", "Charge", "% (aeroplane)"))
    return fields


def _after(last: Mapping[str, Any], packs: list[tuple[str, str]]) -> list[Field]:
    fields = [
        Field("off_blocks", "Off blocks", part=AFTER),
        Field("takeoff", "Take-off", part=AFTER),
        Field("landing", "Landing", part=AFTER),
        Field("on_blocks", "On blocks", part=AFTER),
        Field("place_to", "To", part=AFTER, expected=_text(last.get("place_to"))),
        Field("landings_day", "Landings, day", part=AFTER),
        Field("circuits", "Circuits", part=AFTER),
        Field("climb_ft", "Feet climbed", "ft outside circuits", part=AFTER),
        Field("level_min", "Level", "min outside circuits", part=AFTER),
        Field("meter_end", "Meter at end", "h", part=AFTER, usual=bool(last.get("meter_end"))),
    ]
    for serial, position in packs:
        where = position or serial
        fields += [
            Field(f"{serial}.soc_landing_pct", f"{where} charge", "%", part=AFTER),
            Field(f"{serial}.temp_max_c", f"{where} highest", "°C", part=AFTER),
            Field(f"{serial}.temp_landing_c", f"{where} after", "°C", part=AFTER, usual=False),
        ]
    if not packs:
        fields.append(Field(".soc_landing_pct", "Charge", "% (aeroplane)", part=AFTER, usual=False))
    return [
        *fields,
        Field("remarks", "Remarks", part=AFTER),
        Field("landings_night", "Landings, night", part=AFTER, usual=False),
        Field("landings_night_full_stop", "of these full stop", part=AFTER, usual=False),
        Field("highest_ft", "Highest altitude", "ft", part=AFTER, usual=False),
        Field("level_kw", "Level power", "kW", part=AFTER, usual=False),
        Field("outside_temp_c", "Outside temp.", "°C", part=AFTER, usual=False),
        Field("wind_dir", "Wind from", "°", part=AFTER, usual=False),
        Field("wind_kt", "Wind speed", "kt", part=AFTER, usual=False),
        Field("exercise", "Exercise", part=AFTER, usual=False),
        Field("debrief", "Debrief", part=AFTER, usual=False),
        Field("handled_by", "Handled by", part=AFTER, usual=False),
        Field("outcome", "Outcome", part=AFTER, expected="flown", usual=False),
    ]


Values = Mapping[str, tuple[str, str]]


def meanings(form: Form, values: Values) -> dict[str, Meaning]:
    """What each filled field means; empty ones and those not read are left out."""
    found = {}
    for name, (text, source) in values.items():
        if source in ("read", "confirmed") and text != "":
            found[name] = form.reader(name, values)(text)
    return found


def record_of(form: Form, values: Values, *, flight_id: str, open_only: bool) -> dict[str, Any]:
    """The flight that was typed, as the columns of `docs/interface.md`; fields with problems are left out."""
    read = {name: meaning.value for name, meaning in meanings(form, values).items() if not meaning.problem}
    record: dict[str, Any] = {
        "flight_id": flight_id,
        "aircraft": form.choice.aircraft,
        "date": form.choice.clock.day,
        "state": "open" if open_only else "closed",
    }
    record |= {name: value for name, value in read.items() if "." not in name}
    record["readings"] = [reading for serial in form.packs if (reading := _reading(serial, read, values))]
    whole = _reading("", read, values)
    if whole:
        record["readings"].append(whole | {"serial_no": None})
    return record


def _reading(serial: str, read: Mapping[str, Any], values: Values) -> dict[str, Any]:
    """One pack's reading with where it comes from; empty where nothing was read."""
    mine = {
        name.rpartition(".")[2]: value
        for name, value in read.items()
        if "." in name and name.rpartition(".")[0] == serial
    }
    sources = {
        source for name, (_, source) in values.items() if "." in name and name.rpartition(".")[0] == serial
    }
    if not mine and "not-read" not in sources:
        return {}
    charges = [name for name in ("soc_departure_pct", "soc_landing_pct") if name in mine]
    if not charges and "not-read" in sources:
        source = "not-read"
    else:
        source = "confirmed" if "confirmed" in sources and "read" not in sources else "read"
    return mine | {"serial_no": serial, "source": source}
