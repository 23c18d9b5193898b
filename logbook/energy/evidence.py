"""From a flight as written down to the amounts the model counts, and what the clock says about them."""

from math import log
from typing import NamedTuple

from logbook.energy.amounts import Amounts
from logbook.energy.clock import Clock
from logbook.energy.habits import Habits
from logbook.energy.legs import Legs, learn_legs, legs_of
from logbook.energy.record import AircraftFacts, FlightFacts
from logbook.energy.slips import IMPOSSIBLE_Z, Repair, repair

LEAST_KW, MOST_KW = 0.1, 2_000.0
LEAST_MASS_KG, MOST_MASS_KG = 80.0, 20_000.0
"""Take-off masses beyond these are slips of the pen."""


class Reading(NamedTuple):
    """A flight as evidence: its amounts, and how the clock agrees with the legs."""

    amounts: Amounts
    complete: bool
    """Feet, level minutes, circuits and air time were all written down."""
    air_min: float | None
    recorded: Legs
    """The legs before any repair."""
    time_sd: float
    """Spread of the air time about what the legs explain [min]."""
    terms: list[float]
    """Regressors of the clock."""
    residual_min: float
    """Air time less what the legs explain, before any repair [min]."""
    z_time: float
    repaired: Repair | None
    """The entry that the clock contradicts."""


class _Timing(NamedTuple):
    """How the clock agrees with the legs."""

    terms: list[float]
    sd: float
    residual: float


def usual_kind(flight: FlightFacts) -> str:
    """Kind of a flight, guessed from its legs where nobody said."""
    if flight.kind:
        return flight.kind
    if (flight.circuits or 0) > 0 and not flight.climb_ft and not flight.level_min:
        return "circuits"
    return "cross-country" if flight.place_to and flight.place_to != flight.place_from else "local"


