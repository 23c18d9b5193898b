"""The flight form: what it asks for one aeroplane on one day, and how each field of it is read.

A prefilled reading is a fabricated reading: `expected` values are shown beside the fields and enter the record only
when somebody typed or confirmed them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, Final, NamedTuple, Protocol

from logbook.energy.take_off_mass import LeastMass, least_mass
from logbook.measures import USUAL, Measures
from logbook.services import flight_fields as fields_of
from logbook.services import typed, typed_time
from logbook.services.flight_fields import FUNCTIONS, KINDS, TIMES, Field, Slot
from logbook.services.flight_packs import not_fitted_yet
from logbook.services.flight_shares import SHARES, share_reader
from logbook.services.liked_units import presented
from logbook.services.typed import Meaning, Reader
from logbook.services.typed_time import Clock
from logbook.services.waiting import waiting_packs, waits
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.settings import Settings
from logbook.units import to_cell

Values = Mapping[str, tuple[str, str]]
"""Field to (text as typed, source): `read`, `confirmed`, `recorder`, `track`, `not-read` or `empty`."""

COUNTS: Final = ("read", "confirmed", "recorder", "track")
"""Sources of a text that counts, the most telling first: of a pack's reading the first that occurs is kept."""

PEOPLE: Final = ("pilot", "second_person", "handled_by", "safety_pilot")
"""Fields that name a person."""


class Choice(NamedTuple):
    """What the form is about: the aeroplane, the day with how times are typed, and what became of the flight."""

    aircraft: str
    clock: Clock
    outcome: str = "flown"


class Form(NamedTuple):
    """A flight form for one aeroplane on one day.

    Attributes:
        choice: what it is about.
        fields: in the order of the work.
        packs: the packs whose readings are asked for.
        people: the names the book knows.
        now: when it was made (UTC).
    """

    choice: Choice
    fields: tuple[Field, ...]
    packs: tuple[Slot, ...]
    people: tuple[str, ...]
    now: str
    measures: Measures = USUAL
    """The units figures are typed in."""
    least_mass: LeastMass | None = None
    """What a take-off mass must be above to be believed."""
    unfitted: tuple[str, ...] = ()
    """Packs that are not on the form, because the book has them fitted only after that day; in words."""

    @property
    def clock(self) -> Clock:
        """The day, and the clock times are typed on."""
        return self.choice.clock

    def on_clock(self, clock: Clock) -> Form:
        """The same form with times on another clock."""
        return self._replace(choice=self.choice._replace(clock=clock))

    def knowing(self, people: Iterable[str]) -> Form:
        """The same form after names were added to the book."""
        return self._replace(people=tuple(people))

    @property
    def names(self) -> tuple[str, ...]:
        """The fields' names in order."""
        return tuple(field.name for field in self.fields)

    def reader(self, name: str, values: Values) -> Reader:
        """How the text of a field is read, given what stands in the others."""
        if name in TIMES:
            after = self._time_before(name, values)
            return lambda text: typed_time.read_time(text, self.choice.clock, after)
        if name == "expected_back":
            return lambda text: typed_time.read_time(text, self.choice.clock, self._from_now(values))
        if name == "meter_end":
            return self._meter_end(values)
        if name in SHARES:
            return share_reader(
                *(self._means(other, values) for other in (SHARES[name], "pilot", "second_person"))
            )
        if name in PEOPLE:
            return typed.known_name(self.people, "person", "Enter adds one")
        read = _readers(self.measures).get(name.rpartition(".")[2], typed.words)
        return typed.take_off_mass(read, self.least_mass, self.measures) if name == "mass_kg" else read

    def _means(self, name: str, values: Values) -> Any:
        """What another field means, as far as it can be said."""
        text = taken(values, name)
        return self.reader(name, values)(text).value if text else None

    def _meter_end(self, values: Values) -> Reader:
        """The hour meter after stop, which cannot be less than before start."""
        start = taken(values, "meter_start")
        least = _METER(start).value if start else None

        def read(text: str) -> Meaning:
            meaning = _METER(text)
            if least is not None and meaning.value is not None and meaning.value < least:
                return Meaning(problem=f"the meter runs back from {to_cell(least)} h")
            return meaning

        return read

    def _time_before(self, name: str, values: Values) -> str | None:
        """The nearest time above that is known, each read from the one above it."""
        before = None
        for earlier in TIMES[: TIMES.index(name)]:
            text = taken(values, earlier)
            if text:
                before = typed_time.read_time(text, self.choice.clock, before).value or before
        return before

    def _from_now(self, values: Values) -> str | None:
        """What the expected time of return comes after: off blocks, or the present where the flight is today's."""
        off_blocks = taken(values, "off_blocks")
        if off_blocks:
            moment: str | None = typed_time.read_time(off_blocks, self.choice.clock).value
            return moment
        today = typed_time.local_day(self.now, self.choice.clock.home_zone) == self.choice.clock.day
        return self.now if today else None


