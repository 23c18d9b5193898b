"""Lists of flights: whoever had a part in a flight finds it, cut off early or not, and aeroplanes come by their names."""

from __future__ import annotations

import pytest

from logbook.services.correct import strike
from logbook.services.flight_rows import FlightRows
from logbook.services.questions import list_flights
from logbook.store.flights import FlightFilter, Flights
from tests import club
from tests.bench.counting import asked
from tests.club import ADA, BEN, CLEO, VOLT, WATT, flight_at, put, reading

PARTS = {
    "pilot": {"pilot": BEN},
    "beside": {"second_person": BEN, "second_function": "instructor", "function": "dual"},
    "at the controls": {"handled_by": BEN, "second_person": BEN},
    "safety pilot": {"safety_pilot": BEN},
    "crew": {"crew": [{"person": BEN, "handled": 0}]},
}


@pytest.mark.parametrize("part", PARTS)
def test_a_person_finds_the_flights_they_had_any_part_in(book, part) -> None:
    put(book, "flight", [flight_at(8, "mine", pilot=ADA) | PARTS[part], flight_at(10, "other", pilot=ADA)])
    for limit in (None, 5):
        assert [one["flight_id"] for one in list_flights(book, FlightFilter(person=BEN, limit=limit))] == [
            "mine"
        ]


def many(book) -> None:
    """Flights in which two people have all parts by turns, some on one day, some without times, some struck out."""
    parts = list(PARTS.values())
    for number in range(40):
        day = f"2031-05-{1 + number // 3:02}"
        data = flight_at(6 + 2 * (number % 3), f"F{number}", day, pilot=CLEO if number % 4 else ADA)
        data |= {"aircraft": VOLT if number % 7 == 0 else WATT, "readings": []} | parts[number % 5]
        if number % 6 == 0:
            data = {
                k: v for k, v in data.items() if k not in ("off_blocks", "takeoff", "landing", "on_blocks")
            }
            data["state"] = "open"
        put(book, "flight", data)
    for number in (3, 10, 21):
        strike(book, "flight", f"F{number}", why="a test")


@pytest.mark.parametrize("descending", [True, False])
@pytest.mark.parametrize(
    "wanted",
    [
        FlightFilter(),
        FlightFilter(since="2031-05-03", until="2031-05-09"),
        FlightFilter(struck=True),
        FlightFilter(aircraft=WATT),
        FlightFilter(kind="local"),
    ],
    ids=["all", "some days", "struck out", "one aeroplane", "one kind"],
)
def test_the_first_flights_of_a_person_are_the_first_of_all_of_theirs(book, wanted, descending) -> None:
    many(book)
    for person in (ADA, BEN, CLEO):
        whole = list(FlightRows(book).ids(wanted._replace(person=person), descending=descending))
        assert len(whole) == len(set(whole))
        for limit in (1, 2, 5, 17, 100):
            cut = wanted._replace(person=person, limit=limit)
            assert list(FlightRows(book).ids(cut, descending=descending)) == whole[:limit]
            assert Flights(book).find(cut, newest_first=descending) == whole[:limit]
    assert len(list(FlightRows(book).ids(wanted._replace(person=BEN)))) > 0


def test_the_first_flights_of_a_person_are_found_by_an_index_for_each_part(book) -> None:
    with asked(book) as statements:
        FlightRows(book).ids(FlightFilter(person=BEN, limit=64))
    sql, parameters = statements[-1]
    plan = [row[3] for row in book.connection.execute(f"EXPLAIN QUERY PLAN {sql}", parameters)]
    for index in ("flight_by_pilot", "flight_by_second", "flight_by_handler", "flight_by_safety"):
        assert any(f"USING INDEX {index}" in step for step in plan)
    assert any("USING INDEX crew_by_person" in step for step in plan)
    sorts = [step for step in plan if "TEMP B-TREE" in step]
    assert len(sorts) == 2  # of the crew rows, which have no date, and of the five times 64 in the end


def test_flights_by_aeroplane_come_by_its_name_and_no_sorting_is_needed(book) -> None:
    put(book, "aircraft", club.aircraft("X-AAAA"))  # entered last, first by name
    for number, registration in enumerate(("X-AAAA", VOLT, WATT, "X-AAAA")):
        put(book, "flight", flight_at(6 + 2 * number, f"F{number}", aircraft=registration, readings=[reading(None)]))  # fmt: skip
    rows = FlightRows(book)
    for descending, expected in ((False, ["F3", "F0", "F1", "F2"]), (True, ["F2", "F1", "F3", "F0"])):
        ids = rows.ids(FlightFilter(), "aircraft", descending=descending).tolist()
        lines = rows.rows(ids)
        assert [lines[n].flight_id for n in ids] == expected
        with asked(book) as statements:
            rows.ids(FlightFilter(limit=64), "aircraft", descending=descending)
        plan = [row[3] for row in book.connection.execute(f"EXPLAIN QUERY PLAN {statements[-1][0]}")]
        assert not [step for step in plan if "TEMP B-TREE" in step], plan


FLAGGED = [
    FlightFilter(flag=flag) for flag in ("any", "readings_missing", "landing_below_reserve", "no_such_rule")
]


@pytest.mark.parametrize("descending", [True, False])
@pytest.mark.parametrize(
    "wanted",
    [
        *FLAGGED,
        *(one._replace(since="2031-05-03", until="2031-05-09") for one in FLAGGED),
        FLAGGED[0]._replace(kind="local"),
    ],
)
def test_the_first_flights_with_a_flag_are_the_first_of_all_that_have_it(book, wanted, descending) -> None:
    many(book)
    put(book, "flight", [flight_at(20, f"low{n}", f"2031-05-{n + 1:02}", readings=[reading(soc_landing_pct=10)]) for n in range(9)])  # fmt: skip
    strike(book, "flight", "low4", why="a test")
    rows = FlightRows(book)
    whole = list(rows.ids(wanted, descending=descending))
    for limit in (1, 3, 7, 100):
        assert list(rows.ids(wanted._replace(limit=limit), descending=descending)) == whole[:limit]
    assert (whole == []) == (wanted.flag == "no_such_rule")


@pytest.mark.parametrize("descending", [True, False])
@pytest.mark.parametrize("order", ["block_min", "energy_kwh", "landing_soc_pct", "minutes_left"])
def test_the_first_flights_by_a_figure_are_the_first_of_all(book, order, descending) -> None:
    many(book)
    put(book, "flight", [flight_at(20, f"low{n}", f"2031-05-{n + 1:02}", readings=[reading(soc_landing_pct=10 + n % 3)]) for n in range(9)])  # fmt: skip
    rows = FlightRows(book)
    whole = list(rows.ids(FlightFilter(), order, descending=descending))
    for limit in (1, 5, 100):
        assert list(rows.ids(FlightFilter(limit=limit), order, descending=descending)) == whole[:limit]
