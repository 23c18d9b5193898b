"""What if one entry of a flight's legs were another? Each single change, and how much of the disagreement it removes.

Disagreement of a version of a flight is

    χ² = z_time² + z_energy² + how unusual the legs are for the kind,                          (1)

with z_time the air time against the legs and z_energy the charge used against the forecast, both in standard
deviations. The *gain* of a hypothesis is χ² as recorded less the least χ² with one entry free.
"""

from collections.abc import Callable
from typing import NamedTuple

from logbook.energy import parameters as names
from logbook.energy.filter import Filter
from logbook.energy.model import energy
from logbook.energy.prediction import Forecasted, PackForecast

WORTH_A_LOOK, WORTH_ASKING = 8.0, 11.0
NEEDED = 17.0
CAP = 60.0
Legs = tuple[float, float, float, float]
"""Thousands of feet, circuits, level minutes, air minutes."""


class Hypothesis(NamedTuple):
    """One entry changed to the value that reconciles most."""

    field: str
    recorded: float
    fits: float
    gain: float

    @property
    def needed(self) -> float:
        """Gain that makes this more than chance.

        The most is asked of a leg said to be longer than written: holding and orbits look the same. An ordinary slip
        (digits exchanged, a ten too few) needs less, and so does a leg longer than the clock allows.
        """
        if self.field == "takeoff":
            return NEEDED + 7
        if self.field == "circuits":
            return NEEDED + (5 if abs(self.fits - self.recorded) < 2 else 0)
        return NEEDED + (14 if self.fits > self.recorded and not self._slip() else 0)

    def _slip(self) -> bool:
        if self.field == "climb_ft":
            return 0.09 < self.recorded / max(self.fits, 1.0) < 0.11
        exchanged = float(f"{int(self.recorded):02d}"[::-1])
        ten = abs(self.fits - self.recorded) / 10
        return abs(self.fits - exchanged) < 1.6 or (round(ten) in (1, 2) and abs(ten - round(ten)) < 0.16)


def hypotheses(filter_: Filter, done: Forecasted) -> list[Hypothesis]:
    """Single changes of the legs of a flight; empty where nothing disagrees or the legs were not written down.

    Call before the filter has learned from the flight.
    """
    air = done.legs.air_min
    if air is None or done.legs.amounts.blank:
        return []
    farthest = max((abs(_z(pack)) for pack in done.packs), default=0.0)
    if done.legs.z_time**2 + farthest**2 < WORTH_A_LOOK:
        return []
    kft, circuits, level, _ = done.legs.recorded
    disagreement = _disagreement(filter_, done)
    as_recorded = disagreement((kft, circuits, level, air))
    if as_recorded < WORTH_ASKING:
        return []
    found: list[tuple[str, float, tuple[float, float]]] = []
    if not done.legs.amounts.circuit_flight:
        found.append(("level_min", level, _best(120, 1, lambda v: (kft, circuits, v, air), disagreement)))
        feet = _best(160, 50, lambda v: (v / 1000, circuits, level, air), disagreement)
        found.append(("climb_ft", 1000 * kft, feet))
    if circuits > 0 or done.legs.amounts.circuit_flight:
        found.append(("circuits", circuits, _best(15, 1, lambda v: (kft, v, level, air), disagreement)))
    found.append(("takeoff", air, _best(180, 1, lambda v: (kft, circuits, level, v), disagreement)))
    return [
        Hypothesis(field, recorded, fits, as_recorded - least) for field, recorded, (fits, least) in found
    ]


def _z(pack: PackForecast) -> float:
    return 0.0 if pack.actual is None else (pack.departure_pct - pack.drop - pack.actual) / pack.sd


def _best(
    most: int, step: int, legs: Callable[[float], Legs], disagreement: Callable[[Legs], float]
) -> tuple[float, float]:
    """Value of one entry, in whole steps from 0, with the least disagreement, and that: a coarse search, then a fine one."""
    stride = 4 if most > 20 else 1
    tried = {value: disagreement(legs(float(step * value))) for value in range(0, most + 1, stride)}
    if stride > 1:
        best = min(tried, key=tried.__getitem__)
        for value in range(max(best - stride, 0), best + stride + 1):
            if value not in tried:
                tried[value] = disagreement(legs(float(step * value)))
    best = min(tried, key=tried.__getitem__)
    return float(step * best), tried[best]


def _disagreement(filter_: Filter, done: Forecasted) -> Callable[[Legs], float]:
    core = filter_.state.x[: names.CORE].tolist()
    amounts = done.legs.amounts
    _, person = filter_.person(amounts.handler)
    clock, habits = filter_.reader.clock, filter_.reader.habits
    circuit_flight = amounts.circuit_flight
    read = [pack for pack in done.packs if pack.actual is not None]
    used = (
        sum(float(p.reading.soc_departure_pct or 0) - float(p.actual or 0) for p in read) / len(read)
        if read
        else 0.0
    )
    drop = sum(p.drop for p in read) / len(read) if read else 0.0
    relative_sd = sum(p.sd / max(p.drop, 5.0) for p in read) / len(read) if read else 1.0
    usual = None if circuit_flight else (habits.kft.get(amounts.kind), habits.level.get(amounts.kind))
    tail = clock.late_tail(circuit_flight=circuit_flight)
    limit = 4.0 * done.legs.time_sd

    def chi2(legs: Legs) -> float:
        kft, circuits, level, air = legs
        late = (
            air
            - level
            - clock.expected(clock.terms(kft, circuits, amounts.ln_mass, circuit_flight=circuit_flight))
        )
        total = min((late / done.legs.time_sd / (tail if late > 0 else 1.0)) ** 2, CAP)
        if read:
            changed = amounts._replace(
                kft=kft, circuits=circuits, level_min=level, unexplained_min=min(max(late, -limit), limit)
            )
            kwh = energy(core, changed, filter_.dropped, person).kwh
            expected = drop * kwh / done.energy.kwh
            total += min(((used - expected) / (relative_sd * max(expected, 10.0))) ** 2, CAP)
        if usual is not None:
            for value, mean in ((kft, usual[0]), (level, usual[1])):
                if mean is not None:
                    total += 0.5 * min(((value - mean.mean) / max(mean.sd, 0.2 * mean.mean, 0.3)) ** 2, CAP)
        return total

    return chi2
