"""Suspected wrong entries, named with the value that would fit.

Four witnesses are heard, later records included:

* the ledger: a landing charge unlike the start of the next charge, a departure unlike the end of the last one;
* the other pack: what one gauge says of the flight's energy, against the other;
* the energy model: charge used far from what the legs explain;
* the clock: air time against feet, minutes and circuits.

An entry is named when changing it, and it alone, reconciles the witnesses, and without the change they disagree beyond
what happens once in a thousand flights.
"""

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from logbook.energy.hypotheses import Hypothesis
from logbook.energy.prediction import Forecasted, PackForecast

LEDGER_PCT = 3.6
"""Two records of one charge that differ by this much are not the same charge: standby and rounding take 1 to 2 points."""
LEDGER_SD = 0.8
EXCHANGED_PCT = 4.0
STILL_PLAUSIBLE_Z = 3.5
Z_APART = 4.5
Z_ALONE = 3.9


class Suspect(NamedTuple):
    """One entry that does not fit the rest of the record."""

    flight_id: str
    field: str
    recorded: float
    fits: float
    z: float
    """How far it lies off, in standard deviations."""
    serial_no: str = ""
    why: str = ""


class Neighbours(NamedTuple):
    """Charge of a pack as other records have it [%]: before the flight and after it, ``None`` where unrecorded."""

    before: float | None
    after: float | None


class _Pack(NamedTuple):
    """One pack of the flight in question, with both charges read."""

    forecast: PackForecast
    departure: float
    landing: float
    before: float | None
    after: float | None

    @property
    def z(self) -> float:
        """Drop found less drop forecast, in standard deviations."""
        return (self.departure - self.landing - self.forecast.drop) / self.forecast.sd

    @property
    def confirmed(self) -> bool:
        """Whether the next record begins where this flight is said to have landed."""
        return self.after is not None and abs(self.after - self.landing) < 2

    @property
    def undoubted(self) -> bool:
        """Whether the records on both sides agree with this flight's charges."""
        return self.confirmed and self.before is not None and abs(self.before - self.departure) < 2


