"""Tracks drawn by hand, so that what is on them is known beforehand."""

from datetime import UTC, datetime
from math import cos, pi, radians, sin
from pathlib import Path

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

    def stay(self, seconds: int) -> None:
        """Where it is."""
        self.go(seconds, self.north, self.east, self.height)

    def lose(self, seconds: int, north: float, east: float, height: float) -> None:
        """To a place, without any point on the way."""
        self.now += seconds
        self.north, self.east, self.height = north, east, height

    def there_and_back(self, miles: float = 20, height: float = 2000) -> None:
        """Roll, climb over 6 NM in five minutes, level at 84 kt to a place so many miles away and back, descend, roll out."""
        level = round((miles - 6) / 84 * 3600)
        self.go(20, 0.1, 0, 0)
        self.go(300, 6, 0, height)
        self.go(level, miles, 0, height)
        self.go(level, 6, 0, height)
        self.go(300, 0, 0, 0)
        self.go(30, 0.05, 0, 0)

    def _put(self, north: float, east: float, height: float) -> None:
        self.now += 1
        self.north, self.east, self.height = north, east, height
        self.points.append((self.now, north, east, height))

    def write(self, path: Path, *, heights: bool = True) -> Path:
        """The track as a GPX file; without altitudes where they are not wanted."""
        lines = []
        for at, north, east, height in self.points:
            latitude = FIELD[0] + north / 60
            longitude = FIELD[1] + east / 60 / cos(radians(FIELD[0]))
            when = datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            ele = f"<ele>{(height + 300) * 0.3048:.2f}</ele>" if heights else ""
            lines.append(
                f'<trkpt lat="{latitude:.7f}" lon="{longitude:.7f}">{ele}<time>{when}</time></trkpt>'
            )
        path.write_text(
            f'<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{"".join(lines)}</trkseg></trk></gpx>'
        )
        return path
