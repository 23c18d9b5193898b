"""What a flight consisted of, as the energy model counts it: from a flight as recorded, or from a demand as planned."""

from typing import NamedTuple


class Amounts(NamedTuple):
    """How much of everything was (or will be) flown."""

    kft: float = 0.0
    """Thousands of feet climbed outside circuits."""
    level_min: float = 0.0
    ln_power: float = 0.0
    """ln(level power / usual cruise power)."""
    circuits: float = 0.0
    starts: float = 1.0
    """Start, taxi and shutdown: once a flight."""
    taxi_min: float = 0.0
    """Taxi beyond the usual [min]."""
    departs: float = 0.0
    unexplained_min: float = 0.0
    unexplained_sd: float = 0.0
    """Spread of the unexplained time where it is not known [min]."""
    circuit_flight: bool = False
    ln_mass: float = 0.0
    ln_mass_sd: float = 0.0
    temp: float = 0.0
    """Outside temperature less 15 °C."""
    wind: float = 0.0
    """Wind speed less 8 kt."""
    extra_kwh: float = 0.0
    handler: str | None = None
    kind: str = "local"
    """Class of scatter; ends in ``?`` where feet or minutes were not written down."""
    air_min: float = 0.0
    today: float = 0.0
    """Effect of the day's air on the logarithm of energy, from earlier flights of the day."""

    @property
    def blank(self) -> float:
        """1 where feet or minutes had to be guessed."""
        return 1.0 if self.kind.endswith("?") else 0.0
