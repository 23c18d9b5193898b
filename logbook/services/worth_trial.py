"""A pack type's energy by tenths of charge, judged by the forecast record: with it and without it, on the same flights."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.services.history import history_of
from logbook.services.sweeping import many_rows
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.energy.estimate import Estimate
    from logbook.energy.estimator import Estimator
    from logbook.energy.worth_trial import WorthTrial

Row = dict[str, Any]


def worth_trial_of(book: Book, aircraft: str, estimator: Estimator) -> Row | None:
    """What the record says of the stated energy by tenths; None where no pack of the aeroplane has any.

    Args:
        book: the open book.
        aircraft: its registration.
        estimator: what the record says with it.
    """
    packs = sorted(serial for serial, scale in estimator.filter.scales.items() if scale.worths is not None)
    if not packs:
        return None
    from logbook.energy.estimator import Estimator, estimate
    from logbook.energy.events import events_of
    from logbook.energy.worth_trial import held_constant, trial

    with many_rows():
        history = history_of(book, aircraft)
        history = history._replace(packs=tuple(pack._replace(curve=None) for pack in history.packs))
        plain, even = estimate(history), held_constant(Estimator(history.aircraft, history.packs))
        for event in events_of(history):
            even.step(event)
    found = trial(*(one.hindcasts().rows for one in (estimator, plain, even)))
    told = {
        "packs": packs,
        "flights": found.flights,
        "given": dict(found.given._asdict()),
        "without": dict(found.without._asdict()),
        "constant": dict(found.constant._asdict()),
        "gain_pct": _span(found.gain_pct),
        "gain_on_constant_pct": _span(found.gain_on_constant_pct),
        "favours": found.favours,
        "words": words_of(found),
    }
    return {name: value for name, value in told.items() if value is not None}  # too few flights: no gain yet


def words_of(found: WorthTrial) -> str:
    """What the record says of the list, in sentences; it is in use either way."""
    from logbook.energy.worth_trial import FEWEST, GIVEN, SLIGHT_PCT, WITHOUT

    gain = found.gain_pct
    if gain is None or gain.n < FEWEST:
        flights = f"{found.flights} flight{'' if found.flights == 1 else 's'}"
        return f"Cannot tell yet whether the energy by tenths helps: {flights} compared, {FEWEST} are needed. It is in use as stated."
    both = f"mean error {found.given.mae_pct:.2f} points with it, {found.without.mae_pct:.2f} without, on the same {gain.n} flights"
    if found.favours == GIVEN:
        slight = " It is real, but less than anybody reads off a gauge." if gain.mid < SLIGHT_PCT else ""
        better = f"{gain.mid:.2f} points better, {gain.low:.2f} to {gain.high:.2f}"
        return f"The record favours the energy by tenths: {both} ({better}).{slight}"
    if found.favours == WITHOUT:
        worse = f"{-gain.mid:.2f} points worse, {-gain.high:.2f} to {-gain.low:.2f}"
        return (
            f"The record speaks against the energy by tenths: {both} ({worse}). "
            "It stays in use until somebody corrects it or takes it out: Setup, pack types."
        )
    inside = f"difference {gain.mid:+.2f}, between {gain.low:+.2f} and {gain.high:+.2f}"
    return f"The record cannot tell whether the energy by tenths helps: {both} ({inside}). It is in use as stated."


def _span(gain: Estimate | None) -> Row | None:
    return None if gain is None else {"low": gain.low, "mid": gain.mid, "high": gain.high, "n": gain.n}
