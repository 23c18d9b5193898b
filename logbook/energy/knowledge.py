"""Everything learned about one aeroplane so far: the joint state, and what the estimates remember beside it."""

from collections.abc import Sequence
from copy import copy
from typing import NamedTuple, Self

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.evidence import Reader
from logbook.energy.largest import Largest
from logbook.energy.packs import DRIFT_SD, GENERIC_NOMINAL_KWH, PLACES, STATED_ZERO_SD, Scale
from logbook.energy.record import WHOLE, AircraftFacts, PackFacts
from logbook.energy.scatter import Scatter
from logbook.energy.state import Group, State
from logbook.energy.today import Today
from logbook.energy.usable import GAUGE_SD_PCT

GAUGE_WEIGHT = 60.0
PERSON_SD = (0.045, 0.03, 0.03)
"""Prior spread of a person's effect on everything, on circuits, on level flight."""
PERSON_DRIFT = (0.0005, 0.0004, 0.0004)
POSITION_SD = 0.02
PEOPLE_PLACES, CHARGER_PLACES = 16, 5


class DoubtfulCharge(NamedTuple):
    """A charge whose meter does not fit the pack and the charger; it teaches little or nothing."""

    charge_id: str
    serial_no: str
    metered_kwh: float
    expected_kwh: float
    """What this session should have taken; of all its packs where one meter served them."""
    z: float


class Knowledge:
    """The joint state of one aeroplane and its packs, people and chargers."""

    def __init__(self, aircraft: AircraftFacts, packs: Sequence[PackFacts] = ()) -> None:
        self.aircraft = aircraft
        self.scales = {facts.serial_no: Scale(facts) for facts in packs}
        self.positions = {name: names.CORE + index for index, name in enumerate(aircraft.positions)}
        count = max(len(aircraft.positions), 1)
        nominal = [scale.nominal_kwh for serial, scale in self.scales.items() if serial != WHOLE]
        self.together_kwh = count * (sum(nominal) / len(nominal) if nominal else GENERIC_NOMINAL_KWH)
        if WHOLE in self.scales:
            self.scales[WHOLE].stand_in(self.together_kwh)
        begin = names.start(aircraft, self.together_kwh)
        self.dropped, self.reasons = begin.dropped, begin.reasons
        zero_sd = STATED_ZERO_SD if all(s.zero_stated for s in self.scales.values()) else 0.2
        mean, sd = list(begin.mean), list(begin.sd)
        sd[names.ZERO] = zero_sd
        self.state = State(
            mean + [0.0] * len(self.positions),
            sd + [POSITION_SD] * len(self.positions),
            [*names.DRIFT_SD, *[0.0005] * len(self.positions)],
        )
        if self.positions:
            cut = slice(names.CORE, names.CORE + len(self.positions))
            even = np.eye(count) - 1.0 / count  # shares add to one
            self.state.p[cut, cut] = POSITION_SD**2 * even
        self.packs = Group(self.state, PLACES, DRIFT_SD)
        self.people = Group(self.state, PEOPLE_PLACES, PERSON_DRIFT)
        self.chargers = Group(self.state, CHARGER_PLACES, (0.001, 0.0, 0.0))
        self.reader = Reader(aircraft)
        self.scatter = Scatter()
        self.today = Today()
        self.gauge = GAUGE_SD_PCT**2
        self.gauge_weight = GAUGE_WEIGHT
        self.flights = 0
        self.measured = 0
        """Flights of which some charge after landing taught what they cost."""
        self.last_soh: dict[str, tuple[float, int]] = {}
        self.slow_soh: dict[str, tuple[float, float]] = {}
        """For each pack: slow mean of ln(usable / nominal) that SOH points at, and how far the last reading lay above it."""
        self.last_soc: dict[str, tuple[float, int]] = {}
        self.run_of_sign = 0.0
        self.changed_at: int | None = None
        self.left_out: dict[str, int] = {}
        """For each pack: flight in which its reading was last left out."""
        self.doubtful: list[DoubtfulCharge] = []
        self.gains: dict[str, dict[str, float]] = {}
        self.counts: dict[str, dict[str, int]] = {}
        self.history: dict[str, list[tuple[int, float, float]]] = {}
        """For each pack: instant, L and its variance after each flight."""
        self.flown_by: dict[str, int] = {}
        self.flown_with: dict[str, int] = dict.fromkeys(names.RATE_NAMES, 0)
        """Measured flights in which something of each rate was flown."""
        self.timed_circuits = 0
        """Flights with circuits: their minutes are learned without any charge."""
        self.largest = Largest()

    def scale(self, serial_no: str) -> Scale:
        """What is stated about a pack; a pack nobody described gets stand-ins."""
        found = self.scales.get(serial_no)
        if found is None:
            found = self.scales[serial_no] = Scale(PackFacts(serial_no))
            if serial_no == WHOLE:
                found.stand_in(self.together_kwh)
        return found

    def pack_at(self, serial_no: str, *, has_soh: bool = True) -> int:
        """Index of a pack's unknowns."""
        return self.packs.place(serial_no, *self.scale(serial_no).start(has_soh=has_soh))

    def note(self, serial_no: str, source: str, gain: float) -> None:
        """Keep count of what each source told about a pack's capacity."""
        gains = self.gains.setdefault(serial_no, {})
        gains[source] = gains.get(source, 0.0) + max(gain, 0.0)
        counts = self.counts.setdefault(serial_no, {})
        counts[source] = counts.get(source, 0) + 1

    def person(self, handler: str | None) -> tuple[int | None, tuple[float, float, float]]:
        """Where a person's effects are kept, and what they are."""
        if not handler:
            return None, (0.0, 0.0, 0.0)
        first = self.people.place(handler, (0.0, 0.0, 0.0), PERSON_SD)
        x = self.state.x
        return first, (float(x[first]), float(x[first + 1]), float(x[first + 2]))

    def copied(self) -> Self:
        """A copy that a question may change; histories, which a question never writes, stay shared."""
        asked = copy(self)
        asked.state = self.state.copied()
        asked.packs, asked.people, asked.chargers = (
            group.moved(asked.state) for group in (self.packs, self.people, self.chargers)
        )
        asked.reader = copy(self.reader)
        asked.reader.habits = copy(self.reader.habits)  # the first mass asked about may become the reference
        asked.scales = dict(self.scales)
        asked.last_soh, asked.slow_soh = dict(self.last_soh), dict(self.slow_soh)
        asked.gains = {serial: dict(gains) for serial, gains in self.gains.items()}
        asked.counts = {serial: dict(counts) for serial, counts in self.counts.items()}
        return asked
