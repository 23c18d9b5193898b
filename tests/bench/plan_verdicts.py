# ruff: noqa: T201
"""How verdicts turn out: each simulated flight planned as it was flown, judged from earlier records only.

Run: python -m tests.bench.plan_verdicts [worlds [reserve %]]. Wrong entries (about one in a hundred) are left in.
"""

import sys

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput
from logbook.energy.estimator import Estimator
from logbook.energy.events import events_of
from logbook.energy.record import FlightFacts
from logbook.planning.asking import answer_plan
from logbook.planning.fitted import FittedPack
from tests.world.facts import history_of
from tests.world.season import make_world

FIRST = 30
"""Flights before the first verdict counts."""
RESERVE_PCT = float(sys.argv[2]) if len(sys.argv) > 2 else 30.0


def plan_of(flight: FlightFacts, registration: str) -> PlanInput | None:
    """The flight as a plan, or nothing where its legs were not written down."""
    legs: list[dict[str, object]] = []
    if flight.circuits:
        legs.append({"kind": "circuits", "circuits": flight.circuits})
    if flight.climb_ft:
        legs.append({"kind": "climb", "climb_ft": flight.climb_ft})
    if flight.level_min:
        legs.append({"kind": "level", "minutes": flight.level_min, "power_kw": flight.level_kw})
    if not legs:
        return None
    known = {
        "mass_kg": flight.mass_kg,
        "aboard": flight.aboard,
        "handled_by": flight.handler,
        "outside_temp_c": flight.outside_temp_c,
        "wind_kt": flight.wind_kt,
        "kind": flight.kind or None,
    }
    return PlanInput.model_validate({"aircraft": registration, "legs": legs, **known}, strict=False)


def judged(seed: int) -> list[tuple[str, float, bool]]:
    """Verdict, margin of the pack that decides [points], and whether any pack landed below the reserve."""
    history = history_of(make_world(seed, 250, days=300))
    facts = history.aircraft
    known = {name: getattr(facts, name) for name in facts._fields if name in Aircraft.model_fields}
    known |= {"positions": list(facts.positions), "reserve_soc_pct": RESERVE_PCT}
    aircraft = Aircraft.model_validate(known, strict=False)
    estimator, found, flights = Estimator(facts, history.packs), [], 0
    for event in events_of(history):
        if isinstance(event, FlightFacts):
            flights += 1
            landed = [reading.soc_landing_pct for reading in event.readings]
            plan = plan_of(event, facts.registration)
            packs = [
                FittedPack(r.serial_no, r.position or "", r.soc_departure_pct, r.soh_pct, r.temp_departure_c)
                for r in event.readings
            ]
            if plan and flights > FIRST and len(packs) == len(facts.positions) and None not in landed:
                answer = answer_plan(plan, aircraft, packs, estimator)
                if answer.verdict != "cannot_tell":
                    margin = min(pack.margin_pct or 0.0 for pack in answer.packs)
                    found.append((answer.verdict, margin, min(soc or 0.0 for soc in landed) < RESERVE_PCT))
        estimator.step(event)
    return found


def main() -> None:
    """Print how often each verdict was followed by a landing below the reserve."""
    worlds = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    rows = [row for seed in range(1, worlds + 1) for row in judged(seed)]
    for verdict in ("fits", "does_not_fit"):
        below = [row[2] for row in rows if row[0] == verdict]
        print(
            f"{verdict:13s} {len(below):5d} flights, {100 * sum(below) / max(len(below), 1):5.1f} % landed below"
        )
    close = [row[2] for row in rows if 0 <= row[1] < 2]
    print(
        f"fits by less than 2 points: {len(close)} flights, {100 * sum(close) / max(len(close), 1):.1f} % landed below"
    )


if __name__ == "__main__":
    main()