_METER: Final = typed.number("h", 0, 100_000)
_READERS: Final[dict[str, Reader]] = {
    "function": typed.one_of(FUNCTIONS),
    "second_function": typed.one_of(FUNCTIONS),
    "kind": typed.one_of(KINDS),
    "aboard": typed.count(50, 9),
    "circuits": typed.count(99, 25),
    "landings_day": typed.count(99, 25),
    "landings_night": typed.count(99, 25),
    "landings_night_full_stop": typed.count(99, 25),
    "meter_start": _METER,
    "meter_end": _METER,
    "climb_ft": typed.number("ft", 0, 60_000, (0, 20_000)),
    "highest_ft": typed.number("ft", -1_500, 60_000, (-500, 15_000)),
    "level_min": typed.number("min", 0, 1_440, (0, 240)),
    "level_kw": typed.number("kW", 0, 2_000, (2, 300)),
    "wind_dir": typed.number("°", 0, 360),
    "wind_kt": typed.number("kt", 0, 150, (0, 45)),
    "pilot_estimate_soc_pct": typed.percent,
    "soc_departure_pct": typed.percent,
    "soc_takeoff_pct": typed.percent,
    "soc_touchdown_pct": typed.percent,
    "soc_landing_pct": typed.percent,
    "soh_pct": typed.health,
}


@lru_cache
def _readers(measures: Measures) -> Mapping[str, Reader]:
    """How each column is read in the chosen units."""
    part, training = typed.flight_time(measures, 240), typed.flight_time(measures, 480)
    pack = typed.pack_temperature(measures)
    return _READERS | {
        "mass_kg": typed.mass(measures),
        "outside_temp_c": typed.outside_temperature(measures),
        "night_min": part,
        "ifr_min": part,
        "instrument_min": part,
        "simulated_instrument_min": part,
        "ground_training_min": training,
        "temp_departure_c": pack,
        "temp_max_c": pack,
        "temp_landing_c": pack,
    }


