"""Planning a flight from what the record says: the packs as last recorded, what speaks against flying, the answer."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.errors import DataRefused
from logbook.services.add import now
from logbook.services.authority import Outing, person_concerns
from logbook.services.cases import Cases
from logbook.services.grounding import GROUNDING, INSPECT, in_state
from logbook.services.plan_heat import HeatLimits, PackHeat, pack_heat
from logbook.services.plan_means import PlanMeans, means_of
from logbook.services.plan_packs import packs_of
from logbook.services.waiting import waiting_packs
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.records import Records

if TYPE_CHECKING:
    from collections.abc import Callable

    from logbook.domain.plan import PlanInput
    from logbook.planning.answer import PlanAnswer

Row = dict[str, Any]


class Planned(NamedTuple):
    """A plan as understood, its answer, and how warm its packs will get."""

    plan: PlanInput
    answer: PlanAnswer
    heat: tuple[PackHeat, ...] = ()

    def to_json(self) -> Row:
        """The documented JSON of the answer, with `temperature` beside it."""
        return self.answer.to_json() | {"temperature": [pack.to_json() for pack in self.heat]}


def plan_flight(
    book: Book,
    data: object,
    *,
    means: Callable[[Book, str], PlanMeans] = means_of,
    clock: Callable[[], str] = now,
) -> Planned:
    """Answers a plan.

    Args:
        book: the open book.
        data: the plan, as in `docs/interface.md`.
        means: where the estimates of an aeroplane come from; a screen keeps them between two questions.
        clock: what time it is.

    Raises:
        DataRefused: the plan cannot be flown as typed; says what to do.
    """
    from logbook.domain.aircraft import Aircraft
    from logbook.domain.plan import PlanInput
    from logbook.domain.record import read_record
    from logbook.planning.asking import answer_plan

    plan = read_record(PlanInput, data)
    found = Records(book, "aircraft").find(plan.aircraft)
    if found is None:
        raise DataRefused(
            f"The book knows no aircraft '{plan.aircraft}'.",
            next_step="See 'logbook list aircraft'.",
            field="aircraft",
        )
    aircraft = read_record(Aircraft, found[1])
    day = plan.date or clock()[:10]
    packs = packs_of(book, aircraft.registration, plan)
    serials = [serial for serial, _ in BookFacts(book).fitted_now(aircraft.registration)]
    concerns = concerns_of(book, aircraft.registration, serials, day)
    known = means(book, aircraft.registration)
    asked = plan
    if not plan.charging_pace and known.pace:
        asked = read_record(PlanInput, plan.model_dump(by_alias=True) | {"charging_pace": list(known.pace)})
    answer = answer_plan(asked, aircraft, packs, known.estimator, concerns=concerns)
    heat = _heat(book, plan, answer, known, clock())
    warm = [pack.words for pack in heat if pack.warns]
    first = len(concerns)  # what speaks against flying at all comes before warmth
    theirs = _of_the_person(book, plan, answer, day)
    cautions = tuple(dict.fromkeys([*answer.cautions[:first], *theirs, *warm, *answer.cautions[first:]]))
    return Planned(plan, replace(answer, cautions=cautions), heat)


def _of_the_person(book: Book, plan: PlanInput, answer: PlanAnswer, day: str) -> list[str]:
    """What the items of the person who flies say to the plan; alone unless it names more aboard."""
    if plan.handled_by is None:
        return []
    landing = [pack.landing_soc_pct.low for pack in answer.packs if pack.landing_soc_pct is not None]
    departure = [pack.soc_departure_pct for pack in answer.packs if pack.soc_departure_pct is not None]
    outing = Outing(
        day=day,
        alone=plan.aboard in (None, 1),
        aircraft=plan.aircraft,
        place=plan.place_from,
        wind_kt=plan.wind_kt,
        departure_pct=min(departure, default=None),
        landing_pct=min(landing, default=None),
        minutes=answer.block_min,
    )
    return person_concerns(book, plan.handled_by, outing)


def _heat(
    book: Book, plan: PlanInput, answer: PlanAnswer, known: PlanMeans, now: str
) -> tuple[PackHeat, ...]:
    """How warm each pack will get; one gauge for all of them tells nothing of that."""
    cases, found = Cases(book), []
    for pack in answer.packs:
        if not pack.serial_no:
            continue
        limits = cases.limits(plan.aircraft, pack.serial_no)
        manual = HeatLimits(
            limits.temp_caution_c, limits.temp_limit_c, limits.takeoff_min_temp_c, limits.takeoff_max_temp_c
        )
        fit = known.heat.get(pack.serial_no)
        found.append(pack_heat(pack, fit, manual, plan.outside_temp_c, now))
    return tuple(found)


def concerns_of(book: Book, aircraft: str, serials: list[str], day: str) -> list[str]:
    """What speaks against flying, before any figure: open and deferred defects, grounded packs."""
    found = []
    for _, defect in Records(book, "defect").select("struck = 0 AND state <> 'closed'", order="found"):
        if defect["aircraft"] != aircraft and defect["serial_no"] not in serials:
            continue
        what = defect["serial_no"] or defect["aircraft"]
        if defect["state"] == "open":
            first = "inspection before next use" if defect["needs_inspection"] else "open defect"
            found.append(f"{what}: {first}: {defect['text']}")
        elif defect["deferred_until"] and defect["deferred_until"] < day:
            found.append(
                f"{what}: deferred defect, overdue since {defect['deferred_until']}: {defect['text']}"
            )
        else:
            found.append(f"{what}: deferred defect: {defect['text']}")
    for serial in serials:
        row = Records(book, "pack").find(serial)
        if row and row[1]["state"] in GROUNDING:
            found.append(f"Pack {serial} is {in_state(row[1]['state'])}.")
    waiting = waiting_packs(book, f"{day}T23:59Z")
    found += [
        f"Pack {serial} {waiting[serial].did} on {waiting[serial].date}{INSPECT}, or an answer to the flag."
        for serial in serials
        if serial in waiting
    ]
    return found


def keep_plan(book: Book, planned: Planned, *, title: str | None = None, by: str | None = None) -> str:
    """Keeps a plan with the forecast as it was given. Returns its id."""
    from logbook.services.add import add

    data = {
        "aircraft": planned.plan.aircraft,
        "made_at": now(),
        "title": title,
        "inputs": json.dumps(
            planned.plan.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True),
            ensure_ascii=False,
            sort_keys=True,
        ),
        "answer": json.dumps(planned.to_json(), ensure_ascii=False, sort_keys=True),
    }
    return add(book, "plan", data, by=by)[0].record_id
