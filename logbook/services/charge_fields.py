"""The form of a charge: its fields, and how what is typed into each is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, NamedTuple

from logbook.measures import USUAL, Measures, quantity_of
from logbook.services import typed, typed_time
from logbook.services.flight_fields import Field, Slot
from logbook.services.flight_form import Values, taken
from logbook.services.typed import Meaning, Reader
from logbook.services.typed_time import Clock
from logbook.units import to_cell

SESSION: Final = "session"
DETAIL: Final = "detail"
PURPOSES: Final = ("full", "top-up", "storage", "preheat", "cooling")
AS_BEFORE: Final = ("place", "charger", "purpose")
TIMES: Final = ("started", "ended")
_TIME = "1830 or 18:30; in 'Ended' +95 counts minutes from the start"


class ChargeForm(NamedTuple):
    """A form for a charge.

    Attributes:
        subject: the aeroplane whose packs are charged, or the serial number of one pack.
        clock: the local day, and the clock times are typed on.
        fields: in the order of the work.
        packs: the packs that may take part; one of which nothing is typed does not.
    """

    subject: str
    clock: Clock
    fields: tuple[Field, ...]
    packs: tuple[Slot, ...]
    measures: Measures = USUAL
    """The units figures are typed in."""
    currency: str = ""
    """What prices are typed in; empty where the book names none."""
    now: Callable[[], str] = typed_time.never
    """What time it is (UTC, stored form): a later one is doubted."""

    @property
    def names(self) -> tuple[str, ...]:
        """The fields' names in order."""
        return tuple(field.name for field in self.fields)

    def on_clock(self, clock: Clock) -> ChargeForm:
        """The same form with times on another clock."""
        return self._replace(clock=clock)

    def reader(self, name: str, values: Values) -> Reader:
        """How the text of a field is read, given what stands in the others."""
        if name == "started":
            return lambda text: self._past(typed_time.read_time(text, self.clock))
        if name == "ended":
            begun = taken(values, "started")
            start = typed_time.read_time(begun, self.clock).value if begun else None
            return lambda text: self._past(typed_time.read_time(text, self.clock, start))
        column = name.rpartition(".")[2]
        if column == "price":
            return typed.number(self.currency, 0, 1_000_000, (0, 500))
        if quantity_of(column):
            return typed.pack_temperature(self.measures)
        return _READERS.get(column, typed.words)

    def _past(self, meaning: Meaning) -> Meaning:
        """A time that has not come yet is doubted: nothing was read at it."""
        if not meaning.value or not typed_time.still_to_come(meaning.value, self.now()):
            return meaning
        doubt = " ".join(part for part in (meaning.doubt, "a time to come.") if part)
        return meaning._replace(doubt=doubt)


_READERS: Final[dict[str, Reader]] = {
    "purpose": typed.one_of(PURPOSES),
    "shared_energy_kwh": typed.number("kWh", 0, 10_000, (0.1, 300)),
    "energy_kwh": typed.number("kWh", 0, 10_000, (0.1, 300)),
    "soc_start_pct": typed.percent,
    "soc_end_pct": typed.percent,
}


def session_fields(last: Mapping[str, Any], *, one_meter: bool) -> list[Field]:
    """What the packs of a session have in common, with charger, place and purpose of the last one."""

    def was(name: str) -> str:
        return to_cell(last.get(name))

    meter = "one meter for all packs, losses included" if one_meter else "at the meter, losses included"
    listed = "  ".join(f"{number} {word}" for number, word in enumerate(PURPOSES, 1))
    return [
        Field("started", "Started", part=SESSION, hint=_TIME),
        Field("ended", "Ended", part=SESSION, hint=f"{_TIME}; leave it empty while it is running"),
        Field("shared_energy_kwh", "Meter", "kWh", part=SESSION, hint=meter),
        Field("price", "Price", part=SESSION, hint="what the charge cost in all; the currency is named in Setup"),
        Field("charger", "Charger", part=SESSION, expected=was("charger"), hint="which charger: its pace is learned"),
        Field("place", "Place", part=SESSION, expected=was("place"), hint="where"),
        Field("purpose", "Purpose", part=SESSION, expected=was("purpose"), hint=listed),
        Field("ended_because", "Ended for", part=SESSION, hint="why it ended: full, unplugged, too warm, fault ..."),
    ]  # fmt: skip


def pack_fields(serial: str, landed_with: str, *, own_meter: bool) -> list[Field]:
    """What is read on one pack; `landed_with` is the charge the record lets one expect."""
    fields = [
        Field(f"{serial}.soc_start_pct", "From", "%", SESSION, landed_with, "charge before, as the gauge shows it now"),
        Field(f"{serial}.soc_end_pct", "To", "%", SESSION, "", "charge after"),
        Field(f"{serial}.temp_start_c", "Before", "°C", DETAIL, "", "pack temperature before"),
        Field(f"{serial}.temp_end_c", "After", "°C", DETAIL, "", "pack temperature after"),
    ]  # fmt: skip
    if own_meter:
        hint = "where this pack has a meter of its own"
        fields.append(Field(f"{serial}.energy_kwh", "Own meter", "kWh", DETAIL, "", hint))
    return fields
