"""What a stretch of flying asks for: feet, level minutes by power, circuits, and what counts once."""

from collections.abc import Iterable
from typing import NamedTuple

from logbook.planning.legs import Leg


class Level(NamedTuple):
    """Level minutes at one power; ``None`` is the usual cruise power."""

    minutes: float
    power_kw: float | None = None


class Need(NamedTuple):
    """Amounts of flying, which add up. ``ground`` and ``departure`` count once however many legs there are."""

    climb_ft: float = 0.0
    level: tuple[Level, ...] = ()
    circuits: float = 0.0
    ground: bool = False
    departure: bool = False
    extra_kwh: float = 0.0
    """Stated outright: waits on the ground at a power [kWh]."""

    @property
    def level_min(self) -> float:
        """All level minutes [min]."""
        return sum(part.minutes for part in self.level)

    def plus(self, other: "Need") -> "Need":
        """Both, one after the other."""
        powers = dict.fromkeys(part.power_kw for part in (*self.level, *other.level))
        level = tuple(
            Level(sum(part.minutes for part in (*self.level, *other.level) if part.power_kw == power), power)
            for power in powers
        )
        return Need(
            self.climb_ft + other.climb_ft,
            level,
            self.circuits + other.circuits,
            self.ground or other.ground,
            self.departure or other.departure,
            self.extra_kwh + other.extra_kwh,
        )

    def with_circuits(self, circuits: float) -> "Need":
        """The same with another number of circuits."""
        return self._replace(circuits=max(circuits, 0.0))

    def with_level_min(self, minutes: float) -> "Need":
        """The same with fewer or more level minutes, all powers alike [min]."""
        factor = minutes / self.level_min if self.level_min else 0.0
        return self._replace(level=tuple(part._replace(minutes=part.minutes * factor) for part in self.level))


def need_of(legs: Iterable[Leg]) -> Need:
    """What a run of legs asks for."""
    total = Need()
    for leg in legs:
        total = total.plus(need_of_leg(leg))
    return total


def need_of_leg(leg: Leg, fraction: float = 1.0) -> Need:
    """What one leg, or the first part of it, asks for."""
    level = (Level(leg.level_min * fraction, leg.power_kw),) if leg.level_min else ()
    return Need(
        leg.climb_ft * fraction,
        level,
        leg.circuits * fraction,
        ground=leg.order < 0,
        departure=leg.flies_away,
        extra_kwh=leg.extra_kwh * fraction,
    )


ONE_CIRCUIT = Need(circuits=1.0)
