"""The plan form: what it asks for one aeroplane, and what was typed turned into a plan.

There are three ways to say what is flown: circuits, there and back, and leg by leg; each can be turned into the next.
What is expected of the packs stands beside the fields; the plan takes it for what it is, the last record, until
somebody types or confirms what the gauges say.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Final, NamedTuple

from logbook.energy.take_off_mass import LeastMass, least_mass
from logbook.measures import USUAL, Measures
from logbook.services import typed, typed_time
from logbook.services.cases import Cases
from logbook.services.leg_text import HINT, Spot, read_leg, read_way, read_wind
from logbook.services.liked_units import measures_of, presented
from logbook.services.plain_form import FormField, Values
from logbook.services.typed import Meaning, Reader
from logbook.services.waiting import waiting_packs, waits
from logbook.store.book_facts import BookFacts, LastReading
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import minutes_of, to_cell

CIRCUITS, THERE_AND_BACK, LEGS = "circuits", "there-and-back", "legs"
WAYS: Final = ((CIRCUITS, "circuits"), (THERE_AND_BACK, "there and back"), (LEGS, "leg by leg"))
MOST_LEGS: Final = 40
WARM_FOR_MIN: Final = 12 * 60
"""An older temperature is nothing to expect of a pack."""
_KINDS: Final = ("circuits", "local", "cross-country", "ferry", "check")
_WHAT, _PACKS, _WITH, _WHERE, _MORE = "What is flown", "Packs", "Who, mass, air", "Where and when", "More"


class PlanForm(NamedTuple):
    """The fields for one aeroplane.

    Attributes:
        aircraft: registration.
        way: `circuits`, `there-and-back` or `legs`.
        fields: in the order in which they stand; `SERIAL.soc_departure_pct` belongs to a pack, `leg.1` is a leg.
        serials: its packs.
        people: names the book knows.
        places: places with coordinates.
        base: where the aeroplane lives: where a plan begins that does not say so.
        now: the present moment (UTC, stored form).
        measures: the units figures are typed in.
        least_mass: what a take-off mass must be above to be believed.
    """

    aircraft: str
    way: str
    fields: tuple[FormField, ...]
    serials: tuple[str, ...]
    people: tuple[str, ...]
    places: Mapping[str, Spot]
    base: str
    now: str
    measures: Measures = USUAL
    least_mass: LeastMass | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the fields."""
        return tuple(field.name for field in self.fields)

    def reader(self, name: str, values: Values) -> Reader:
        """How the text of a field is read, given what stands in the others."""
        if name.startswith("leg."):
            return lambda text: read_leg(text, self._before(name, values), self.places, self.measures)
        if name in ("out", "diversion"):
            return lambda text: read_way(text, self._where(name, values), self.places, self.measures)
        if name == "handled_by":
            return typed.known_name(self.people, "person")
        if name in ("place_from", "place_to"):
            return self._read_place
        if name == "date":
            return lambda text: typed_time.read_day(text, self.now[:10])._replace(doubt="")
        read = _readers(self.measures).get(name.rpartition(".")[2], typed.words)
        return typed.take_off_mass(read, self.least_mass, self.measures) if name == "mass_kg" else read

    def meaning(self, name: str, values: Values) -> Meaning:
        """What stands in a field; nothing where it is empty."""
        text = taken(values, name)
        return self.reader(name, values)(text) if text.strip() else Meaning()

    def _read_place(self, text: str) -> Meaning:
        low = text.strip().casefold()
        for name in self.places:
            if name.casefold() == low:
                return Meaning(name, name)
        near = [name for name in self.places if name.casefold().startswith(low)]
        if len(near) == 1:
            return Meaning(near[0], near[0])
        return Meaning(text.strip(), "no coordinates in Setup")

    def departure(self, values: Values) -> Spot | None:
        """Where the plan begins, as far as coordinates are known."""
        return self.places.get(self.meaning("place_from", values).value or self.base)

    def _where(self, name: str, values: Values) -> Spot | None:
        """Where a way begins: the place of departure; a diversion begins at the destination."""
        start = self.departure(values)
        if name == "out":
            return start
        to = self.meaning("place_to", values).value
        if to:
            return self.places.get(to)
        return start if self.way != LEGS else self._before(f"leg.{MOST_LEGS + 1}", values)

    def _before(self, name: str, values: Values) -> Spot | None:
        """Where a leg begins: at the last named place, if nothing since led away from it."""
        here = self.departure(values)
        for number in range(1, int(name[4:])):
            text = taken(values, f"leg.{number}")
            leg = read_leg(text, here, self.places).value if text.strip() else None
            if leg is None:
                continue
            if "to" in leg:
                here = self.places[leg["to"]]
            elif leg.get("distance_nm") or (leg["kind"] == "level" and leg.get("minutes")):
                here = None
        return here


