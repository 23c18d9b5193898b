"""The fields of the flight form: in the order of the work, with what may be typed into each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.units import to_cell

BEFORE: Final = "before start"
AFTER: Final = "after landing"
MORE: Final = "more"
PARTS: Final = (BEFORE, AFTER, MORE)

KINDS: Final = ("circuits", "local", "cross-country", "ferry", "check")
FUNCTIONS: Final = ("pic", "dual", "instructor", "solo", "picus", "copilot")
OUTCOMES: Final = ("flown", "ground-run", "aborted", "rejected", "device")
TIMES: Final = ("off_blocks", "takeoff", "landing", "on_blocks")
AS_BEFORE: Final = (
    "pilot", "function", "second_person", "second_function", "kind", "place_from", "aboard", "mass_kg",
)  # fmt: skip
"""What the key "as before" confirms: who flies, where and how; never a reading of this flight."""

_IN_THE_AIR: Final = frozenset(
    {
        "takeoff", "landing", "place_to", "circuits", "landings_day", "landings_night", "landings_night_full_stop",
        "climb_ft", "level_min", "level_kw", "highest_ft", "expected_back", "pilot_estimate_soc_pct",
        "night_min", "ifr_min", "instrument_min", "safety_pilot",
        "second_landings_day", "second_landings_night", "second_landings_night_full_stop",
    }
)  # fmt: skip
_ON_INSTRUMENTS: Final = frozenset({"simulated_instrument_min", "approaches_text"})
OF_PACKS: Final = frozenset({"pilot_estimate_soc_pct", "level_kw"})
"""Fields that make no sense for an aeroplane without packs."""
_OF_A_DEVICE: Final = frozenset({"device_text"})
_OF_AN_AEROPLANE: Final = frozenset(
    {"aboard", "mass_kg", "meter_start", "meter_end", "outside_temp_c", "wind_dir", "wind_kt", "defect"}
)  # fmt: skip
NOT_ASKED: Final = {
    "flown": _OF_A_DEVICE,
    "ground-run": _IN_THE_AIR | _ON_INSTRUMENTS | _OF_A_DEVICE,
    "aborted": _IN_THE_AIR | _ON_INSTRUMENTS | _OF_A_DEVICE,
    "rejected": _IN_THE_AIR | _ON_INSTRUMENTS | _OF_A_DEVICE,
    "device": _IN_THE_AIR | _OF_AN_AEROPLANE,
}
"""Fields that make no sense for an outcome."""


class Field(NamedTuple):
    """One field of the form.

    Attributes:
        name: the column, or `SERIAL.column` for a reading of one pack; `.column` is one figure for all packs.
        label: what stands before it.
        unit: shown in grey.
        part: `before start`, `after landing` or `more`.
        expected: what the record lets one expect, as it would be typed; empty where nothing.
        hint: what may be typed, for the line that explains the field one is in.
        long: takes sentences.
    """

    name: str
    label: str
    unit: str = ""
    part: str = BEFORE
    expected: str = ""
    hint: str = ""
    long: bool = False


class Slot(NamedTuple):
    """A pack on the form: serial number, position, and why it may not fly (or empty)."""

    serial_no: str
    position: str
    grounded: str = ""


Row = Mapping[str, Any]
_TIME = "0935 or 9:35; +42 counts minutes from the time before"


def _choices(words: tuple[str, ...]) -> str:
    return "  ".join(f"{number} {word}" for number, word in enumerate(words, 1))


def before_start(last: Row, base: str, operator: str = "") -> list[Field]:
    """Fields of the flight before start, with what the last flight lets one expect.

    Who is at the keys is expected to have flown, whoever flew last.
    """

    def was(name: str, otherwise: str = "") -> str:
        return to_cell(last.get(name)) or otherwise

    metered = BEFORE if last.get("meter_end") is not None else MORE
    return [
        Field("pilot", "Pilot", expected=operator or was("pilot"), hint="the beginning of a name is enough"),
        Field("function", "Function", expected=was("function", "pic"), hint=_choices(FUNCTIONS)),
        Field("second_person", "Second", expected=was("second_person"), hint="second pilot or instructor; whoever only rides along: count in Aboard, name in Remarks"),
        Field("second_function", "Function", expected=was("second_function"), hint=_choices(FUNCTIONS)),
        Field("kind", "Kind", expected=was("kind"), hint=_choices(KINDS)),
        Field("place_from", "From", expected=was("place_to", base), hint="place of departure"),
        Field("aboard", "Aboard", "persons", expected=was("aboard"), hint="persons aboard"),
        Field("mass_kg", "Mass", "kg", expected=was("mass_kg"), hint="take-off mass: the aeroplane and all aboard"),
        Field("meter_start", "Meter", "h", part=metered, expected=was("meter_end"), hint="hour meter before start"),
    ]  # fmt: skip


def before_leaving(*, one_gauge: bool) -> list[Field]:
    """What is told last, when the charge is known."""
    whose = "on the gauge" if one_gauge else "of the weaker pack"
    return [
        Field("expected_back", "Back at", hint=f"when somebody should begin to look for you: {_TIME} (here: from now)"),
        Field("pilot_estimate_soc_pct", "Estimate", "% at landing", hint=f"your own: the landing charge you expect {whose}"),
    ]  # fmt: skip


def after_landing(*, device: bool, metered: bool) -> list[Field]:
    """Fields of the flight after landing; the hour meter only where one is read usually."""
    return [
        Field("off_blocks", "Start" if device else "Off blocks", part=AFTER, hint=_TIME),
        Field("takeoff", "Take-off", part=AFTER, hint=_TIME),
        Field("landing", "Landing", part=AFTER, hint=_TIME),
        Field("on_blocks", "End" if device else "On blocks", part=AFTER, hint=_TIME),
        Field("place_to", "To", part=AFTER, hint="place of landing"),
        Field("circuits", "Circuits", part=AFTER, hint="take-off, climb, level leg and approach in the pattern, each"),
        Field("landings_day", "Landings", "by day", part=AFTER, hint="landings by day; by night: further down (F6)"),
        Field("climb_ft", "Climbed", "ft", part=AFTER, hint="feet climbed outside circuits; or the highest altitude further down"),
        Field("level_min", "Level", "min", part=AFTER, hint="minutes in level flight outside circuits"),
        Field("meter_end", "Meter" if metered else "Meter end", "h", part=AFTER if metered else MORE, hint="hour meter after stop"),
    ]  # fmt: skip


def words_after() -> list[Field]:
    """What is told in sentences after landing."""
    return [
        Field("remarks", "Remarks", part=AFTER, hint="anything worth knowing; Tab goes on", long=True),
        Field("defect", "Defect", part=AFTER, hint="something wrong with the aeroplane: becomes an open defect", long=True),
    ]  # fmt: skip


def more(*, packs: bool) -> list[Field]:
    """What is asked for now and then."""
    whole = [
        Field(".soc_departure_pct", "All before", "%", part=MORE, hint="one charge for all packs together, where only that is shown"),
        Field(".soc_landing_pct", "All after", "%", part=MORE, hint="one charge for all packs together; never copied into two packs"),
    ]  # fmt: skip
    return [
        Field("landings_night", "Night ldgs", part=MORE, hint="landings by night"),
        Field("landings_night_full_stop", "Full stop", part=MORE, hint="of the landings by night, those to a full stop"),
        Field("second_landings_day", "Second's", "by day", part=MORE, hint="of the landings by day, the second person's; the others are the pilot's"),
        Field("second_landings_night", "Second's", "by night", part=MORE, hint="of the landings by night, the second person's; the others are the pilot's"),
        Field("second_landings_night_full_stop", "Second's", "full stop", part=MORE, hint="of those to a full stop, the second person's"),
        Field("highest_ft", "Highest", "ft", part=MORE, hint="highest altitude above sea level"),
        Field("level_kw", "Power", "kW", part=MORE, hint="power set in level flight, whole aeroplane"),
        Field("outside_temp_c", "Outside", "°C", part=MORE, hint="temperature outside"),
        Field("wind_dir", "Wind from", "°", part=MORE, hint="direction the wind comes from"),
        Field("wind_kt", "Wind", "kt", part=MORE, hint="speed of the wind"),
        Field("handled_by", "Handled by", part=MORE, hint="who had the controls, if not the pilot"),
        *(whole if packs else ()),
        Field("night_min", "Night", "min", part=MORE, hint="time by night, where you write it down; left empty: by the Sun"),
        Field("ifr_min", "IFR", "min", part=MORE, hint="time under instrument flight rules"),
        Field("instrument_min", "Instrument", "min", part=MORE, hint="time in actual instrument conditions"),
        Field("simulated_instrument_min", "Simulated", "min", part=MORE, hint="time in simulated instrument conditions"),
        Field("ground_training_min", "Ground", "min", part=MORE, hint="time of ground training received with it"),
        Field("safety_pilot", "Safety p.", part=MORE, hint="who looked out while the pilot could not"),
        Field("device_text", "Device", hint="type and qualification of the training device"),
        Field("approaches_text", "Approaches", part=MORE, hint="instrument approaches: place and type of each", long=True),
        Field("exercise", "Exercise", part=MORE, hint="what was practised", long=True),
        Field("debrief", "Debrief", part=MORE, hint="by the instructor, apart from the remarks", long=True),
    ]  # fmt: skip


def of_pack(slot: Slot, soc_pct: float | None, soh_pct: float | None) -> list[Field]:
    """Readings of one pack, before start and after landing."""
    serial = slot.serial_no
    return [
        Field(f"{serial}.soc_departure_pct", "Charge", "%", expected=to_cell(soc_pct), hint="charge before first moving"),
        Field(f"{serial}.soh_pct", "Health", "%", expected=to_cell(soh_pct), hint="state of health as indicated"),
        Field(f"{serial}.temp_departure_c", "Temp.", "°C", hint="pack temperature before start; 18c or 64f names the unit"),
        Field(f"{serial}.soc_landing_pct", "Charge", "%", part=AFTER, hint="charge after coming to rest"),
        Field(f"{serial}.temp_max_c", "Highest", "°C", part=AFTER, hint="highest pack temperature in flight"),
        Field(f"{serial}.soc_takeoff_pct", "Take-off", "%", part=MORE, hint="charge at take-off, where it was read too"),
        Field(f"{serial}.soc_touchdown_pct", "Touchdown", "%", part=MORE, hint="charge at touchdown, where it was read too"),
        Field(f"{serial}.temp_landing_c", "After stop", "°C", part=MORE, hint="pack temperature after stop"),
    ]  # fmt: skip


def of_aeroplane() -> list[Field]:
    """One figure for the whole aeroplane, where it has packs but the book does not know which."""
    return [
        Field(".soc_departure_pct", "Charge", "%", hint="charge before first moving, whole aeroplane"),
        Field(
            ".soc_landing_pct", "Charge", "%", part=AFTER, hint="charge after coming to rest, whole aeroplane"
        ),
        Field(".soh_pct", "Health", "%", part=MORE, hint="state of health as indicated, whole aeroplane"),
        Field(
            ".temp_departure_c", "Before", "°C", part=MORE, hint="pack temperature before start, the warmest"
        ),
        Field(".temp_max_c", "Highest", "°C", part=MORE, hint="highest pack temperature in flight"),
    ]
