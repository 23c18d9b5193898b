"""How long an answer to a plan takes, by length of plan and of record. Run: python -m tests.bench.plan_speed."""

import time
from statistics import median

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput, there_and_back_plan
from logbook.energy.estimator import estimate
from logbook.planning.asking import answer_plan
from logbook.planning.fitted import FittedPack
from tests.planning.linear import circuits_plan
from tests.world.facts import history_of
from tests.world.season import make_world

RESERVES = {
    "reserve_soc_pct": 30.0,
    "final_reserve_min_local": 10.0,
    "final_reserve_kw_local": 30.0,
    "final_reserve_min_day": 30.0,
    "final_reserve_kw_day": 20.0,
}


def ten_legs(registration: str) -> PlanInput:
    """A plan with a bend in it, more legs than anybody flies."""
    legs: list[dict[str, object]] = [{"kind": "climb", "climb_ft": 1500}]
    legs += [{"kind": "level", "distance_nm": 4, "track_deg": 40 * step} for step in range(8)]
    return PlanInput.model_validate(
        {"aircraft": registration, "legs": [*legs, {"kind": "descent"}], "wind_dir": 250, "wind_kt": 14}
    )


def main() -> None:
    """Print milliseconds for each plan and record."""
    for flights in (50, 700):
        history = history_of(make_world(11, flights))
        facts, estimator = history.aircraft, estimate(history)
        known = {name: getattr(facts, name) for name in facts._fields if name in Aircraft.model_fields}
        aircraft = Aircraft.model_validate(
            {**known, "positions": list(facts.positions), **RESERVES}, strict=False
        )
        fitted = [
            FittedPack(r.serial_no, r.position or "", 90.0, r.soh_pct, 15.0)
            for r in history.flights[-1].readings
        ]
        plans = {
            "6 circuits": circuits_plan(facts.registration, 6, mass_kg=600.0),
            "20 circuits, does not fit": circuits_plan(facts.registration, 20, mass_kg=600.0),
            "there and back": there_and_back_plan(facts.registration, 12, 60, 2000, wind_dir=250, wind_kt=14),
            "ten legs": ten_legs(facts.registration),
        }
        for name, plan in plans.items():
            times = []
            for _ in range(30):
                begun = time.perf_counter()
                answer = answer_plan(plan, aircraft, fitted, estimator)
                times.append(1000 * (time.perf_counter() - begun))
            print(f"{flights:4d} flights  {name:26s} {median(times):6.1f} ms  {answer.verdict}")  # noqa: T201


if __name__ == "__main__":
    main()
