"""How warm the packs will get on a planned flight, and until when to wait where that is too warm; docs/packs/temperature.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from logbook.domain.sources import TRUSTED
from logbook.store.database import Book
from logbook.store.pack_sweep import Charged, FlownWith, PackSweep
from logbook.units import instant_of, minutes_of

if TYPE_CHECKING:
    from logbook.energy.cooling import Cooling, Enough, Standing
    from logbook.energy.estimate import Estimate
    from logbook.energy.warmth import RiseFit
    from logbook.energy.worth import Worths
    from logbook.planning.answer import PackAnswer

_LONGEST_STAND_MIN: Final = 24 * 60


class HeatFit(NamedTuple):
    """What the record says of how one pack warms in flight and cools on the ground."""

    rise: RiseFit | None
    cooling: Cooling
    rises: int
    worths: Worths | None = None


class HeatLimits(NamedTuple):
    """Temperatures of a pack's manual [°C]; None: none is set."""

    caution_c: float | None
    limit_c: float | None
    takeoff_min_c: float | None
    takeoff_max_c: float | None


class PackHeat(NamedTuple):
    """The temperature of one pack on a planned flight.

    Attributes:
        before_c: before start, as typed [°C].
        highest_c: the highest of the flight [°C]; None where it cannot be judged.
        limit_c: what it was judged by: the caution, or the limit where no caution is set [°C].
        chance_above: of going above that [0..1].
        warmest_start_c: the warmest the pack may be before start to stay below it, 95 in 100 times [°C].
        ready_at: when it is expected to be cool (or warm) enough (UTC); None: now, or not within a day, or not known.
        warns: whether this is a caution.
        words: all that in a sentence.
    """

    serial_no: str
    before_c: float | None
    highest_c: Estimate | None
    limit_c: float | None
    chance_above: float | None
    warmest_start_c: float | None
    ready_at: str | None
    warns: bool
    words: str

    def to_json(self) -> dict[str, Any]:
        """As plain values."""
        found = self._asdict()
        if self.highest_c is not None:
            highest = self.highest_c
            found["highest_c"] = {
                "low": highest.low,
                "mid": highest.mid,
                "high": highest.high,
                "n": highest.n,
                "how": highest.how,
            }
        return found


def heat_fits(
    book: Book, usable_kwh: Mapping[str, float], worths: Mapping[str, Worths | None] | None = None
) -> dict[str, HeatFit]:
    """Learns from the record of some packs.

    Args:
        book: the open book.
        usable_kwh: by serial number, what each pack holds; its flights are weighed by today's capacity, which makes
            earlier ones look a little smaller than they were [kWh].
        worths: what a percent of each is worth in each tenth of charge, where that is stated.
    """
    from logbook.energy.cooling import cooling_of
    from logbook.energy.warmth import rise_of

    sweep = PackSweep(book, list(usable_kwh))
    flights, charges = _by_pack(sweep.flights()), _by_pack(sweep.charges())
    found = {}
    for serial, held in usable_kwh.items():
        mine = [row for row in flights.get(serial, []) if row.source in TRUSTED]
        curve = (worths or {}).get(serial)
        rises = [rise for row in mine if (rise := _rise(row, held, curve)) is not None]
        pairs = _standings(mine, charges.get(serial, []))
        found[serial] = HeatFit(rise_of(rises), cooling_of(pairs), len(rises), curve)
    return found


def _by_pack(rows: Any) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for row in rows:
        found.setdefault(row.serial_no, []).append(row)
    return found


def _rise(row: FlownWith, held_kwh: float, worths: Worths | None) -> Any:
    from logbook.energy.warmth import Rise
    from logbook.energy.worth import points_between

    highest = row.temp_landing_c if row.temp_max_c is None else row.temp_max_c
    if (
        row.temp_departure_c is None
        or highest is None
        or row.soc_departure_pct is None
        or row.soc_landing_pct is None
    ):
        return None
    used_kwh = points_between(worths, row.soc_departure_pct, row.soc_landing_pct) / 100 * held_kwh
    return Rise(row.temp_departure_c, max(highest, row.temp_departure_c), used_kwh, row.outside_temp_c)


def _standings(flights: Sequence[FlownWith], charges: Sequence[Charged]) -> list[Standing]:
    """After stop, and at the next charge or departure: pairs between which the pack only stood."""
    from logbook.energy.cooling import Standing

    starts = [(row.off_blocks, row.temp_departure_c) for row in flights]
    starts += [(row.started, row.temp_start_c) for row in charges]
    starts.sort(key=lambda start: start[0])
    pairs, at = [], 0
    for row in flights:  # in order of time, as the starts are
        while at < len(starts) and starts[at][0] < row.until:
            at += 1
        if row.temp_landing_c is None or at == len(starts) or starts[at][1] is None:
            continue
        minutes = minutes_of(starts[at][0]) - minutes_of(row.until)
        if 0 < minutes <= _LONGEST_STAND_MIN:
            pairs.append(
                Standing(minutes, row.temp_landing_c, float(starts[at][1] or 0.0), row.outside_temp_c)
            )
    return pairs