class _Case:
    """One flight, its packs, and the witnesses."""

    def __init__(self, done: Forecasted, near: Mapping[str, Neighbours], gauge_sd: float) -> None:
        self.flight_id = done.flight.flight_id
        self.gauge_sd = gauge_sd
        self.packs = []
        for pack in done.packs:
            if pack.actual is not None:
                found = near.get(pack.reading.serial_no, Neighbours(None, None))
                stated = float(pack.reading.soc_departure_pct or 0.0)
                self.packs.append(_Pack(pack, stated, pack.actual, found.before, found.after))

    def named(self, pack: _Pack, field: str, fits: float, z: float, why: str) -> Suspect:
        """A suspected charge of one pack."""
        recorded = pack.departure if field == "soc_departure_pct" else pack.landing
        return Suspect(
            self.flight_id,
            field,
            recorded,
            min(max(fits, 0.0), 100.0),
            z,
            pack.forecast.reading.serial_no,
            why,
        )

    def exchanged(self) -> list[Suspect]:
        """The landing charges of two packs, each written down for the other."""
        why = "the packs' landing charges look exchanged: the next charge began the other way round"
        for a, b in combinations(self.packs, 2):
            if a.after is None or b.after is None:
                continue
            straight = abs(a.landing - a.after) + abs(b.landing - b.after)
            crossed = abs(a.landing - b.after) + abs(b.landing - a.after)
            if straight >= EXCHANGED_PCT and crossed <= 2.5:
                z = straight / (1.5 * LEDGER_SD)
                return [
                    self.named(p, "soc_landing_pct", after, z, why)
                    for p, after in ((a, a.after), (b, b.after))
                ]
        return []

    def ledger(self) -> list[Suspect]:
        """A charge that neither the records before or after it nor the flight itself agree with."""
        found = []
        for pack in self.packs:
            drop, sd = self._implied(pack)

            def off(departure: float, landing: float, drop: float = drop, sd: float = sd) -> float:
                return abs(departure - landing - drop) / sd

            here = off(pack.departure, pack.landing)
            if pack.after is not None and abs(pack.after - pack.landing) >= LEDGER_PCT:
                there, z = off(pack.departure, pack.after), abs(pack.after - pack.landing) / LEDGER_SD
                if there < min(here - 0.8, STILL_PLAUSIBLE_Z):
                    why = "the next charge began elsewhere"
                    found.append(self.named(pack, "soc_landing_pct", pack.after, z, why))
                    continue
            if pack.before is not None and abs(pack.before - pack.departure) >= LEDGER_PCT:
                there, z = off(pack.before, pack.landing), abs(pack.before - pack.departure) / LEDGER_SD
                if there < min(here - 0.8, STILL_PLAUSIBLE_Z):
                    why = "the last charge ended elsewhere"
                    found.append(self.named(pack, "soc_departure_pct", pack.before, z, why))
        return found

    def gauges_apart(self) -> list[Suspect]:
        """One pack's drop far from what the other packs' drops imply."""
        found = []
        for pack in self.packs if len(self.packs) > 1 else []:
            others = [p for p in self.packs if p is not pack]
            ratio = sum(_used_of_forecast(p) for p in others) / len(others)
            implied = pack.forecast.drop * ratio
            z = (pack.departure - pack.landing - implied) / (
                2 * self.gauge_sd**2 + (0.012 * implied) ** 2
            ) ** 0.5
            farthest = abs(pack.z) == max(abs(p.z) for p in self.packs)
            if abs(z) > Z_APART and not pack.confirmed and farthest:
                fits = round(pack.departure - implied)
                found.append(
                    self.named(pack, "soc_landing_pct", fits, abs(z), "the other pack says otherwise")
                )
        return found

    def legs(self, hypotheses: Sequence[Hypothesis]) -> list[Suspect]:
        """Feet, minutes, circuits or times that neither clock nor energy believes; else an unlikely landing charge."""
        best = max(hypotheses, key=lambda hypothesis: hypothesis.gain - hypothesis.needed, default=None)
        if best is not None and best.gain > best.needed:
            why = "air time and charge used say otherwise"
            return [Suspect(self.flight_id, best.field, best.recorded, best.fits, best.gain**0.5, "", why)]
        if not self.packs or all(pack.confirmed for pack in self.packs):
            return []
        worst = max(self.packs, key=lambda pack: abs(pack.z))
        alone = len(self.packs) == 1 or min(abs(pack.z) for pack in self.packs) >= Z_ALONE - 0.8
        if abs(worst.z) < Z_ALONE or not alone:
            return []
        fits = round(worst.departure - worst.forecast.drop)
        return [
            self.named(worst, "soc_landing_pct", fits, abs(worst.z), "charge used is unlike what was flown")
        ]

    def _implied(self, pack: _Pack) -> tuple[float, float]:
        """Drop of a pack and its spread, from another pack whose entries nobody doubts; else as forecast."""
        for other in self.packs:
            if other is not pack and other.undoubted:
                drop = pack.forecast.drop * _used_of_forecast(other)
                return drop, (2 * self.gauge_sd**2 + (0.02 * drop) ** 2) ** 0.5
        return pack.forecast.drop, pack.forecast.sd


def suspects_of(
    done: Forecasted, near: Mapping[str, Neighbours], hypotheses: Sequence[Hypothesis], gauge_sd: float
) -> list[Suspect]:
    """Wrong entries suspected in one flight.

    Args:
        done: The flight as forecast.
        near: What the records before and after say, by serial number.
        hypotheses: Single changes of its legs, with what each would reconcile.
        gauge_sd: Standard deviation of an indicated drop about the true one [points].
    """
    case = _Case(done, near, gauge_sd)
    return case.exchanged() or case.ledger() or case.gauges_apart() or case.legs(hypotheses)


def _used_of_forecast(pack: _Pack) -> float:
    return (pack.departure - pack.landing) / max(pack.forecast.drop, 1.0)