_READERS: Final[dict[str, Reader]] = {
    "circuits": typed.count(99, 25),
    "climb_ft": typed.number("ft", 0, 40_000, (50, 12_000)),
    "land_there": typed.one_of(("no", "yes")),
    "level_kw": typed.number("kW", 1, 2_000, (2, 300)),
    "soc_departure_pct": typed.percent,
    "soh_pct": typed.health,
    "aboard": typed.count(50, 9),
    "wind": read_wind,
    "kind": typed.one_of(_KINDS),
    "landings_night": typed.count(99, 25),
    "elevation_ft": typed.number("ft", -1_500, 20_000, (-500, 10_000)),
    "diversion_climb_ft": typed.number("ft", 0, 20_000, (0, 6_000)),
    "return_power_kw": typed.number("kW", 1, 2_000, (2, 300)),
    "return_tas_kt": typed.number("kt", 10, 600, (30, 250)),
    "circuit_min": typed.number("min", 0.5, 60, (2, 15)),
}


@lru_cache
def _readers(measures: Measures) -> Mapping[str, Reader]:
    """How each field is read in the chosen units."""
    return _READERS | {
        "temp_departure_c": typed.pack_temperature(measures),
        "mass_kg": typed.mass(measures, 1),
        "outside_temp_c": typed.outside_temperature(measures),
    }


def plan_form(book: Book, aircraft: str, way: str, *, legs: int, now: str) -> PlanForm:
    """The form for an aeroplane, with what the record lets one expect of its packs.

    Args:
        book: the open book.
        aircraft: registration.
        way: how the flight is described.
        legs: how many leg lines there are.
        now: the present moment (UTC, stored form).
    """
    facts, cases = BookFacts(book), Cases(book)
    row = facts.aircraft(aircraft)
    fitted, waiting = facts.fitted_now(aircraft), waiting_packs(book, now)
    fields = [*_what(way, legs)]
    gauge = facts.last_together(aircraft)
    if gauge is None and not fitted and row.get("positions"):
        gauge = LastReading()
    for serial, position in fitted if gauge is None else []:
        grounded = cases.grounded(serial, now) or waits(waiting, serial)
        fields += _pack(serial, position, facts.last_reading(serial), now, grounded)
    fields += [] if gauge is None else _aeroplane(gauge)
    base = str(row.get("base") or "")
    places = _spots(book)
    fields += [*_with(), *_where_and_when(base, now[:10]), *_more()]
    serials = tuple(serial for serial, _ in fitted) if gauge is None else ("",)
    measures = measures_of(book)
    shown = tuple(presented(fields, measures))
    least = least_mass(row.get("empty_mass_kg"), row.get("handbook_mass_kg"))
    return PlanForm(aircraft, way, shown, serials, tuple(facts.people()), places, base, now, measures, least)


def _spots(book: Book) -> dict[str, Spot]:
    return {
        row["place"]: Spot(row["place"], row["latitude_deg"], row["longitude_deg"])
        for _, row in Records(book, "place").select("struck = 0", order="place")
        if row["latitude_deg"] is not None and row["longitude_deg"] is not None
    }


def _what(way: str, legs: int) -> list[FormField]:
    if way == CIRCUITS:
        return [
            FormField(
                "circuits",
                "Circuits",
                "how many?",
                "How many circuits from one start. Arrow up: there and back, or leg by leg.",
                _WHAT,
            )
        ]
    if way == THERE_AND_BACK:
        return [
            FormField("out", "Out", "place, or 25nm 090", "Where to: a place with coordinates (from the base, or From below), or distance and track.", _WHAT),
            FormField("climb_ft", "Climb", "ft", "Feet to climb above the place of departure.", _WHAT),
            FormField("land_there", "Land there", "1 no  2 yes", "Whether the way out ends with a landing, and the way home begins with a climb.", _WHAT),
            FormField("level_kw", "Power", "kW", "Level power both ways; empty: cruise power of the aircraft record.", _WHAT),
        ]  # fmt: skip
    return [FormField(f"leg.{number}", f"Leg {number}", "", HINT, _WHAT) for number in range(1, legs + 1)]


