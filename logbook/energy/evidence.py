"""From a flight as written down to the amounts the model counts, and what the clock says about them."""

from math import log
from typing import NamedTuple

from logbook.energy.amounts import Amounts
from logbook.energy.clock import Clock
from logbook.energy.habits import Habits, RunningMean
from logbook.energy.record import AircraftFacts, FlightFacts

USUAL_KFT = {"local": 2.0, "cross-country": 2.5, "ferry": 2.5, "check": 2.0}
LEAST_KW, MOST_KW = 0.1, 2_000.0
MOST_FEET, MOST_MINUTES, MOST_CIRCUITS = 60_000.0, 1_440.0, 200
LEAST_MASS_KG, MOST_MASS_KG = 80.0, 20_000.0
"""Take-off masses beyond these are slips of the pen."""
USUAL_LEVEL = {"local": 15.0, "cross-country": 25.0, "ferry": 20.0, "check": 12.0}


class Reading(NamedTuple):
    """A flight as evidence: its amounts, and how the clock agrees with the legs."""

    amounts: Amounts
    complete: bool
    """Feet, level minutes, circuits and air time were all written down."""
    air_min: float | None
    recorded: tuple[float, float, float]
    """Thousands of feet, circuits and level minutes before any repair."""
    time_sd: float
    """Spread of the air time about what the legs explain [min]."""
    terms: list[float]
    """Regressors of the clock."""
    residual_min: float
    """Air time less what the legs explain, before any repair [min]."""
    z_time: float
    repaired: tuple[str, float, float] | None
    """Field that the clock contradicts, as recorded, and the value that would fit."""


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

    def read(self, flight: FlightFacts, minute_cost: float = 0.5) -> Reading:
        """The amounts of a flight, given only what was learned before it.

        Args:
            flight: As recorded.
            minute_cost: What an unexplained minute costs so far, in level minutes.
        """
        kind = usual_kind(flight)
        circuit_flight = kind == "circuits"
        air, air_sd, taxi = self._times(flight)
        ln_mass, ln_mass_sd = self.mass(flight.mass_kg, flight.handler, flight.aboard)
        kft, circuits, level, blank = self._legs(flight, kind, air, ln_mass)
        recorded = (kft, circuits, level)
        terms = self.clock.terms(kft, circuits, ln_mass, circuit_flight=circuit_flight)
        sd = (self.clock.sd(terms, circuit_flight=circuit_flight) ** 2 + air_sd**2) ** 0.5
        residual = 0.0 if air is None else air - level - self.clock.expected(terms)
        repaired = None
        z_time = residual / sd if sd > 0 else 0.0
        impossible = z_time < -4.5 or (circuit_flight and z_time > 4.5)
        if air is not None and not blank and impossible and air_sd < 1:
            repaired = self._repair(kft, circuits, level, residual, sd, circuit_flight=circuit_flight)
            if repaired is not None:
                kft, circuits, level = self._apply(repaired, kft, circuits, level)
                terms = self.clock.terms(kft, circuits, ln_mass, circuit_flight=circuit_flight)
                residual = (air - level - self.clock.expected(terms)) if air is not None else 0.0
        limit = 2.5 * sd
        trust = 1 - (air_sd / sd) ** 2 if air is not None else 0.0
        known = air is not None and not blank
        amounts = Amounts(
            kft=kft,
            level_min=level,
            ln_power=self.power(flight.level_kw),
            circuits=circuits,
            taxi_min=taxi,
            departs=0.0 if circuit_flight and not kft and not level else 1.0,
            unexplained_min=_believed(residual, limit, minute_cost) * trust if known else 0.0,
            unexplained_sd=0.0 if known else sd,
            circuit_flight=circuit_flight,
            ln_mass=ln_mass,
            ln_mass_sd=ln_mass_sd,
            temp=0.0
            if flight.outside_temp_c is None
            else min(max(flight.outside_temp_c, -40.0), 50.0) - 15.0,
            wind=0.0 if flight.wind_kt is None else min(max(flight.wind_kt, 0.0), 60.0) - 8.0,
            handler=flight.handler,
            kind=kind + "?" if blank else kind,
            air_min=air if air is not None else level + self.clock.expected(terms),
        )
        complete = air is not None and not blank and repaired is None and air_sd < 1
        return Reading(amounts, complete, air, recorded, sd, terms, residual, z_time, repaired)

    def learn(self, flight: FlightFacts, reading: Reading) -> None:
        """Learn what is usual from a flight that is over."""
        kind = usual_kind(flight)
        habits = self.habits
        if reading.complete:
            self.clock.learn(reading.terms, reading.residual_min, circuit_flight=kind == "circuits")
            if kind != "circuits":
                habits.usual(habits.kft, kind, USUAL_KFT.get(kind, 2.0), 1.0).add(reading.amounts.kft)
                habits.usual(habits.level, kind, USUAL_LEVEL.get(kind, 15.0), 8.0).add(
                    reading.amounts.level_min
                )
                habits.usual(habits.circuits, kind, 0.2, 0.5).add(reading.amounts.circuits)
                if flight.highest_ft and flight.highest_ft > 300:
                    habits.climb_of_height.add(reading.amounts.kft * 1000 / flight.highest_ft)
        if flight.takeoff is not None:
            habits.taxi_out.add(float(flight.takeoff - flight.off_blocks))
        if flight.landing is not None and flight.on_blocks is not None:
            habits.taxi_in.add(float(flight.on_blocks - flight.landing))
        if flight.mass_kg is not None and LEAST_MASS_KG < flight.mass_kg < MOST_MASS_KG:
            habits.learn_mass(flight.handler, flight.aboard, flight.mass_kg)

    def mass(self, mass_kg: float | None, handler: str | None, aboard: int | None) -> tuple[float, float]:
        """ln(mass / reference mass) and its spread."""
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

    def _legs(
        self, flight: FlightFacts, kind: str, air: float | None, ln_mass: float
    ) -> tuple[float, float, float, bool]:
        """Thousands of feet, circuits and level minutes; and whether some of it had to be guessed."""
        habits, clock = self.habits, self.clock
        circuit_flight = kind == "circuits"
        blank = False
        circuits = flight.circuits
        kft, level = _within(flight.climb_ft, MOST_FEET), _within(flight.level_min, MOST_MINUTES)
        if circuits is None:
            circuits_known = 0.0
            if circuit_flight:
                blank = True
                circuits_known = float(flight.landings or 0)
                if not circuits_known and air is not None:
                    circuits_known = max((air - clock.state.x[2]) / max(float(clock.state.x[1]), 2.0), 1.0)
                circuits_known = circuits_known or 4.0
        else:
            circuits_known = float(min(max(circuits, 0), MOST_CIRCUITS))
        if circuit_flight:
            return (kft or 0.0) / 1000, circuits_known, level or 0.0, blank
        if kft is None:
            kft_known = self._guess_kft(flight, kind)
            blank = True
        else:
            kft_known = max(kft, 0.0) / 1000
        if level is None:
            terms = clock.terms(kft_known, circuits_known, ln_mass, circuit_flight=False)
            usual = habits.usual(habits.level, kind, USUAL_LEVEL.get(kind, 15.0), 8.0)
            level_known = usual.mean if air is None else max(air - clock.expected(terms), 0.0)
            blank = True
        else:
            level_known = max(level, 0.0)
        return kft_known, circuits_known, level_known, blank

    def _guess_kft(self, flight: FlightFacts, kind: str) -> float:
        usual: RunningMean = self.habits.usual(self.habits.kft, kind, USUAL_KFT.get(kind, 2.0), 1.0)
        if flight.highest_ft and flight.highest_ft > 300:
            return min(self.habits.climb_of_height.mean * flight.highest_ft / 1000, 15.0)
        return usual.mean

    def _repair(
        self, kft: float, circuits: float, level: float, residual: float, sd: float, *, circuit_flight: bool
    ) -> tuple[str, float, float] | None:
        """Which single entry, changed, would make the clock agree; the likeliest slip of the pen first."""
        x = self.clock.state.x
        per_kft, per_circuit = max(float(x[0]), 0.5), max(float(x[1]), 2.0)
        if circuit_flight and circuits > 0:
            fits = round(circuits + residual / per_circuit)
            return ("circuits", circuits, float(fits)) if fits > 0 and fits != circuits else None
        candidates = []
        feet_fit = kft + residual / per_kft
        if kft > 0 and feet_fit > 0.2:
            usual = abs(feet_fit - 2.3) / 1.2
            times_ten = abs(kft / 10 - feet_fit) * per_kft < 2 * sd
            candidates.append((usual - (2.0 if times_ten else 0.0), "climb_ft", 1000 * kft, 1000 * feet_fit))
        level_fit = level + residual
        if level_fit > 0:
            swapped = float(str(int(level))[::-1].rstrip() or 0) if level >= 10 else level
            neat = min(abs(level_fit - swapped), abs(abs(residual) - 10), abs(abs(residual) - 20)) < 1.5 * sd
            candidates.append((0.5 - (1.0 if neat else 0.0), "level_min", level, level_fit))
        if circuits > 0:
            fits = round(circuits + residual / per_circuit)
            if fits >= 0 and abs(residual - (fits - circuits) * per_circuit) < 2 * sd:
                candidates.append((1.0, "circuits", circuits, float(fits)))
        if not candidates:
            return None
        _, name, recorded, fit = min(candidates)
        return name, recorded, fit

    @staticmethod
    def _apply(
        repaired: tuple[str, float, float], kft: float, circuits: float, level: float
    ) -> tuple[float, float, float]:
        name, _, fits = repaired
        if name == "climb_ft":
            return fits / 1000, circuits, level
        if name == "level_min":
            return kft, circuits, fits
        return kft, fits, level


def _within(value: float | None, most: float) -> float | None:
    """A recorded amount, bounded so that a slip of the pen cannot break the arithmetic."""
    return None if value is None else min(max(value, 0.0), most)


def _believed(residual: float, limit: float, minute_cost: float) -> float:
    """Unexplained minutes as far as they are believed.

    Small ones are mostly the noise of typed minutes and feet, which the model's factor allows for; beyond ``limit``
    longer ones are real flying and count more, shorter ones are slips of the pen and count no further.
    """
    if residual <= limit:
        return max(residual, -1.4 * limit)
    return limit + 0.95 / max(minute_cost, 0.3) * (residual - limit)