def pack_heat(
    pack: PackAnswer, fit: HeatFit | None, limits: HeatLimits, outside_c: float | None, now: str
) -> PackHeat:
    """The temperature of one pack on a planned flight.

    Args:
        pack: its part of the plan's answer.
        fit: what the record says of it.
        limits: of its manual.
        outside_c: air temperature [°C].
        now: the present moment (UTC, stored form), from which waiting is counted.
    """
    name, before = f"Pack {pack.serial_no}", pack.temp_departure_c
    nothing = PackHeat(pack.serial_no, before, None, None, None, None, None, warns=False, words="")
    if before is None:
        return nothing._replace(
            words=f"{name}: how warm it will get cannot be judged; type its temperature before start."
        )
    case = _Case(name, before, 0.0, outside_c, now)
    gate = _before_start(case, fit, limits)
    if gate is not None:
        return nothing._replace(ready_at=gate[1], warns=True, words=gate[0])
    if fit is None or fit.rise is None:
        flown = 0 if fit is None else fit.rises
        return nothing._replace(
            words=f"{name}: how warm it will get cannot be judged; {flown} of the 3 flights needed have temperatures."
        )
    if pack.soc_departure_pct is None or pack.landing_soc_pct is None or pack.usable_kwh is None:
        return nothing._replace(words=f"{name}: how warm it will get cannot be judged without a forecast.")
    from logbook.energy.worth import points_between

    points = points_between(fit.worths, pack.soc_departure_pct, pack.landing_soc_pct.mid)
    used_kwh = points / 100 * pack.usable_kwh.mid
    return _forecast(nothing, fit, case._replace(used_kwh=used_kwh), limits)


class _Case(NamedTuple):
    """What is asked about one pack."""

    name: str
    before_c: float
    used_kwh: float
    outside_c: float | None
    now: str


def _forecast(nothing: PackHeat, fit: HeatFit, case: _Case, limits: HeatLimits) -> PackHeat:
    from logbook.energy.warmth import ACCEPTED

    if fit.rise is None:
        raise ValueError("there is no fit to forecast from")
    highest = fit.rise.highest(case.before_c, case.used_kwh, case.outside_c)
    span = f"{case.name}: highest about {highest.mid:.0f} °C ({highest.low:.0f} to {highest.high:.0f} °C)"
    limit = limits.limit_c if limits.caution_c is None else limits.caution_c
    if limit is None:
        return nothing._replace(highest_c=highest, words=f"{span}; no caution is set for it.")
    what = "limit" if limits.caution_c is None else "caution"
    chance = fit.rise.chance_above(limit, case.before_c, case.used_kwh, case.outside_c)
    warmest = fit.rise.warmest_start(limit, case.used_kwh, case.outside_c)
    found = nothing._replace(highest_c=highest, limit_c=limit, chance_above=chance, warmest_start_c=warmest)
    if chance <= ACCEPTED:
        return found._replace(words=f"{span}; {what} from {limit:g} °C.")
    wait = _wait(fit, case.before_c, warmest, case.outside_c)
    until, at = _until(wait, case.now)
    words = f"{span}; may pass the {what} of {limit:g} °C (chance {100 * chance:.0f} %). {until}, when it is down to {warmest:.0f} °C."
    if at is None:
        words = f"{span}; may pass the {what} of {limit:g} °C (chance {100 * chance:.0f} %). It would have to start at {warmest:.0f} °C or cooler. {until}."
    return found._replace(warns=True, ready_at=at, words=words)


def _before_start(case: _Case, fit: HeatFit | None, limits: HeatLimits) -> tuple[str, str | None] | None:
    """A pack that may not take off now, and when it may; None where it may."""
    for limit, sign, word in ((limits.takeoff_max_c, 1, "above"), (limits.takeoff_min_c, -1, "below")):
        if limit is None or sign * (case.before_c - limit) <= 0:
            continue
        until, at = "How long it takes is not known", None
        if fit is not None:
            until, at = _until(_wait(fit, case.before_c, limit, case.outside_c), case.now)
        return f"{case.name}: {case.before_c:g} °C is {word} the {limit:g} °C for take-off. {until}.", at
    return None


def _wait(fit: HeatFit, first_c: float, limit_c: float, air_c: float | None) -> Enough:
    from logbook.energy.cooling import enough_at

    return enough_at(fit.cooling, first_c, limit_c, air_c)


def _until(wait: Enough, now: str) -> tuple[str, str | None]:
    """When that is, in words and as an instant."""
    if wait.minutes is None:
        return wait.words.rstrip("."), None
    low, mid, high = (instant_of(minutes_of(now) + round(end)) for end in wait.minutes[:3])
    return f"Wait until about {mid[11:16]} UTC ({low[11:16]} to {high[11:16]})", mid
