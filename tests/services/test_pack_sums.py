"""The sums of a pack go on from any moment at which nothing was under way, and come to what one pass comes to."""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.service_time import AIR, METER
from logbook.services.pack_accrued import accrued_of, plain
from logbook.services.pack_record import (
    _FIGURES,
    Fleet,
    Minutes,
    PackRecord,
    _health,
    line_of,
    service_flight_of,
)
from logbook.services.pack_sums import Sums, clean_cut, from_plain_sums, parts_of, summed
from logbook.services.pack_used import columns_of, used_from
from logbook.store.pack_sweep import Charged, Fitting, Flown, FlownWith, Seen
from logbook.units import instant_of

PACK = "PK-1"
START = 32_000_000
"""[POSIX minutes]"""
percent = st.integers(0, 1000).map(lambda tenths: tenths / 10)
some = lambda values: st.none() | values  # noqa: E731
degrees = some(st.integers(-10, 60).map(float))
happened = st.tuples(
    st.sampled_from(["flight", "charge", "seen"]),
    st.sampled_from([0, 0, 1, 30, 600, 90 * 1440]),  # minutes after the record before it
    st.sampled_from([0, 5, 40]),  # how long it took
    st.tuples(some(percent), some(percent), some(percent.map(lambda value: value / 2 + 50))),
    st.tuples(degrees, degrees),
    st.sampled_from([None, None, None, 3.5, 7.25, 40.0]),  # counter
    st.booleans(),
)
figures = st.fixed_dictionaries(
    {
        "cycle_definition": st.sampled_from(
            [None, "discharge", "half-sum", "charges", "flights", "counter", "blocks"]
        ),
        "limit_soh_pct": st.sampled_from([None, 70.0]),
        "energy_by_decile": st.sampled_from([None, [1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.9, 0.8, 0.5]]),
        "charge_max_temp_c": st.sampled_from([None, 40.0]),
    }
)


def row_of(kind: type, **values: Any) -> Any:
    """A row of a sweep; what is not given is not written down."""
    return kind(**dict.fromkeys(kind._fields) | {"serial_no": PACK} | values)


def life_of(
    events: list[Any], given_figures: dict[str, Any], *, fitted: bool, clock: str
) -> tuple[PackRecord, Fleet]:
    """A record as the book would be read, from what happened one after the other, and the flights beside it."""
    at, minutes = START, Minutes()
    flights, charges, seen, flown = [], [], [], []
    for number, (what, gap, length, (before, after, health), (warm, warmer), counter, yes) in enumerate(
        events
    ):
        at += gap
        start, end = instant_of(at), instant_of(at + length)
        if what == "flight":
            source = "not-read" if before == after else "read"
            levels = {
                "soc_departure_pct": before,
                "soc_landing_pct": after,
                "soh_pct": health,
                "source": source,
            }
            flights.append(
                row_of(
                    FlownWith,
                    flight_id=f"F{number}",
                    aircraft="X-1",
                    outcome="flown",
                    off_blocks=start,
                    until=end,
                    temp_departure_c=warm,
                    temp_max_c=warmer,
                    **levels,
                )
            )
            flown.append(row_of_flown(start, end if yes else None, number))
        elif what == "charge":
            charges.append(
                row_of(
                    Charged,
                    charge_id=f"C{number}",
                    started=start,
                    ended=end if yes else None,
                    soc_start_pct=before,
                    soc_end_pct=after,
                    temp_end_c=warmer,
                )
            )
        else:
            seen.append(
                row_of(
                    Seen,
                    observation_id=f"O{number}",
                    at=start,
                    soc_pct=before,
                    soh_pct=health,
                    temp_max_c=warm,
                    counter_cycles=counter,
                    baseline_break="refit" if yes and counter else None,
                )
            )
        at += length
    fittings = [Fitting(PACK, "X-1", "front", instant_of(START), None, None, None)] if fitted else []
    all_figures = dict.fromkeys(_FIGURES) | given_figures | {"nominal_kwh": 12.0}
    pack = {"hours_brought_forward": 3.5, "landings_brought_forward": None, "cycles_brought_forward": 10.0}
    record = PackRecord(
        PACK,
        pack,
        all_figures,
        flights,
        charges,
        seen,
        fittings,
        line_of(flights, charges, seen, minutes),
        _health(flights, seen, minutes),
    )
    beside = {"X-1": [service_flight_of(one, minutes) for one in flown]}
    return record, Fleet({PACK: record}, beside, {"X-1": clock}, {}, minutes)


def row_of_flown(start: str, end: str | None, number: int) -> Flown:
    """A flight of the aeroplane; one in three has no hour meter, some have no landings."""
    meter = None if number % 3 == 0 else number * 1.1
    return Flown("X-1", f"F{number}", start, None, None, end, 0.0, meter, number % 4 or None, None)


lives = st.builds(
    lambda events, given_figures, fitted, clock: life_of(events, given_figures, fitted=fitted, clock=clock),
    st.lists(happened, min_size=2, max_size=25),
    figures,
    st.booleans(),
    st.sampled_from([AIR, METER]),
)


def as_kept(sums: Sums) -> Any:
    """As it comes out of the book."""
    return json.loads(json.dumps(sums))


@given(lives)
def test_sums_that_go_on_are_the_sums_of_the_whole(life: tuple[PackRecord, Fleet]) -> None:
    record, fleet = life
    whole = summed(record, fleet)
    for behind in range(len(record.events)):
        cut = clean_cut(record, behind)
        if cut is None:
            continue
        first, rest = parts_of(record, fleet, cut)
        begun = from_plain_sums(as_kept(summed(*first)))
        if begun.soh is None and rest[0].health:
            continue  # the first health stands for what was before it: the whole record is read then
        both = summed(*rest, begun)
        assert as_kept(both) == as_kept(whole)
        assert as_kept(plain(accrued_of(record, both), record)) == as_kept(
            plain(accrued_of(record, whole), record)
        )


@given(lives)
def test_nothing_is_under_way_at_a_cut_and_enough_is_behind_it(life: tuple[PackRecord, Fleet]) -> None:
    record, fleet = life
    of = fleet.minutes.of
    for behind in (1, 3):
        cut = clean_cut(record, behind)
        if cut is None:
            continue
        spans = [(of(one.off_blocks), of(one.until)) for one in record.flights]
        spans += [(of(one.started), of(one.ended or one.started)) for one in record.charges]
        assert all(end < cut or start >= cut for start, end in spans)
        assert sum(start >= cut for start, _ in spans) >= behind


def test_a_life_of_separate_flights_can_be_cut_before_each_of_them() -> None:
    one = ("flight", 30, 40, (90.0, 60.0, 95.0), (None, None), None, True)
    record, _ = life_of([one] * 12, {}, fitted=True, clock=AIR)
    cuts = [clean_cut(record, behind) for behind in range(1, 12)]
    assert None not in cuts
    assert all(later - earlier == 70 for later, earlier in pairwise(cuts))


@given(lives)
def test_columns_come_back_from_the_book_as_they_were(life: tuple[PackRecord, Fleet]) -> None:
    record, fleet = life
    used = accrued_of(record, summed(record, fleet)).used
    again = used_from(columns_of(used))
    assert again == used
    assert (again.maker is again.discharge) == (used.maker is used.discharge)
