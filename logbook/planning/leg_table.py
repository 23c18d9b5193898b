"""The plan leg by leg: what each costs, what is left after it, and from what charge one must turn back."""

from collections.abc import Sequence

from logbook.energy.estimate import Estimate
from logbook.planning.answer import LegAnswer, LegPack
from logbook.planning.case import Case
from logbook.planning.judge import Judged
from logbook.planning.need import Need, need_of, need_of_leg
from logbook.planning.route import HOME


def leg_table(case: Case) -> tuple[LegAnswer, ...]:
    """One row for each leg, the start and taxi first."""
    rows = []
    so_far = Need()
    total_min: float | None = 0.0
    for number, leg in enumerate(case.legs):
        alone = need_of_leg(leg)
        alone = alone._replace(departure=alone.departure and not so_far.departure)  # it counts once
        so_far = so_far.plus(alone)
        judged = case.judged(so_far)
        total_min = None if leg.minutes is None or total_min is None else total_min + leg.minutes
        rows.append(_row(case, number, judged, case.forecaster.energy(alone), total_min))
    return tuple(rows)


def _row(case: Case, number: int, judged: Judged, energy_kwh: Estimate, total_min: float | None) -> LegAnswer:
    leg = case.legs[number]
    rest = need_of(case.legs[number + 1 :])
    go_on = case.least_start(rest)
    divert = None if case.diversion is None else case.least_start(rest.plus(case.diversion))
    way_home = None if leg.at is None else case.way_home(leg.at, leg)
    home = None if way_home is None else case.least_start(way_home)
    packs = tuple(
        LegPack(pack.serial_no, pack.soc_pct, _of(home, at), _of(go_on, at), _of(divert, at))
        for at, pack in enumerate(judged.outlook.packs)
    )
    return LegAnswer(
        name=leg.name,
        kind=leg.kind,
        minutes=leg.minutes,
        total_min=total_min,
        energy_kwh=energy_kwh,
        packs=packs,
        margin_pct=judged.margin_pct,
        weaker_pack=judged.outlook.packs[judged.weaker].serial_no,
        home_nm=None if leg.at is None else leg.at.to(HOME)[0],
        height_ft=leg.height_ft,
        groundspeed_kt=leg.groundspeed_kt,
        remarks=leg.remarks,
    )


def _of(charges: Sequence[float] | None, at: int) -> float | None:
    return None if charges is None else charges[at]
