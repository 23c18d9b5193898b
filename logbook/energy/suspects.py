"""Suspected wrong entries, named with the value that would fit.

Four witnesses are heard, later records included:

* the ledger: a landing charge unlike the start of the next charge, a departure unlike the end of the last one;
* the other pack: what one gauge says of the flight's energy, against the other;
* the energy model: charge used far from what the legs explain;
* the clock: air time against feet, minutes and circuits.

An entry is named when changing it, and it alone, reconciles the witnesses, and without the change they disagree beyond
what happens once in a thousand flights.
"""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.energy.filter import Forecasted, PackForecast
from logbook.energy.hypotheses import Hypothesis

LEDGER_PCT = 3.6
Z_ALONE = 3.9
GAIN = 17.0


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


def suspects_of(
    done: Forecasted, near: dict[str, Neighbours], hypotheses: Sequence[Hypothesis], gauge_sd: float
) -> list[Suspect]:
    """Wrong entries suspected in one flight.

    Args:
        done: The flight as forecast.
        near: What the records before and after say, by serial number.
        hypotheses: Single changes of its legs, with what each would reconcile.
        gauge_sd: Standard deviation of an indicated drop about the true one [points].
    """
    read = [pack for pack in done.packs if pack.actual is not None]
    found = _exchanged(done, read, near) or _ledger(done, read, near, gauge_sd)
    if not found:
        found = _gauges_apart(done, read, near, gauge_sd)
    return found or _legs(done, read, near, hypotheses)


def _exchanged(done: Forecasted, read: list[PackForecast], near: dict[str, Neighbours]) -> list[Suspect]:
    """The landing charges of two packs, each written down for the other."""
    for i, first in enumerate(read):
        for second in read[i + 1 :]:
            a, b = float(first.actual or 0), float(second.actual or 0)
            after_a, after_b = _after(first, near), _after(second, near)
            if after_a is None or after_b is None:
                continue
            straight = abs(a - after_a) + abs(b - after_b)
            crossed = abs(a - after_b) + abs(b - after_a)
            if straight >= 4 and crossed <= 2.5:
                why = "the packs' landing charges look exchanged: the next charge began the other way round"
                z = straight / 1.2
                return [
                    Suspect(
                        done.flight.flight_id, "soc_landing_pct", a, after_a, z, first.reading.serial_no, why
                    ),
                    Suspect(
                        done.flight.flight_id, "soc_landing_pct", b, after_b, z, second.reading.serial_no, why
                    ),
                ]
    return []


def _ledger(
    done: Forecasted, read: list[PackForecast], near: dict[str, Neighbours], gauge_sd: float
) -> list[Suspect]:
    """A charge that neither the records before or after it nor the flight itself agree with."""
    found = []
    for pack in read:
        actual = float(pack.actual or 0)
        stated = float(pack.reading.soc_departure_pct or 0)
        after, before = _after(pack, near), _before(pack, near)
        drop, sd = _implied(pack, read, near, gauge_sd)
        if after is not None and abs(after - actual) >= LEDGER_PCT:
            off, off_after = abs(stated - actual - drop) / sd, abs(stated - after - drop) / sd
            if off > off_after + 0.8 and off_after < 3.5:
                z = abs(after - actual) / 0.8
                found.append(
                    _suspect(
                        done, pack, "soc_landing_pct", actual, after, z, "the next charge began elsewhere"
                    )
                )
                continue
        if before is not None and abs(before - stated) >= LEDGER_PCT:
            off, off_before = abs(stated - actual - drop) / sd, abs(before - actual - drop) / sd
            if off > off_before + 0.8 and off_before < 3.5:
                z = abs(before - stated) / 0.8
                found.append(
                    _suspect(
                        done, pack, "soc_departure_pct", stated, before, z, "the last charge ended elsewhere"
                    )
                )
    return found


