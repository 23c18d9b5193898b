"""A track made of known circuits and legs gives these back; a hostile one is refused."""

import random
from hashlib import sha256
from pathlib import Path

import pytest

from logbook.errors import DataRefused
from logbook.exchange.track import Point, distance_nm, read_track
from logbook.exchange.track_flight import TrackFlight, flights_of
from logbook.services.add import add
from logbook.services.proposal import read_offset
from logbook.services.propose_track import propose_track
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from tests.track_pen import START, Pen


def _only(path: Path) -> tuple[dict[str, str], TrackFlight]:
    """What is proposed of the one flight of a file, and all that was found."""
    (proposal,) = propose_track(None, path)
    (found,) = flights_of(read_track(path))
    return {field.name: field.value for field in proposal.fields}, found


def test_seven_circuits_are_seven_circuits_and_seven_landings(tmp_path: Path) -> None:
    pen = Pen()
    pen.go(120, 0, 0, 0)
    pen.go(60, 0.0, 0.1, 0)
    pen.go(30, 0.0, 0.0, 0)
    for _ in range(7):
        pen.circuit()
    pen.go(60, 0.0, 0.1, 0)
    pen.go(120, 0.0, 0.1, 0)
    columns, found = _only(pen.write(tmp_path / "t.gpx"))
    assert (found.circuits, found.landings) == (7, 7)
    assert columns["kind"] == "circuits"
    assert columns["climb_ft"] == "0"
    assert int(columns["highest_ft"]) == pytest.approx(1100, abs=15)
    assert columns["off_blocks"] == "2031-06-23T17:02Z"
    assert columns["takeoff"] == "2031-06-23T17:03Z"
    assert columns["landing"] == "2031-06-23T17:31Z"


def test_a_flight_that_leaves_and_comes_back_has_no_circuit(tmp_path: Path) -> None:
    pen = Pen()
    pen.go(60, 0, 0, 0)
    pen.go(20, 0.1, 0, 0)
    pen.go(300, 6, 0, 2000)
    pen.go(600, 20, 0, 2000)
    pen.go(600, 6, 0, 2000)
    pen.go(300, 0, 0, 0)
    pen.go(30, 0.05, 0, 0)
    pen.go(60, 0.05, 0, 0)
    columns, found = _only(pen.write(tmp_path / "t.gpx"))
    assert (found.circuits, found.landings) == (0, 1)
    assert "kind" not in columns
    assert int(columns["climb_ft"]) == pytest.approx(2000, abs=60)
    assert int(columns["level_min"]) == pytest.approx(20, abs=1)
    assert found.distance_nm == pytest.approx(40, abs=0.5)


def test_two_touch_and_goes_after_coming_back_are_two_circuits_and_three_landings(tmp_path: Path) -> None:
    pen = Pen()
    pen.go(60, 0, 0, 0)
    pen.go(20, 0.1, 0, 0)
    pen.go(300, 6, 0, 2000)
    pen.go(300, 0, 0, 0)
    pen.circuit()
    pen.circuit()
    pen.go(60, 0, 0.05, 0)
    found = _only(pen.write(tmp_path / "t.gpx"))[1]
    assert (found.circuits, found.landings) == (2, 3)


def test_a_degree_of_latitude_is_sixty_miles() -> None:
    # a nautical mile is about one minute of latitude; the mean sphere gives 60.04
    assert distance_nm(Point(0, 45, 11, 0), Point(0, 46, 11, 0)) == pytest.approx(60.04, abs=0.01)


def test_a_walk_is_no_flight() -> None:
    with pytest.raises(DataRefused, match="was a flight"):
        flights_of([Point(t, 45 + t * 1e-6, 11, 300) for t in range(600)])


# -- several flights ---------------------------------------------------------------------------------------------------


def test_a_stop_of_minutes_parts_two_flights_and_a_short_one_does_not(tmp_path: Path) -> None:
    # by hand: 60 s standing, 20 + 300 + 600 + 600 + 300 + 30 s = 1850 s under way, so on blocks 17:31:50;
    # 10 min standing; the second flight leaves 17:41:50
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(600)
    pen.there_and_back()
    pen.stay(100)
    first, second = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    assert (first.off_blocks, first.on_blocks) == ("2031-06-23T17:01Z", "2031-06-23T17:31Z")
    assert second.off_blocks == "2031-06-23T17:41Z"
    assert (first.landings, second.landings) == (1, 1)

    quick = Pen()
    quick.stay(60)
    quick.there_and_back()
    quick.stay(120)
    quick.there_and_back()
    quick.stay(60)
    (whole,) = flights_of(read_track(quick.write(tmp_path / "q.gpx")))
    assert whole.landings == 2


