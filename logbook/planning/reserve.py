"""Which final reserve applies to a flight, and what it asks of each pack.

The minutes and the power of each case are the operator's own entry in the aircraft record; where the power is missing,
the cruise power stands in and is named. `SUGGESTIONS` lists what published rules ask for, to be read beside the form, never filled in.
"""

from typing import Final, NamedTuple

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


class Suggestion(NamedTuple):
    """What a published rule asks for. The power is the operator's to state, at the condition named."""

    rule: str
    case: str
    minutes: int
    flown_at: str
    source: str


_FOCA: Final = (
    "AMC1 NCO.OP.125(b), since 30 October 2022, with the commentary of a national authority (SAND-2022-004)"
)
SUGGESTIONS: Final = (
    Suggestion("14 CFR 91.151(a)", "day", 30, "normal cruising speed", "14 CFR 91.151"),
    Suggestion("14 CFR 91.151(a)", "night", 45, "normal cruising speed", "14 CFR 91.151"),
    Suggestion(
        "EU AMC1 NCO.OP.125(b), same aerodrome, always in sight",
        "local",
        10,
        "maximum continuous cruise power, 1500 ft above the destination",
        _FOCA,
    ),
    Suggestion("EU AMC1 NCO.OP.125(b)", "day", 30, "holding speed, 1500 ft above the destination", _FOCA),
    Suggestion("EU AMC1 NCO.OP.125(b)", "night", 45, "holding speed, 1500 ft above the destination", _FOCA),
    Suggestion("ICAO Annex 6 Part II, 2.2.3.6", "day", 30, "normal cruising altitude", "read second-hand"),
    Suggestion("ICAO Annex 6 Part II, 2.2.3.6", "night", 45, "normal cruising altitude", "read second-hand"),
)


def final_reserve(aircraft: Aircraft, case: str) -> FinalReserve | None:
    """The final reserve of a case, or ``None`` where the record lacks its minutes, or any power to count them at."""
    minutes, power_kw = reserve_figures(aircraft.columns(), case)
    if minutes is None or not power_kw:
        return None
    return FinalReserve(case, minutes, power_kw)