class Reader:
    """Reads flights with what is usual for this aeroplane; learns it from each."""

    def __init__(self, aircraft: AircraftFacts) -> None:
        self.aircraft = aircraft
        self.clock = Clock(aircraft.climb_rate_fpm)
        self.habits = Habits(aircraft.handbook_mass_kg, aircraft.empty_mass_kg)
        self.cruise_kw = aircraft.cruise_power_kw
        self.heaviest_ln_mass = 0.0
        """ln(mass / reference mass) of the heaviest flight learned from; 0 is the reference mass itself."""

    def read(self, flight: FlightFacts, minute_cost: float = 0.5) -> Reading:
        """The amounts of a flight, given only what was learned before it.

        Args:
            flight: As recorded.
            minute_cost: What an unexplained minute costs so far, in level minutes.
        """
        kind = usual_kind(flight)
        air, air_sd, taxi = self._times(flight)
        ln_mass, ln_mass_sd = self.mass(flight.mass_kg, flight.handler, flight.aboard)
        legs = recorded = legs_of(flight, kind, air, ln_mass, (self.clock, self.habits))
        timing = self._timing(legs, kind, air, air_sd, ln_mass)
        z_time, repaired = timing.residual / timing.sd, None
        impossible = z_time < -IMPOSSIBLE_Z or (kind == "circuits" and z_time > IMPOSSIBLE_Z)
        if air is not None and not legs.guessed and impossible and air_sd < 1:
            repaired = repair(legs, self.clock, timing.residual, timing.sd, circuit_flight=kind == "circuits")
            if repaired is not None:
                legs = repaired.applied(legs)
                timing = self._timing(legs, kind, air, air_sd, ln_mass)
        known = air is not None and not legs.guessed
        trust = 1 - (air_sd / timing.sd) ** 2
        amounts = Amounts(
            kft=legs.kft,
            level_min=legs.level_min,
            ln_power=self.power(flight.level_kw),
            circuits=legs.circuits,
            taxi_min=taxi,
            departs=0.0 if legs.kft == legs.level_min == 0 and (legs.circuits or kind == "circuits") else 1.0,
            unexplained_min=_believed(timing.residual, 2.5 * timing.sd, minute_cost) * trust
            if known
            else 0.0,
            unexplained_sd=0.0 if known else timing.sd,
            circuit_flight=kind == "circuits",
            ln_mass=ln_mass,
            ln_mass_sd=ln_mass_sd,
            temp=_off(flight.outside_temp_c, 15.0, -40.0, 50.0),
            wind=_off(flight.wind_kt, 8.0, 0.0, 60.0),
            handler=flight.handler,
            kind=kind + "?" if legs.guessed else kind,
            air_min=air if air is not None else legs.level_min + self.clock.expected(timing.terms),
        )
        complete = known and repaired is None and air_sd < 1
        return Reading(
            amounts, complete, air, recorded, timing.sd, timing.terms, timing.residual, z_time, repaired
        )

    def _timing(self, legs: Legs, kind: str, air: float | None, air_sd: float, ln_mass: float) -> _Timing:
        circuit_flight = kind == "circuits"
        terms = self.clock.terms(legs.kft, legs.circuits, ln_mass, circuit_flight=circuit_flight)
        sd = (self.clock.sd(terms, circuit_flight=circuit_flight) ** 2 + air_sd**2) ** 0.5
        residual = 0.0 if air is None else air - legs.level_min - self.clock.expected(terms)
        return _Timing(terms, sd, residual)

    def learn(self, flight: FlightFacts, reading: Reading) -> None:
        """Learn what is usual from a flight that is over."""
        kind = usual_kind(flight)
        habits = self.habits
        if reading.complete:
            self.clock.learn(reading.terms, reading.residual_min, circuit_flight=kind == "circuits")
            if kind != "circuits":
                learn_legs(habits, flight, kind, reading.recorded)
        if flight.takeoff is not None:
            habits.taxi_out.add(float(flight.takeoff - flight.off_blocks))
        if flight.landing is not None and flight.on_blocks is not None:
            habits.taxi_in.add(float(flight.on_blocks - flight.landing))
        if flight.mass_kg is not None and LEAST_MASS_KG < flight.mass_kg < MOST_MASS_KG:
            habits.learn_mass(flight.handler, flight.aboard, flight.mass_kg)
            self.heaviest_ln_mass = max(self.heaviest_ln_mass, reading.amounts.ln_mass)

    def mass(self, mass_kg: float | None, handler: str | None, aboard: int | None) -> tuple[float, float]:
        """ln(mass / reference mass) of a recorded flight and its spread; a plan's mass: `planned_mass`."""
        reference = self.habits.reference_kg
        usual = self.habits.mass_kg(handler, aboard)
        if mass_kg is not None and LEAST_MASS_KG < mass_kg < MOST_MASS_KG:
            if reference is None or reference <= 0:
                reference = self.habits.reference_kg = mass_kg
            if usual is not None and abs(mass_kg - usual[0]) > 200:
                mass_kg = usual[0]  # a slip of the pen
            return min(max(log(mass_kg / reference), -0.7), 0.7), 0.0
        if usual is None or reference is None or reference <= 0:
            # The handbook's mass is usually that with two aboard; a person is some 13 % of a light trainer.
            return (0.0, 0.06) if not aboard else (min(max(0.13 * (aboard - 1.7), -0.2), 0.3), 0.04)
        return min(max(log(max(usual[0], 1.0) / reference), -0.7), 0.7), min(usual[1] / usual[0], 0.3)

    def power(self, level_kw: float | None) -> float:
        """ln(level power / usual cruise power)."""
        if level_kw is None or not LEAST_KW < level_kw < MOST_KW:
            return 0.0
        if self.cruise_kw is None or not LEAST_KW < self.cruise_kw < MOST_KW:
            self.cruise_kw = level_kw
        return min(max(log(level_kw / self.cruise_kw), -0.7), 0.7)

    def _times(self, flight: FlightFacts) -> tuple[float | None, float, float]:
        """Air time, its spread, and taxi beyond the usual [min]."""
        out, back = self.habits.taxi_out, self.habits.taxi_in
        usual = out.mean + back.mean
        block = None if flight.on_blocks is None else float(flight.on_blocks - flight.off_blocks)
        if flight.takeoff is not None and flight.landing is not None:
            air = float(flight.landing - flight.takeoff)
            taxi = 0.0 if block is None else block - air - usual
            # A slip in one of the four times shows as a taxi nobody ever rolled.
            wrong_out = abs(flight.takeoff - flight.off_blocks - out.mean) > max(5 * out.sd, 8)
            wrong_in = flight.on_blocks is not None and abs(
                flight.on_blocks - flight.landing - back.mean
            ) > max(5 * back.sd, 8)
            if block is not None and (wrong_out != wrong_in):
                return max(block - usual, 1.0), (out.sd**2 + back.sd**2) ** 0.5, 0.0
            return air, 0.0, min(max(taxi, -10.0), 30.0)
        spread = (out.sd**2 + back.sd**2) ** 0.5
        if block is not None:
            return max(block - usual, 0.4 * block), spread, 0.0
        return None, 0.0, 0.0


def _off(value: float | None, usual: float, least: float, most: float) -> float:
    """A recorded figure less its usual value; 0 where unknown."""
    return 0.0 if value is None else min(max(value, least), most) - usual


def _believed(residual: float, limit: float, minute_cost: float) -> float:
    """Unexplained minutes as far as they are believed.

    Small ones are mostly the noise of typed minutes and feet, which the model's factor allows for; beyond ``limit``
    longer ones are real flying and count more, shorter ones are slips of the pen and count no further.
    """
    if residual <= limit:
        return max(residual, -1.4 * limit)
    return limit + 0.95 / max(minute_cost, 0.3) * (residual - limit)