def test_a_receiver_switched_off_between_two_flights_parts_them(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(40)
    pen.lose(3 * 3600, 0.05, 0, 0)
    pen.stay(30)
    pen.there_and_back()
    pen.stay(60)
    first, second = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    assert first.on_blocks == "2031-06-23T17:31Z"
    assert second.off_blocks == "2031-06-23T20:33Z"
    assert first.notes == ()
    assert second.notes == ()


# -- receivers that err ------------------------------------------------------------------------------------------------


def test_points_missing_in_the_air_are_said_and_not_counted_as_level(tmp_path: Path) -> None:
    # by hand: of the 10 min level out, the last 6 are missing; 10 min level back: 4 + 10 = 14
    pen = Pen()
    pen.stay(60)
    pen.go(20, 0.1, 0, 0)
    pen.go(300, 6, 0, 2000)
    pen.go(240, 11.6, 0, 2000)
    pen.lose(360, 20, 0, 2000)
    pen.go(600, 6, 0, 2000)
    pen.go(300, 0, 0, 0)
    pen.go(30, 0.05, 0, 0)
    pen.stay(60)
    (found,) = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    assert found.level_min == pytest.approx(14, abs=1)
    assert found.notes == ("No points for 6 min from 17:10 UTC: what happened then is not counted.",)
    assert found.landings == 1


def test_positions_that_jump_about_while_it_stands_are_no_movement(tmp_path: Path) -> None:
    shaky = random.Random(4)  # noqa: S311 - noise, no secret
    pen = Pen()
    pen.stay(600)
    pen.there_and_back()
    pen.stay(600)
    # a scatter of 5 m each way (sd) is more than most receivers have (from memory)
    pen.points = [
        (at, north + shaky.gauss(0, 5 / 1852), east + shaky.gauss(0, 5 / 1852), height + shaky.gauss(0, 15))
        for at, north, east, height in pen.points
    ]
    columns, found = _only(pen.write(tmp_path / "t.gpx"))
    assert columns["off_blocks"] == "2031-06-23T17:10Z"
    assert columns["on_blocks"] in ("2031-06-23T17:40Z", "2031-06-23T17:41Z")
    assert found.landings == 1
    assert found.climb_ft == pytest.approx(2000, abs=120)


def test_one_point_far_away_and_one_far_up_change_nothing(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    plain = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    at, north, east, height = pen.points[700]
    pen.points[700] = (at, north + 300, east, height)
    at, north, east, height = pen.points[900]
    pen.points[900] = (at, north, east, height + 9000)
    assert flights_of(read_track(pen.write(tmp_path / "u.gpx"))) == plain


def test_points_out_of_order_and_twice_are_the_same_track(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    plain = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    pen.points = [*pen.points[900:], *pen.points[:1000]]
    assert flights_of(read_track(pen.write(tmp_path / "u.gpx"))) == plain


def test_a_clock_that_was_years_behind_at_first_does_not_begin_the_flight(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    plain = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    pen.points = [(START - 1024 * 7 * 86_400 + second, 0.0, 0.0, 0.0) for second in range(5)] + pen.points
    assert flights_of(read_track(pen.write(tmp_path / "u.gpx"))) == plain


def test_without_altitudes_times_are_told_and_the_rest_is_not(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    columns, found = _only(pen.write(tmp_path / "t.gpx", heights=False))
    assert set(columns) == {"off_blocks", "takeoff", "landing", "on_blocks"}
    assert "no altitudes" in found.notes[0]


def test_a_track_that_begins_or_ends_in_the_air_proposes_no_time_there(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    whole = pen.points
    pen.points = whole[600:]
    late, found = _only(pen.write(tmp_path / "late.gpx"))
    assert {"off_blocks", "takeoff"}.isdisjoint(late)
    assert late["landing"] == "2031-06-23T17:31Z"
    assert "begins in the air" in found.notes[0]
    pen.points = whole[:600]
    early, found = _only(pen.write(tmp_path / "early.gpx"))
    assert {"landing", "on_blocks"}.isdisjoint(early)
    assert found.landings == 0
    assert "ends in the air" in found.notes[0]


def test_slow_over_the_ground_against_the_wind_is_still_in_the_air(tmp_path: Path) -> None:
    # 36 kt through the air: 24 kt over the ground out against 12 kt, 48 kt back; up from 17:01:30, down at 17:22
    pen = Pen()
    pen.stay(60)
    pen.go(30, 0.15, 0, 0)
    pen.go(300, 2.15, 0, 900)
    pen.go(300, 4.15, 0, 900)
    pen.go(300, 0.15, 0, 900)
    pen.go(300, -1.85, 0, 0)
    pen.go(20, -1.9, 0, 0)
    pen.stay(60)
    columns, _ = _only(pen.write(tmp_path / "t.gpx"))
    assert columns["takeoff"] == "2031-06-23T17:01Z"
    assert columns["landing"] == "2031-06-23T17:21Z"


def test_a_full_stop_at_another_field_is_a_landing_and_no_circuit(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.go(20, 0.1, 0, 0)
    pen.go(300, 6, 0, 2000)
    pen.go(300, 12, 0, 500)
    pen.go(30, 12.1, 0, 500)
    pen.go(60, 12.05, 0, 500)
    pen.go(300, 6, 0, 2000)
    pen.go(300, 0, 0, 0)
    pen.go(30, 0.05, 0, 0)
    pen.stay(60)
    (found,) = flights_of(read_track(pen.write(tmp_path / "t.gpx")))
    assert (found.landings, found.circuits) == (2, 0)
    assert found.climb_ft == pytest.approx(2000 + 1500, abs=120)


# -- what is proposed --------------------------------------------------------------------------------------------------


def test_places_are_known_by_their_coordinates_within_two_miles(tmp_path: Path) -> None:
    with Book.open(tmp_path / "b.logbook", create=True) as book:
        add(book, "place", [
            {"place": "Near", "latitude_deg": 45.02, "longitude_deg": 11.0},
            {"place": "Nearer", "latitude_deg": 45.01, "longitude_deg": 11.0},
            {"place": "Far", "latitude_deg": 45.04, "longitude_deg": 11.0},
            {"place": "Nowhere"},
        ])  # fmt: skip
        pen = Pen()
        pen.stay(60)
        pen.there_and_back()
        pen.go(300, 10, 0, 2000)
        pen.go(300, 20, 0, 0)
        pen.stay(60)
        (proposal,) = propose_track(BookFacts(book), pen.write(tmp_path / "t.gpx"))
    named = {field.name: (field.value, field.origin) for field in proposal.fields}
    # 45.01 is 0.6 NM north of where it stood, and it lifts off 0.1 NM north of there
    assert named["place_from"] == ("Nearer", "track: 0.5 NM from the place in Setup")
    assert "place_to" not in named


def test_an_offset_moves_every_time_and_the_digest_is_of_the_file(tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    path = pen.write(tmp_path / "t.gpx")
    (plain,), (moved,) = propose_track(None, path), propose_track(None, path, -7200)
    assert plain.fields[0].value == "2031-06-23T17:01Z"
    assert moved.fields[0].value == "2031-06-23T15:01Z"
    assert plain.digest == moved.digest == sha256(path.read_bytes()).hexdigest()


def test_landings_after_sunset_are_left_to_the_pilot(tmp_path: Path) -> None:
    # 45 N 11 E on 23 June: sunset 19:07 UTC, by the almanac's rule of thumb and from memory
    pen = Pen()
    pen.now += 2 * 3600 + 1800
    pen.stay(60)
    pen.there_and_back()
    pen.stay(60)
    (proposal,) = propose_track(None, pen.write(tmp_path / "t.gpx"))
    assert "landings_day" not in {field.name for field in proposal.fields}
    assert "sunset" in proposal.notes[-1]
    assert "1 on the track" in proposal.notes[-1]


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("", 0),
        ("-2", -120),
        ("+2 min", 120),
        ("45s", 45),
        ("-45 s", -45),
        ("+1:00", 3600),
        ("-0:30", -1800),
        ("2h", 7200),
    ],
)
def test_a_clock_is_put_right_in_minutes_seconds_or_hours(text: str, seconds: int) -> None:
    assert read_offset(text).value == seconds


@pytest.mark.parametrize("text", ["x", "1:75", "2 days", "99:00", "1.5"])
def test_what_is_no_offset_is_said(text: str) -> None:
    assert read_offset(text).problem


LAUGHS = '<!DOCTYPE g [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'


@pytest.mark.parametrize(
    "text",
    [
        f'<?xml version="1.0"?>{LAUGHS}<gpx version="1.1"><name>&b;</name></gpx>',
        '<?xml version="1.0"?><!DOCTYPE g [<!ENTITY a SYSTEM "file:///etc/passwd">]><gpx version="1.1"><name>&a;</name></gpx>',
        "not xml",
        "<gpx>",
        "<html></html>",
        '<gpx version="1.1"><trk><trkseg><trkpt lat="x" lon="1"></trkpt></trkseg></trk></gpx>',
        '<gpx version="1.1"><trk><trkseg><trkpt lat="1" lon="1"><ele>5</ele></trkpt></trkseg></trk></gpx>',
        '<gpx version="1.1"><trk><trkseg><trkpt lat="nan" lon="1"><time>2031-06-23T17:00:00Z</time></trkpt></trkseg></trk></gpx>',
        "",
    ],
)
def test_what_is_no_track_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "t.gpx").write_text(text)
    with pytest.raises(DataRefused):
        read_track(tmp_path / "t.gpx")
