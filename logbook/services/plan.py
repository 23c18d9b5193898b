"""Planning a flight from what the record says: the packs as last recorded, what speaks against flying, the answer."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.errors import DataRefused
from logbook.services.add import now
from logbook.services.cases import Cases
from logbook.services.estimates import estimator_of
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.records import Records

if TYPE_CHECKING:
    from collections.abc import Callable

    from logbook.domain.plan import PlanInput
    from logbook.energy.estimator import Estimator
    from logbook.planning.answer import PlanAnswer
    from logbook.planning.fitted import FittedPack

Row = dict[str, Any]


class Planned(NamedTuple):
    """A plan as understood, and its answer."""

    plan: PlanInput
    answer: PlanAnswer


def plan_flight(
    book: Book,
    data: object,
    *,
    estimator: Callable[[Book, str], Estimator] = estimator_of,
    clock: Callable[[], str] = now,
) -> Planned:
    """Answers a plan.

    Args:
        book: the open book.
        data: the plan, as in `docs/interface.md`.
        estimator: where the estimates of an aeroplane come from; a screen keeps them between two questions.
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
    packs = fitted_packs(book, aircraft.registration)
    concerns = concerns_of(
        book, aircraft.registration, [pack.serial_no for pack in packs], plan.handled_by, day
    )
    return Planned(
        plan, answer_plan(plan, aircraft, packs, estimator(book, aircraft.registration), concerns=concerns)
    )


def fitted_packs(book: Book, aircraft: str) -> list[FittedPack]:
    """The packs in an aeroplane now, with charge, health and temperature as last recorded."""
    from logbook.planning.fitted import FittedPack

    facts, cases = BookFacts(book), Cases(book)
    packs = []
    for serial, position in facts.fitted_now(aircraft):
        last, limits = facts.last_reading(serial), cases.limits(aircraft, serial)
        packs.append(
            FittedPack(
                serial_no=serial,
                position=position,
                soc_pct=last.soc_pct,
                soh_pct=last.soh_pct,
                temp_c=None,
                unusable_soc_pct=limits.unusable_soc_pct,
                takeoff_min_temp_c=limits.takeoff_min_temp_c,
                takeoff_max_temp_c=limits.takeoff_max_temp_c,
                soc_as_of=f"recorded {last.soc_at}" if last.soc_at else "",
            )
        )
    return packs


def concerns_of(book: Book, aircraft: str, serials: list[str], person: str | None, day: str) -> list[str]:
    """What speaks against flying, before any figure: open defects, grounded packs, items expired on that day."""
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
        if row and row[1]["state"] in ("quarantined", "scrapped", "away"):
            found.append(f"Pack {serial} is {row[1]['state']}.")
    if person is not None:
        number = book.keys.number("person", person, "handled_by")
        for _, item in Records(book, "person_item").select("struck = 0 AND person = ?", (number,)):
            if item["valid_until"] is not None and item["valid_until"] < day:
                found.append(f"{person}: {item['item']} expired on {item['valid_until']}.")
    return found


def keep_plan(book: Book, planned: Planned, *, title: str | None = None, by: str | None = None) -> str:
    """Keeps a plan with the forecast as it was given. Returns its id."""
    from logbook.services.add import add

    data = {
        "aircraft": planned.plan.aircraft,
        "made_at": now(),
        "title": title,
        "inputs": json.dumps(
            planned.plan.model_dump(by_alias=True, exclude_none=True), ensure_ascii=False, sort_keys=True
        ),
        "answer": json.dumps(planned.answer.to_json(), ensure_ascii=False, sort_keys=True),
    }
    return add(book, "plan", data, by=by)[0].record_id
