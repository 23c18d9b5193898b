"""The plain record the estimators read: one aeroplane, everything that happened to it.

Nothing here checks or converts: whoever fills these tuples has done that. Conventions of every field:

* an instant is whole minutes since 1970-01-01T00:00Z [POSIX minutes], so that differences are minutes;
* ``None`` is unknown, never zero;
* percentages are 0..100, energies [kWh], masses [kg], temperatures [°C], wind speeds [kt] and directions [°, from].

The tuples carry recorded figures only; capacities, rates and forecasts are derived from them elsewhere.
"""

from typing import NamedTuple, Protocol

WHOLE = ""
"""Stands in place of a serial number where one figure was read for the whole aeroplane."""


class AircraftFacts(NamedTuple):
    """What the handbook and the owner state about the aeroplane. Rates are for the whole aeroplane.

    A handbook rate of 0 says "this aeroplane has no such cost" and drops the term;
    ``None`` says the handbook is silent, and the estimate starts wide.
    """

    registration: str
    positions: tuple[str, ...] = ()
    handbook_ground_kwh: float | None = None
    """Start, taxi and shutdown of one flight [kWh a flight]."""
    handbook_climb_kwh_per_1000ft: float | None = None
    handbook_level_kwh_per_min: float | None = None
    """Level flight at the usual cruise power [kWh/min]."""
    handbook_circuit_kwh: float | None = None
    handbook_departure_kwh: float | None = None
    """Counts once when anything but circuits is flown [kWh a flight]."""
    handbook_mass_kg: float | None = None
    """Take-off mass the handbook rates are stated at [kg]."""
    empty_mass_kg: float | None = None
    climb_rate_fpm: float | None = None
    cruise_power_kw: float | None = None
    cruise_tas_kt: float | None = None
    reserve_soc_pct: float | None = None


class PackFacts(NamedTuple):
    """What is stated about one battery pack, by serial number."""

    serial_no: str
    nominal_kwh: float | None = None
    """Capacity the maker rates the new pack at [kWh]."""
    soh_zero_fraction: float | None = None
    """Usable fraction of nominal that the SOH scale calls 0; ``None`` where the manual does not say."""
    soh_full_fraction: float | None = None
    """Usable fraction of nominal that the SOH scale calls 100."""
    unusable_soc_pct: float | None = None
    curve: tuple[float, ...] | None = None
    """kWh per % of each tenth of SOC from full to empty, of which only the ratios count; ``None``: not stated."""


class ReadingFacts(NamedTuple):
    """One pack on one flight, or the whole aeroplane by one gauge, as read."""

    serial_no: str
    position: str | None = None
    soc_departure_pct: float | None = None
    soc_landing_pct: float | None = None
    soh_pct: float | None = None
    temp_departure_c: float | None = None
    counts: bool = True
    """True when somebody or a recorder really read it (source read, confirmed, recorder)."""
    packs: tuple[str, ...] = ()
    """Packs that one figure for the whole aeroplane stands for, where they are known; empty for a pack's own figure."""


class _Gauge(Protocol):
    @property
    def serial_no(self) -> str: ...
    @property
    def packs(self) -> tuple[str, ...]: ...


def members_of(gauge: _Gauge) -> tuple[str, ...]:
    """Packs that a figure is about: its own, or all that the one gauge of the aeroplane shows."""
    return gauge.packs or (gauge.serial_no,)


class FlightFacts(NamedTuple):
    """One flown flight. ``handler`` is the person at the controls who decides how energy is used."""

    flight_id: str
    off_blocks: int
    takeoff: int | None = None
    landing: int | None = None
    on_blocks: int | None = None
    kind: str = ""
    """circuits, local, cross-country, ferry or check; empty when unknown."""
    circuits: int | None = None
    climb_ft: float | None = None
    """Feet climbed outside circuits [ft]."""
    highest_ft: float | None = None
    level_min: float | None = None
    """Level minutes outside circuits [min]."""
    level_kw: float | None = None
    mass_kg: float | None = None
    aboard: int | None = None
    handler: str | None = None
    outside_temp_c: float | None = None
    wind_dir: float | None = None
    wind_kt: float | None = None
    landings: int | None = None
    takeoffs: int | None = None
    readings: tuple[ReadingFacts, ...] = ()
    place_from: str = ""
    place_to: str = ""


class ChargeFacts(NamedTuple):
    """One pack in one charging session."""

    charge_id: str
    serial_no: str
    started: int
    ended: int | None = None
    charger: str | None = None
    purpose: str | None = None
    soc_start_pct: float | None = None
    soc_end_pct: float | None = None
    energy_kwh: float | None = None
    """This pack's own meter [kWh]."""
    shared_energy_kwh: float | None = None
    """One meter for the whole session, the same figure in the row of each pack [kWh]."""


class CheckFacts(NamedTuple):
    """A measured capacity (bench discharge or capacity flight) of one pack."""

    serial_no: str
    at: int
    kwh: float
    power_kw: float | None = None


class BreakFacts(NamedTuple):
    """A moment after which a pack is not the pack it was: module change, repair, SOH reset, firmware."""

    serial_no: str
    at: int
    what: str = ""


class AircraftHistory(NamedTuple):
    """Everything recorded about one aeroplane and every pack that was ever fitted to it.

    A pack may also have flown elsewhere, unrecorded here. Events need not be sorted.
    """

    aircraft: AircraftFacts
    packs: tuple[PackFacts, ...] = ()
    flights: tuple[FlightFacts, ...] = ()
    charges: tuple[ChargeFacts, ...] = ()
    checks: tuple[CheckFacts, ...] = ()
    breaks: tuple[BreakFacts, ...] = ()
