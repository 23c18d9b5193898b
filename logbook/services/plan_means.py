"""What a plan is answered from: estimates, charging pace and temperatures of one aeroplane, kept while the book stays."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from logbook.services.estimates import estimator_of
from logbook.services.plan_heat import HeatFit, heat_fits
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.histories import Histories
from logbook.store.marks import change_mark

if TYPE_CHECKING:
    from logbook.energy.charging_pace import ChargingPace, Filling
    from logbook.energy.estimator import Estimator


class PlanMeans(NamedTuple):
    """Everything learned that a plan needs.

    Attributes:
        estimator: what the record says of energy use and capacity.
        pace: points a minute by band of charge, as a plan takes them; empty where fewer than three charges tell.
        heat: by serial number, how the packs warm and cool.
    """

    estimator: Estimator
    pace: Sequence[Mapping[str, float]]
    heat: Mapping[str, HeatFit]


def means_of(book: Book, aircraft: str) -> PlanMeans:
    """Learns everything anew: one pass over the record of an aeroplane.

    Raises:
        DataRefused: the book knows no such aeroplane.
    """
    from logbook.energy.what_if import stated_worths

    estimator = estimator_of(book, aircraft)
    serials = [serial for serial, _ in BookFacts(book).fitted_now(aircraft)]
    held = {serial: estimator.capacity(serial).usable_kwh.mid for serial in serials}
    worths = {serial: stated_worths(estimator, serial) for serial in serials}
    return PlanMeans(estimator, _bands(pace_of(book, serials)), heat_fits(book, held, worths))


def _bands(pace: ChargingPace | None) -> list[dict[str, float]]:
    if pace is None:
        return []
    return [
        {"soc_from_pct": band.from_pct, "soc_to_pct": band.to_pct, "points_per_min": band.points_per_min.mid}
        for band in pace.bands
    ]


def pace_of(book: Book, serials: Sequence[str]) -> ChargingPace | None:
    """How the packs usually charge: by the charger used most in their last thirty charges, filled as many together."""
    from logbook.energy.charging_pace import charging_paces, fillings_of
    from logbook.services.history import charge_facts

    if not serials:
        return None
    fillings = fillings_of(charge_facts(raw) for raw in Histories(book).charges(list(serials)))
    if not fillings:
        return None
    usual = _usual(fillings[-30:])
    return charging_paces(fillings).get(usual)


def _usual(fillings: Sequence[Filling]) -> tuple[str, int]:
    return Counter((one.charger, one.packs_together) for one in fillings).most_common(1)[0][0]


class MeansCache:
    """What was learned of each aeroplane, as long as nobody changes the book."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[int, ...], PlanMeans]] = {}

    def __call__(self, book: Book, aircraft: str) -> PlanMeans:
        """What is known of an aeroplane; learned anew after any change of the book."""
        mark = change_mark(book)
        kept = self._kept.get(aircraft)
        if kept is None or kept[0] != mark:
            kept = self._kept[aircraft] = (mark, means_of(book, aircraft))
        return kept[1]

    def ready(self, book: Book, aircraft: str) -> bool:
        """Whether an answer needs no learning first."""
        kept = self._kept.get(aircraft)
        return kept is not None and kept[0] == change_mark(book)
