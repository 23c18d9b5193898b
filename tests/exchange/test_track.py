"""A track made of known circuits and legs gives these back; a hostile one is refused."""

from math import cos, pi, radians, sin
from pathlib import Path

import pytest

from logbook.errors import DataRefused
from logbook.exchange.track import Point, distance_nm, read_track
from logbook.exchange.track_flight import flight_of
from logbook.services.propose_flight import propose_flight

FIELD = (45.0, 11.0)
START = 1_940_000_400  # 2031-06-23T17:00:00Z


class Pen:
    """Draws a track second by second: positions in NM north and east of the field, height above it in feet."""

    def __init__(self) -> None:
        self.points: list[tuple[int, float, float, float]] = []
        self.now, self.north, self.east, self.height = START, 0.0, 0.0, 0.0

    def go(self, seconds: int, north: float, east: float, height: float) -> None:
        """In a straight line to a place."""
        old = (self.north, self.east, self.height)
        for second in range(1, seconds + 1):
            part = second / seconds
            self._put(*(a + (b - a) * part for a, b in zip(old, (north, east, height), strict=True)))

    def circuit(self) -> None:
        """Four minutes round a circle of 0.6 NM radius, up to 800 ft and down again to the place it began."""
        for second in range(1, 241):
            turn = 2 * pi * second / 240
            height = min(800.0, 10.0 * second, 10.0 * (240 - second))
            self._put(0.6 * sin(turn), 0.6 * (1 - cos(turn)), height)

    def _put(self, north: float, east: float, height: float) -> None:
        self.now += 1
        self.north, self.east, self.height = north, east, height
        self.points.append((self.now, north, east, height))

    def write(self, path: Path) -> Path:
        from datetime import UTC, datetime

        lines = []
        for at, north, east, height in self.points:
            latitude = FIELD[0] + north / 60
            longitude = FIELD[1] + east / 60 / cos(radians(FIELD[0]))
            when = datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            lines.append(
                f'<trkpt lat="{latitude:.7f}" lon="{longitude:.7f}"><ele>{(height + 300) * 0.3048:.2f}</ele><time>{when}</time></trkpt>'
            )
        path.write_text(
            f'<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{"".join(lines)}</trkseg></trk></gpx>'
        )
        return path


def test_seven_circuits_are_seven_circuits_and_seven_landings(tmp_path: Path) -> None:
    pen = Pen()
    pen.go(120, 0, 0, 0)
    pen.go(60, 0.0, 0.1, 0)
    pen.go(30, 0.0, 0.0, 0)
    for _ in range(7):
        pen.circuit()
    pen.go(60, 0.0, 0.1, 0)
    pen.go(120, 0.0, 0.1, 0)
    columns, found = propose_flight(pen.write(tmp_path / "t.gpx"))
    assert (found.circuits, found.landings) == (7, 7)
    assert columns["kind"] == "circuits"
    assert columns["climb_ft"] == 0
    assert columns["highest_ft"] == pytest.approx(1100, abs=15)
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
    columns, found = propose_flight(pen.write(tmp_path / "t.gpx"))
    assert (found.circuits, found.landings) == (0, 1)
    assert "kind" not in columns
    assert columns["climb_ft"] == pytest.approx(2000, abs=60)
    assert columns["level_min"] == pytest.approx(20, abs=1)
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
    found = propose_flight(pen.write(tmp_path / "t.gpx"))[1]
    assert (found.circuits, found.landings) == (2, 3)


def test_a_degree_of_latitude_is_sixty_miles() -> None:
    # a nautical mile is about one minute of latitude; the mean sphere gives 60.04
    assert distance_nm(Point(0, 45, 11, 0), Point(0, 46, 11, 0)) == pytest.approx(60.04, abs=0.01)


def test_a_walk_is_no_flight() -> None:
    with pytest.raises(DataRefused, match="was a flight"):
        flight_of([Point(t, 45 + t * 1e-6, 11, 300) for t in range(600)])


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
        "",
    ],
)
def test_what_is_no_track_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "t.gpx").write_text(text)
    with pytest.raises(DataRefused):
        read_track(tmp_path / "t.gpx")