def _implied(
    pack: PackForecast, read: list[PackForecast], near: dict[str, Neighbours], gauge_sd: float
) -> tuple[float, float]:
    """Drop of a pack and its spread, from another pack whose entries nobody doubts; else as forecast."""
    for other in read:
        if other is pack:
            continue
        after, before = _after(other, near), _before(other, near)
        if after is None or before is None:
            continue
        if (
            abs(after - float(other.actual or 0)) < 2
            and abs(before - float(other.reading.soc_departure_pct or 0)) < 2
        ):
            drop = pack.drop * _used(other) / max(other.drop, 1.0)
            return drop, (2 * gauge_sd**2 + (0.02 * drop) ** 2) ** 0.5
    return pack.drop, pack.sd


def _gauges_apart(
    done: Forecasted, read: list[PackForecast], near: dict[str, Neighbours], gauge_sd: float
) -> list[Suspect]:
    """One pack's drop far from what the other pack's drop implies."""
    if len(read) < 2:
        return []
    ratios = [(_used(pack) / pack.drop, pack) for pack in read]
    found = []
    for index, (_, pack) in enumerate(ratios):
        others = [ratio for j, (ratio, _) in enumerate(ratios) if j != index]
        implied = pack.drop * sum(others) / len(others)
        apart = (_used(pack) - implied) / (2.0 * gauge_sd**2 + (0.012 * pack.drop) ** 2) ** 0.5
        confirmed = _confirmed(pack, near)
        if abs(apart) > 4.5 and not confirmed and abs(_z_own(pack)) == max(abs(_z_own(p)) for p in read):
            fits = float(pack.reading.soc_departure_pct or 0) - implied
            found.append(
                _suspect(
                    done,
                    pack,
                    "soc_landing_pct",
                    float(pack.actual or 0),
                    round(fits),
                    abs(apart),
                    "the other pack says otherwise",
                )
            )
    return found


def _legs(
    done: Forecasted, read: list[PackForecast], near: dict[str, Neighbours], hypotheses: Sequence[Hypothesis]
) -> list[Suspect]:
    """Feet, minutes, circuits or times that neither clock nor energy believes; else a charge unlike what was flown."""
    best = max(hypotheses, key=lambda h: h.gain, default=None)
    if best is not None and best.gain > GAIN:
        why = "air time and charge used say otherwise"
        return [Suspect(done.flight.flight_id, best.field, best.recorded, best.fits, best.gain**0.5, "", why)]
    if not read or (best is not None and all(_confirmed(pack, near) for pack in read)):
        return []
    worst = max(read, key=lambda pack: abs(_z_own(pack)))
    least = min(read, key=lambda pack: abs(_z_own(pack)))
    z = abs(_z_own(worst))
    if z < Z_ALONE or (len(read) > 1 and abs(_z_own(least)) < Z_ALONE - 0.8):
        return []
    fits = min(max(round(float(worst.reading.soc_departure_pct or 0) - worst.drop), 0), 100)
    return [
        _suspect(
            done,
            worst,
            "soc_landing_pct",
            float(worst.actual or 0),
            fits,
            z,
            "charge used is unlike what was flown",
        )
    ]


def _suspect(
    done: Forecasted, pack: PackForecast, field: str, recorded: float, fits: float, z: float, why: str
) -> Suspect:
    return Suspect(done.flight.flight_id, field, recorded, fits, z, pack.reading.serial_no, why)


def _used(pack: PackForecast) -> float:
    return float(pack.reading.soc_departure_pct or 0) - float(pack.actual or 0)


def _z(pack: PackForecast, departure: float, landing: float) -> float:
    """Residual of a drop in standard deviations of the forecast."""
    return (departure - landing - pack.drop) / pack.sd


def _z_own(pack: PackForecast) -> float:
    return _z(pack, float(pack.reading.soc_departure_pct or 0), float(pack.actual or 0))


def _after(pack: PackForecast, near: dict[str, Neighbours]) -> float | None:
    found = near.get(pack.reading.serial_no)
    return None if found is None else found.after


def _before(pack: PackForecast, near: dict[str, Neighbours]) -> float | None:
    found = near.get(pack.reading.serial_no)
    return None if found is None else found.before


def _confirmed(pack: PackForecast, near: dict[str, Neighbours]) -> bool:
    """Whether the next record begins where this flight is said to have landed."""
    after = _after(pack, near)
    return after is not None and pack.actual is not None and abs(after - pack.actual) < 2