def _pack(serial: str, position: str, last: LastReading, now: str, grounded: str) -> list[FormField]:
    part = f"Pack {serial} {position}".strip() + (f" · {grounded}" if grounded else "")
    recent = last.temp_at is not None and minutes_of(now) - minutes_of(last.temp_at) <= WARM_FOR_MIN
    return [
        FormField(f"{serial}.soc_departure_pct", "Charge", "%", f"Charge at departure. {_since(last.soc_at)} = takes it over as confirmed.", part, to_cell(last.soc_pct)),
        FormField(f"{serial}.soh_pct", "Health", "%", f"State of health as indicated. {_since(last.soh_at)}", part, to_cell(last.soh_pct)),
        FormField(f"{serial}.temp_departure_c", "Temp.", "°C", f"Pack temperature before start: needed to say how warm it will get. {_since(last.temp_at)}", part, to_cell(last.temp_c) if recent else ""),
    ]  # fmt: skip


def _aeroplane(last: LastReading) -> list[FormField]:
    """One figure for all packs, where it was last read so or the book does not know the packs."""
    part = f"{_PACKS}, one gauge"
    return [
        FormField(".soc_departure_pct", "Charge", "%", f"Charge at departure, whole aeroplane. {_since(last.soc_at)} = takes it over as confirmed.", part, to_cell(last.soc_pct)),
        FormField(".soh_pct", "Health", "%", f"State of health as indicated, whole aeroplane. {_since(last.soh_at)}", part, to_cell(last.soh_pct)),
    ]  # fmt: skip


def _since(at: str | None) -> str:
    return f"Last recorded {at[:10]} {at[11:16]} UTC." if at else "Never recorded."


def _with() -> list[FormField]:
    return [
        FormField("handled_by", "Flown by", "", "Who flies: their usual use of energy is in the record. The beginning of a name is enough.", _WITH),
        FormField("aboard", "Aboard", "persons", "Persons aboard; one small number that makes the forecast much better.", _WITH),
        FormField("mass_kg", "Mass", "kg", "Take-off mass, the aeroplane and all aboard, if you know it: better than persons aboard.", _WITH),
        FormField("outside_temp_c", "Outside", "°C", "Temperature at the aerodrome.", _WITH),
        FormField("wind", "Wind", "270/15", "From/speed, for every leg that has none of its own. Empty: still air is taken, and said.", _WITH),
    ]  # fmt: skip


def _where_and_when(base: str, today: str) -> list[FormField]:
    home = f" Empty: {base}." if base else ""
    return [
        FormField("place_from", "From", "", f"Place of departure; where the first leg begins.{home}", _WHERE),
        FormField("place_to", "To", "", "Place of landing. The same as From makes it a local flight, which may have another final reserve.", _WHERE),
        FormField("date", "Day", f"{today}?", "Day of the flight: what is valid then. Empty: today.", _WHERE),
        FormField("kind", "Kind", "", "1 circuits  2 local  3 cross-country  4 ferry  5 check; empty: told from the legs.", _WHERE),
        FormField("landings_night", "Night ldgs", "", "Any landing by night makes the night reserve apply.", _WHERE),
        FormField("elevation_ft", "Elevation", "ft", "Of the place of departure: for density altitude, and climbs to an altitude.", _WHERE),
    ]  # fmt: skip


def _more() -> list[FormField]:
    return [
        FormField("diversion", "Divert to", "place, 12nm 040, 15min", "Where one would go from the destination instead; the reserve must be kept there too.", _MORE),
        FormField("diversion_climb_ft", "its climb", "ft", "The climb after the approach was broken off.", _MORE),
        FormField("return_power_kw", "Home power", "kW", "Power on the way home, for the points of no return; empty: that of the way out.", _MORE),
        FormField("return_tas_kt", "Home speed", "kt true", "True airspeed at that power.", _MORE),
        FormField("circuit_min", "A circuit", "min", "Minutes of one circuit, where the record does not tell.", _MORE),
    ]  # fmt: skip


def taken(values: Values, name: str) -> str:
    """The text of a field that counts: typed or confirmed; empty otherwise."""
    text, source = values.get(name, ("", "empty"))
    return text if source in ("read", "confirmed") else ""
