"""The packs a plan departs with: each by itself, or all behind the one gauge of the aeroplane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.errors import DataRefused
from logbook.services.cases import Cases
from logbook.store.book_facts import BookFacts, LastReading
from logbook.store.database import Book
from logbook.units import shown_instant

if TYPE_CHECKING:
    from logbook.domain.plan import PlanInput
    from logbook.planning.fitted import FittedPack


def packs_of(book: Book, aircraft: str, plan: PlanInput) -> list[FittedPack]:
    """The packs of a plan, with charge, health and temperature as last recorded.

    A pack without a serial number is one charge for the whole aeroplane. A plan that says nothing of its packs takes them
    as they were last read: pack by pack, or by the one gauge.

    Raises:
        DataRefused: the plan gives one charge for the whole aeroplane and others for single packs.
    """
    asked_whole = [pack for pack in plan.packs if not pack.serial_no]
    if asked_whole and len(plan.packs) > 1:
        raise DataRefused(
            "The plan gives one charge for the whole aeroplane and others for single packs.",
            next_step="Give one charge for the whole aeroplane, or one for each pack.",
            field="packs",
        )
    if plan.packs and not asked_whole:
        return fitted_packs(book, aircraft)
    last = BookFacts(book).last_together(aircraft)
    if asked_whole or last is not None:
        return [together(book, aircraft, last or LastReading())]
    return fitted_packs(book, aircraft)


def together(book: Book, aircraft: str, last: LastReading) -> FittedPack:
    """All packs of an aeroplane behind one gauge, with what it last showed."""
    from logbook.planning.fitted import FittedPack

    facts, cases = BookFacts(book), Cases(book)
    fitted = [serial for serial, _ in facts.fitted_now(aircraft)]
    limits = cases.limits_together(aircraft, fitted)
    complete = len(fitted) == len(facts.aircraft(aircraft).get("positions") or ())
    return FittedPack(
        serial_no="",
        soc_pct=last.soc_pct,
        soh_pct=last.soh_pct,
        unusable_soc_pct=limits.unusable_soc_pct,
        takeoff_min_temp_c=limits.takeoff_min_temp_c,
        takeoff_max_temp_c=limits.takeoff_max_temp_c,
        soc_as_of=f"recorded {shown_instant(last.soc_at)}" if last.soc_at else "",
        packs=tuple(sorted(fitted)) if complete else (),
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
                soc_as_of=f"recorded {shown_instant(last.soc_at)}" if last.soc_at else "",
            )
        )
    return packs
