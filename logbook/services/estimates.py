"""What the record says: rates of an aeroplane, capacity of a pack, and how good the forecasts were; as plain values."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from logbook.errors import DataRefused
from logbook.services.history import history_of, pack_facts
from logbook.services.sweeping import many_rows
from logbook.services.worth_trial import worth_trial_of
from logbook.store.database import Book
from logbook.store.histories import Histories
from logbook.store.records import Records
from logbook.units import instant_of, shown_instant

if TYPE_CHECKING:
    from logbook.energy.estimate import Estimate
    from logbook.energy.estimator import Estimator
    from logbook.energy.hindcast import Score

Row = dict[str, Any]


def estimator_of(book: Book, aircraft: str) -> Estimator:
    """All that the record of one aeroplane says, by one pass over its history.

    Raises:
        DataRefused: the book knows no such aeroplane.
    """
    from logbook.energy.estimator import estimate

    with many_rows():
        return estimate(history_of(book, aircraft))


Source = Callable[[Book, str], "Estimator"]
"""Where estimates come from: worked out anew, or kept between two questions."""


def _span(estimate: Estimate) -> Row:
    return {"low": estimate.low, "mid": estimate.mid, "high": estimate.high}


def rates_of(book: Book, aircraft: str, *, source: Source = estimator_of) -> Row:
    """Rates of an aeroplane: each with handbook and observed low/mid/high, unit and n; effects; scatter by kind."""
    found = source(book, aircraft).rates()
    return {
        "aircraft": aircraft,
        "flights": found.flights,
        "rates": {
            rate.name: {
                "unit": rate.unit,
                "handbook": rate.handbook,
                "observed": _span(rate.observed),
                "n": rate.observed.n,
                "how": rate.observed.how,
            }
            for rate in found.rates
        },
        "effects": [
            {
                "name": effect.name,
                "unit": effect.unit,
                "percent": _span(effect.percent),
                "n": effect.percent.n,
            }
            for effect in found.effects
        ],
        "people": [
            {
                "person": effect.name,
                "unit": effect.unit,
                "percent": _span(effect.percent),
                "n": effect.percent.n,
                "how": effect.percent.how,
            }
            for effect in found.people
        ],
        "scatter_pct": found.scatter_pct,
        "changed": found.changed,
        "why": list(found.why),
    }


def home_of(book: Book, serial_no: str) -> str | None:
    """The aeroplane a pack was last fitted to, or last flew on; None if it never was.

    Raises:
        DataRefused: the book knows no such pack.
    """
    if Records(book, "pack").find(serial_no) is None:
        raise DataRefused(f"The book knows no pack '{serial_no}'.", next_step="See 'logbook list packs'.")
    return Histories(book).last_aircraft(serial_no)


def capacity_of(book: Book, serial_no: str) -> Row:
    """Usable capacity of a pack [kWh], as flown: low/mid/high, n, the share of each source, its history, doubtful charges."""
    aircraft = home_of(book, serial_no)
    estimator = _of_home(book, aircraft, [serial_no])
    found = estimator.capacity(serial_no)
    history = capacity_history(estimator, serial_no)
    return {
        "serial_no": serial_no,
        "aircraft": aircraft,
        "as_of": history[-1]["at"] if history else None,
        "usable_kwh": _span(found.usable_kwh),
        "n": found.usable_kwh.n,
        "how": found.usable_kwh.how,
        "sources": [source._asdict() for source in found.sources],
        "fade_per_cycle": _span(found.fade_per_cycle),
        "why": list(found.why),
        "doubtful_charges": _doubtful(book, estimator, serial_no),
        "history": history,
    }


def estimators_of(book: Book, serials: Iterable[str]) -> Iterator[tuple[Estimator, list[str]]]:
    """What the record says of packs, by one pass over the history of each aeroplane, with the packs it speaks of.

    Args:
        book: the open book.
        serials: the packs; each goes by the aeroplane that is its home (`home_of`).

    Raises:
        DataRefused: the book knows no such pack.
    """
    by_home: dict[str | None, list[str]] = {}
    for serial in serials:
        by_home.setdefault(home_of(book, serial), []).append(serial)
    for aircraft, theirs in by_home.items():
        yield _of_home(book, aircraft, theirs), theirs


def _of_home(book: Book, aircraft: str | None, serials: Sequence[str]) -> Estimator:
    """All that the record of an aeroplane says; of packs that were never in one, what is stated of them."""
    if aircraft is not None:
        return estimator_of(book, aircraft)
    from logbook.energy.estimator import Estimator
    from logbook.energy.record import AircraftFacts

    return Estimator(AircraftFacts(registration=""), pack_facts(book, "", serials))


def capacity_history(estimator: Estimator, serial_no: str) -> list[Row]:
    """Usable capacity of a pack after each of its flights [kWh]: as it was known then, and as it looks today."""
    return [
        {
            "at": instant_of(point.at),
            "usable_kwh": _span(point.filtered),
            "as_it_looks_today": _span(point.smoothed),
        }
        for point in estimator.capacity_history(serial_no)
    ]


def _doubtful(book: Book, estimator: Estimator, serial_no: str) -> list[Row]:
    """Charges of a pack whose meter does not fit what was filled, with words that name each."""
    found = []
    for charge in estimator.doubtful_charges():
        if charge.serial_no != serial_no:
            continue
        started = Records(book, "charge").find_all(charge.charge_id)[0][1]["started"]
        found.append(
            {
                "charge_id": charge.charge_id,
                "started": started,
                "metered_kwh": charge.metered_kwh,
                "expected_kwh": charge.expected_kwh,
                "z": charge.z,
                "words": f"charge of {shown_instant(started)}: {charge.metered_kwh:.1f} kWh at the meter, "
                f"about {charge.expected_kwh:.1f} would fit; it counts little or nothing",
            }
        )
    return found


def forecasts_of(book: Book, aircraft: str, *, rows: bool = False, source: Source = estimator_of) -> Row:
    """How good the forecasts were: hindcasts, each from earlier records only, given what was flown."""
    estimator = source(book, aircraft)
    found = estimator.hindcasts()
    result = _score(found.all) | {
        "suspects": [
            {
                "flight_id": suspect.flight_id,
                "field": suspect.field,
                "recorded": suspect.recorded,
                "fits": suspect.fits,
                "z": suspect.z,
                "serial_no": suspect.serial_no,
                "why": suspect.why,
            }
            for suspect in found.suspects
        ],
        "last_50": _score(found.last_50),
        "by_kind": {kind: _score(score) for kind, score in found.by_kind.items()},
        "by_person": {person: _score(score) for person, score in found.by_handler.items()},
    }
    tenths = worth_trial_of(book, aircraft, estimator)
    if tenths is not None:  # no nulls: the key is there where some pack type states its tenths
        result["energy_by_decile"] = tenths
    if rows:
        result["rows"] = [
            {
                "flight_id": row.flight_id,
                "serial_no": row.serial_no,
                "low": row.low,
                "mid": row.mid,
                "high": row.high,
                "actual": row.actual,
                "kind": row.kind,
                "handled_by": row.handler or "",
                "handbook": row.handbook,
                "average": row.average,
            }
            for row in found.rows
        ]
    return result


def _score(score: Score) -> Row:
    return dict(score._asdict())