def form_for(
    book: Book,
    choice: Choice,
    *,
    now: str,
    flight: Mapping[str, Any] | None = None,
    measures: Measures = USUAL,
) -> Form:
    """The form for an aeroplane, with what the record lets one expect.

    Args:
        book: the open book.
        choice: aeroplane, day, clock and outcome.
        now: the present moment (UTC, stored form).
        flight: the flight that is in the book already and is gone on with; its packs stay as they were.
        measures: the units figures are typed in.
    """
    facts = BookFacts(book)
    row = facts.aircraft(choice.aircraft)
    earlier = typed_time.local_day(now, choice.clock.home_zone) > choice.clock.day
    until = f"{choice.clock.day}T23:59Z" if earlier else None
    last = facts.last_flight(choice.aircraft, until)
    device = choice.outcome == "device"
    slots = () if device else _slots(book, choice, flight, until=until, now=now)
    found = fields_of.before_start(last, str(row.get("base") or ""), _operator(book, facts))
    for slot in slots:
        known = facts.last_reading(slot.serial_no, until)
        found += fields_of.of_pack(slot, known.soc_pct, known.soh_pct)
    if not slots and row.get("positions") and not device:
        found += fields_of.of_aeroplane()
    found += fields_of.before_leaving(one_gauge=not slots)
    found += fields_of.after_landing(device=device, metered=last.get("meter_end") is not None)
    found += fields_of.words_after()
    found += fields_of.more(packs=bool(slots))
    senseless = fields_of.NOT_ASKED[choice.outcome]
    if not row.get("positions"):
        senseless |= fields_of.OF_PACKS
    asked = [field for field in found if field.name not in senseless]
    fields = tuple(presented(asked, measures, exact=False))
    least = least_mass(row.get("empty_mass_kg"), row.get("handbook_mass_kg"))
    later = (
        ()
        if device
        else not_fitted_yet(book, choice.aircraft, f"{choice.clock.day}T12:00Z" if until else now)
    )
    return Form(choice, fields, slots, tuple(facts.people()), now, measures, least, later)


def _operator(book: Book, facts: BookFacts) -> str:
    """Who is at the keys, if the book knows them as a person."""
    name = Settings(book).value("operator") or ""
    return name if name in facts.people() else ""


def _slots(
    book: Book, choice: Choice, flight: Mapping[str, Any] | None, *, until: str | None, now: str
) -> tuple[Slot, ...]:
    """The packs on the form, by position: those fitted then, and those of which the flight has readings already."""
    from logbook.services.cases import Cases

    cases = Cases(book)
    at = f"{choice.clock.day}T12:00Z" if until else now
    read: list[str] = []
    if flight is not None:
        at = flight["off_blocks"] or flight["entered_at"] or at
        read = [row["serial_no"] for row in flight["readings"] if row["serial_no"]]
    serials = dict.fromkeys([*cases.fitted(choice.aircraft, at), *read])
    order = list(BookFacts(book).aircraft(choice.aircraft).get("positions") or ())
    pairs = [(serial, cases.position(choice.aircraft, serial, at) or "") for serial in serials]
    pairs.sort(key=lambda pair: order.index(pair[1]) if pair[1] in order else 99)
    waiting = waiting_packs(book, at, str(flight["flight_id"]) if flight else "")

    def held(serial: str) -> str:
        return cases.grounded(serial, at) or waits(waiting, serial)

    return tuple(Slot(serial, position, held(serial)) for serial, position in pairs)


def taken(values: Values, name: str) -> str:
    """The text of a field that counts: typed, confirmed or taken from a recorder; empty otherwise."""
    text, source = values.get(name, ("", "empty"))
    return text if source in COUNTS else ""


def meanings(form: Form, values: Values) -> dict[str, Meaning]:
    """What each filled field of the form means; empty ones and those not read are left out."""
    return {name: form.reader(name, values)(text) for name in form.names if (text := taken(values, name))}


class Reading(Protocol):
    """A form, as far as the meaning of its fields goes."""

    def reader(self, name: str, values: Values) -> Reader:
        """How the text of a field is read."""


def on_other_clock(
    form: Reading, values: Values, clock: Clock, names: Sequence[str]
) -> dict[str, tuple[str, str]]:
    """Times as they would have been typed on another clock, meaning the same; what is not a time yet stays."""
    found = {}
    for name in names:
        text = taken(values, name)
        moment = form.reader(name, values)(text).value if text else None
        if moment and not text.strip().startswith("+"):
            found[name] = (typed_time.clock_text(moment, clock.zone), values[name][1])
    return found


def owner_of(name: str) -> str | None:
    """The pack a field belongs to: its serial number, empty for one figure for all packs, None for the flight's own."""
    owner, point, _ = name.rpartition(".")
    return owner if point else None
