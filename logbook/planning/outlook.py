"""What a forecast says of each pack at landing, in the few figures that planning judges by."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from logbook.energy.estimate import Estimate
from logbook.energy.worth import Worths
from logbook.planning.need import Need


class PackOutlook(NamedTuple):
    """One pack after a stretch of flying."""

    serial_no: str
    soc_departure_pct: float
    soc_pct: Estimate
    """Charge at the end [%], within 0 and 100."""
    low_pct: float
    """The low end before that bound: below zero it says by how much the pack falls short [%]."""
    usable_kwh: Estimate
    share: float
    """Of the load of the whole aeroplane [0..1]."""
    chance_below_reserve: float | None = None
    worths: Worths | None = None
    """What a percent is worth in each tenth of charge, where the pack type states it."""


class Outlook(NamedTuple):
    """The aeroplane after a stretch of flying."""

    packs: tuple[PackOutlook, ...]
    chance_below_reserve: float | None = None
    """That any pack ends below its reserve [0..1]."""
    widened: tuple[str, ...] = ()
    """Why the interval is wide: SOH unknown, no flights yet, outside what was ever flown."""


class Forecaster(Protocol):
    """Whoever can look ahead from a departure charge; the estimator behind it is not planning's business."""

    def ahead(
        self,
        need: Need,
        *,
        departures_pct: Sequence[float] | None = None,
        mass_kg: float | None = None,
        reserves_pct: Sequence[float] | None = None,
    ) -> Outlook:
        """The packs after a stretch of flying.

        Args:
            need: what is flown.
            departures_pct: charge of each pack before it [%]; absent: as planned.
            mass_kg: take-off mass [kg]; absent: as planned.
            reserves_pct: with it, the chances of ending below them are worked out [%].
        """
        ...

    def energy(self, need: Need) -> Estimate:
        """What a stretch of flying takes from all packs together [kWh]."""
        ...
