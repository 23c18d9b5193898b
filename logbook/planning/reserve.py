"""Which final reserve applies to a flight, and what it asks of each pack.

The minutes and the power of each case are the operator's own entry in the aircraft record; where the power is missing,
the cruise power stands in and is named.
"""

from typing import NamedTuple

from logbook.domain.aircraft import Aircraft
from logbook.domain.reserve import reserve_figures, reserve_words


class FinalReserve(NamedTuple):
    """The final reserve of one case, as the aircraft record states it."""

    case: str
    """local, day or night."""
    minutes: float
    power_kw: float

    @property
    def energy_kwh(self) -> float:
        """What the reserve amounts to, for the whole aeroplane [kWh]."""
        return self.minutes * self.power_kw / 60

    def words(self) -> str:
        """The rule and its power, for people."""
        return f"{reserve_words(self.case, self.minutes, self.power_kw)} (aircraft record)"


def final_reserve(aircraft: Aircraft, case: str) -> FinalReserve | None:
    """The final reserve of a case, or ``None`` where the record lacks its minutes, or any power to count them at."""
    minutes, power_kw = reserve_figures(aircraft.columns(), case)
    if minutes is None or not power_kw:
        return None
    return FinalReserve(case, minutes, power_kw)
