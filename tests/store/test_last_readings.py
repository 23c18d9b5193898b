"""What was read last on many packs at once is what is read on each by itself."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.services.add import add
from logbook.services.correct import strike
from logbook.services.pack_lines import pack_lines
from logbook.services.today import today
from logbook.store.book_facts import BookFacts, LastReading
from tests import club
from tests.bench.counting import asked
from tests.club import NOW, P1, P2, P3, P4, charge, flight_at, put, reading


def test_many_at_once_say_what_each_says_alone(book) -> None:
    put(book, "flight", flight_at(6, "F1", readings=[reading(P1), reading(P2, soh_pct=None)]))
    for hour in range(8, 16):  # so many charges that the health and temperature of the flight lie far back
        put(book, "charge", charge(f"C{hour}", P1, f"2031-05-09T{hour:02}:00Z"))
    put(book, "charge", charge("D", P3, "2031-05-09T08:00Z", soc_start_pct=None, soc_end_pct=None))
    facts = BookFacts(book)
    found = facts.last_readings([P1, P2, P3, P4, "nobody's"])
    assert found == {serial: facts.last_reading(serial) for serial in (P1, P2, P3, P4)} | {
        "nobody's": LastReading()
    }
    assert (found[P1].soc_pct, found[P1].soc_at) == (90, "2031-05-09T15:00Z")
    assert (found[P1].soh_pct, found[P1].temp_c) == (98, 33)
    assert found[P2].soh_pct is None
    assert found[P3] == LastReading()


def test_what_was_seen_between_flights_counts_figure_by_figure(book) -> None:
    put(book, "flight", flight_at(6, "F1", "2031-05-09", readings=[reading(P1), reading(P2)]))
    put(
        book,
        "observation",
        {"serial_no": P1, "at": "2031-05-20T09:00Z", "soc_pct": 41, "temp_max_c": 21, "temp_min_c": 18},
    )
    put(book, "observation", {"serial_no": P1, "at": "2031-05-01T09:00Z", "soc_pct": 77, "soh_pct": 55})
    facts = BookFacts(book)
    found = facts.last_reading(P1)
    assert (found.soc_pct, found.soc_at) == (41, "2031-05-20T09:00Z")
    assert (found.temp_c, found.temp_at) == (21, "2031-05-20T09:00Z")
    assert (found.soh_pct, found.soh_at) == (
        98,
        facts.last_reading(P2).soh_at,
    )  # the earlier sight of it does not count
    assert facts.last_reading(P1, "2031-05-19T00:00Z").soc_pct == 60
    for day in range(
        21, 29
    ):  # so many that say nothing of health: the flight's is still found, in many at once too
        put(book, "observation", {"serial_no": P1, "at": f"2031-05-{day}T09:00Z", "cell_min_v": 3.4})
    assert facts.last_readings([P1, P2]) == {serial: facts.last_reading(serial) for serial in (P1, P2)}
    assert facts.last_readings([P1])[P1].soc_pct == 41


HAPPENED = st.lists(
    st.tuples(
        st.sampled_from(["flight", "charge", "observation"]),
        st.booleans(),
        st.sampled_from(["", "soc", "soh", "temp", "all"]),
    ),
    max_size=14,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(HAPPENED)
def test_whatever_happened_many_at_once_say_what_each_says_alone(tmp_path_factory, happened) -> None:
    figures = {"soc": "soc_pct", "soh": "soh_pct", "temp": "temp_max_c"}
    with club.club_book(tmp_path_factory.mktemp("readings") / "b.logbook") as made:
        for number, (what, later, read) in enumerate(happened):
            day = f"2031-05-{number + 1:02}"
            said = {name: 50 + number for word, name in figures.items() if read in (word, "all")}
            if what == "flight":
                put(
                    made,
                    "flight",
                    flight_at(
                        6,
                        f"F{number}",
                        day,
                        readings=[
                            {"serial_no": P1, "soc_departure_pct": None, "source": "read"}
                            | {
                                ("soc_landing_pct" if name == "soc_pct" else name): value
                                for name, value in said.items()
                            }
                        ],
                    ),
                )
            elif what == "charge":
                put(
                    made,
                    "charge",
                    charge(
                        f"C{number}",
                        P1,
                        f"{day}T{16 if later else 10}:00Z",
                        soc_start_pct=None,
                        soc_end_pct=said.get("soc_pct"),
                        temp_end_c=said.get("temp_max_c"),
                    ),
                )
            else:
                put(made, "observation", {"serial_no": P1, "at": f"{day}T09:00Z", "text": "seen"} | said)
        facts = BookFacts(made)
        assert facts.last_readings([P1]) == {P1: facts.last_reading(P1)}


def test_what_can_change_nothing_is_not_looked_for(book) -> None:
    for day in range(1, 9):
        put(book, "observation", {"serial_no": P1, "at": f"2031-05-{day:02}T09:00Z", "soh_pct": 90})
    put(book, "flight", flight_at(6, "F1", "2031-05-20", readings=[reading(P1)]))
    BookFacts(book).last_readings([P1, P2])  # names are known from now on
    with asked(book) as statements:
        BookFacts(book).last_readings([P1, P2])
    assert len(statements) == 2


def test_an_observation_struck_out_counts_no_more(book) -> None:
    put(book, "flight", flight_at(6, "F1", "2031-05-09", readings=[reading(P1), reading(P2)]))
    put(
        book,
        "observation",
        {"observation_id": "O1", "serial_no": P1, "at": "2031-05-20T09:00Z", "soc_pct": 41},
    )
    strike(book, "observation", "O1", why="of another pack")
    assert BookFacts(book).last_reading(P1).soc_pct == 60
    assert BookFacts(book).last_readings([P1])[P1].soc_pct == 60


def test_today_and_the_list_of_packs_show_what_the_mechanic_wrote_down(book) -> None:
    put(book, "flight", flight_at(6, "F1", "2031-05-09", readings=[reading(P1), reading(P2)]))
    put(book, "observation", {"serial_no": P1, "at": "2031-06-30T09:00Z", "soc_pct": 64, "soh_pct": 85})
    packs = {one.serial_no: one.reading for plane in today(book, NOW).aircraft for one in plane.packs}
    assert (packs[P1].soc_pct, packs[P1].soh_pct) == (64, 85)
    (line,) = [one for one in pack_lines(book, NOW, {}) if one.serial_no == P1]
    assert line.charge == "64 % 3 h ago"
    assert (line.reading.soh_pct, line.row["soh_pct"]) == (85, 85)


def test_today_asks_as_often_for_a_large_fleet_as_for_a_small_one(book) -> None:
    with asked(book) as few:
        today(book, NOW)
    add(book, "aircraft", [club.aircraft(f"X-M{n:03}") for n in range(20)])
    add(book, "pack", [club.pack(f"M{n:03}") for n in range(40)])
    add(book, "installation", [club.fitting(f"M{n:03}", "front" if n % 2 else "rear", f"X-M{n // 2:03}") for n in range(40)])  # fmt: skip
    with asked(book) as many:
        assert len(today(book, NOW).aircraft) == 22
    known = [sql for sql, _ in many if "table_info" not in sql]
    assert len(known) <= len(few)
