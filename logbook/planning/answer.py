"""The answer to a plan, as one tree of plain values: what screens, commands and papers print.

`PlanAnswer.to_json` gives the documented JSON; keys beyond the documented ones may be added, none renamed.
"""

from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Final

from logbook.energy.estimate import Estimate

FITS: Final = "fits"
DOES_NOT_FIT: Final = "does_not_fit"
CANNOT_TELL: Final = "cannot_tell"

VERDICT_WORDS: Final = {FITS: "fits", DOES_NOT_FIT: "does not fit", CANNOT_TELL: "cannot tell"}


@dataclass(frozen=True, slots=True)
class PackAnswer:
    """What the plan does to one pack. Charges are in percent of what the pack holds today."""

    serial_no: str
    position: str
    soc_departure_pct: float | None = None
    landing_soc_pct: Estimate | None = None
    chance_below_reserve: float | None = None
    """Chance of landing below the operator's reserve in percent, or, where none is set, below what is needed [0..1]."""
    reserve_soc_pct: float | None = None
    """The operator's policy [%]."""
    final_reserve_soc_pct: Estimate | None = None
    """What the final reserve in minutes asks of this pack [%]."""
    needed_soc_pct: float | None = None
    """The stricter of the two, the final reserve at its pessimistic end [%]."""
    margin_pct: float | None = None
    """Landing charge at the pessimistic end less what is needed [points]; below zero does not fit."""
    usable_kwh: Estimate | None = None
    temp_departure_c: float | None = None
    soh_pct: float | None = None


@dataclass(frozen=True, slots=True)
class LegPack:
    """One pack at the end of one leg."""

    serial_no: str
    soc_pct: Estimate
    turn_back_pct: float | None = None
    """Least charge here with which one still gets home with the reserve kept, pessimistic [%]."""
    go_on_pct: float | None = None
    """Least charge here with which the rest of the plan still works, reserve kept [%]."""
    divert_pct: float | None = None
    """Least charge here with which one still gets to the alternate by way of the plan, reserve kept [%]."""


@dataclass(frozen=True, slots=True)
class LegAnswer:
    """One row of the table of legs; what came before is included in the charges."""

    name: str
    kind: str
    minutes: float | None
    """Of this leg [min]."""
    total_min: float | None
    energy_kwh: Estimate
    """Of this leg, whole aeroplane [kWh]."""
    packs: tuple[LegPack, ...]
    margin_pct: float
    """Weaker pack at the pessimistic end less what is needed at landing [points]."""
    weaker_pack: str
    home_nm: float | None = None
    """Distance back to the place of departure [NM]; ``None`` where a track is missing."""
    height_ft: float | None = None
    groundspeed_kt: float | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RoutePoint:
    """A point along the planned track, by energy."""

    distance_nm: float
    """Along the track from the departure [NM]."""
    minutes: float | None
    words: str
    beyond: bool = False
    """Beyond the last point of the plan, on the same track."""


@dataclass(frozen=True, slots=True)
class Points:
    """Points of no return and of equal time, at the wind assumed and at 1.4 times that wind."""

    wind: str
    no_return: RoutePoint | None = None
    equal_time: RoutePoint | None = None
    no_return_more_wind: RoutePoint | None = None
    equal_time_more_wind: RoutePoint | None = None
    more_wind: str = ""
    why_not: str = ""
    """Why there are none, where there are none."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """The plan with something added: whether it still fits, and the weaker pack's pessimistic landing charge [%]."""

    fits: bool
    words: str
    serial_no: str
    landing_low_pct: float
    needed_pct: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that would make the plan fit."""

    change: str
    """charge, circuits, minutes, mass or power."""
    amount: float
    unit: str
    words: str
    minutes_to_charge: float | None = None


@dataclass(frozen=True, slots=True)
class HandbookAnswer:
    """What the handbook alone says of the same plan, and why the record says otherwise."""

    verdict: str
    packs: tuple[PackAnswer, ...] = ()
    minutes_left: Estimate | None = None
    energy_kwh: Estimate | None = None
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanAnswer:
    """Whether a plan fits, the one figure that decides, and everything behind it."""

    verdict: str
    because: str
    packs: tuple[PackAnswer, ...] = ()
    minutes_left: Estimate | None = None
    """After landing, at `minutes_left_at_kw` [min]."""
    minutes_left_at_kw: float | None = None
    """The power of the final reserve, or cruise power where none is set [kW]."""
    final_reserve_min: float | None = None
    final_reserve_kw: float | None = None
    final_reserve_rule: str = ""
    chance_below_reserve: float | None = None
    """That any pack lands below its reserve [0..1]."""
    handbook: HandbookAnswer | None = None
    legs: tuple[LegAnswer, ...] = ()
    points: Points | None = None
    cautions: tuple[str, ...] = ()
    energy_kwh: Estimate | None = None
    block_min: float | None = None
    go_around: Alternative | None = None
    """One go-around and one more circuit."""
    diversion: Alternative | None = None
    more_wind: Alternative | None = None
    """The plan in 1.4 times the wind; ``None`` in still air or where that wind has no solution."""
    would_fit: tuple[Remedy, ...] = ()
    """What alone would make it fit; empty where it fits, or where nothing alone is enough."""
    circuits_that_fit: int | None = None
    """Circuits in all that fit with everything else as planned; ``None`` where not even none does."""
    density_altitude_ft: float | None = None
    assumptions: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The documented JSON of a plan's answer, as plain dicts and lists."""
        plain = _plain(self)
        plain["handbook"] = plain["handbook"] or {}
        plain["points"] = plain["points"] or {}
        return dict(plain)


def _plain(value: object) -> Any:
    """Dataclasses and estimates as dicts, sequences as lists; numbers as they are."""
    if isinstance(value, Estimate):
        return {"low": value.low, "mid": value.mid, "high": value.high, "n": value.n, "how": value.how}
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value
