"""The wind triangle: from track, true airspeed and wind to heading and ground speed, and back.

Directions are true, in degrees; a wind blows *from* its direction. With w the angle of the wind to the track:
sin(correction) = W·sin(w)/TAS, ground speed = TAS·cos(correction) − W·cos(w).
"""

from math import asin, cos, degrees, isfinite, radians, sin
from typing import NamedTuple

from logbook.errors import DataRefused


class Wind(NamedTuple):
    """A wind as a forecast states it."""

    from_deg: float = 0.0
    speed_kt: float = 0.0

    def times(self, factor: float) -> "Wind":
        """The same direction, the speed multiplied."""
        return Wind(self.from_deg, self.speed_kt * factor)

    def words(self) -> str:
        """The wind as it is printed beside a result that rests on it."""
        if self.speed_kt == 0:
            return "still air"
        return f"{round(self.from_deg) % 360:03d}° / {self.speed_kt:.0f} kt"


STILL = Wind()


class Course(NamedTuple):
    """How to fly a track in a wind."""

    heading_deg: float
    correction_deg: float
    """Heading less track; positive to the right [°]."""
    groundspeed_kt: float


def course(track_deg: float, tas_kt: float, wind: Wind) -> Course | None:
    """Heading and ground speed along a track, or ``None`` where the wind allows none.

    There is none when the cross-wind is more than the airspeed, or the headwind leaves no speed over the ground.
    """
    _check(tas_kt, wind)
    angle = radians(wind.from_deg - track_deg)
    across = wind.speed_kt * sin(angle) / tas_kt
    if abs(across) > 1:
        return None
    correction = asin(across)
    groundspeed_kt = tas_kt * cos(correction) - wind.speed_kt * cos(angle)
    if groundspeed_kt <= 0:
        return None
    return Course((track_deg + degrees(correction)) % 360, degrees(correction), groundspeed_kt)


def needed_course(track_deg: float, tas_kt: float, wind: Wind, field: str = "") -> Course:
    """As `course`, for a plan that cannot go on without one.

    Raises:
        DataRefused: the wind is too strong for that track.
    """
    solution = course(track_deg, tas_kt, wind)
    if solution is None:
        raise DataRefused(
            f"No heading makes good a track of {track_deg % 360:03.0f}° at {tas_kt:g} kt in a wind of {wind.words()}.",
            next_step="Correct the wind, the track or the airspeed, or plan another way.",
            field=field,
        )
    return solution


def _check(tas_kt: float, wind: Wind) -> None:
    if not (isfinite(tas_kt) and tas_kt > 0):
        raise DataRefused(
            "A true airspeed must be more than zero.", next_step="Enter the true airspeed in knots."
        )
    if not (isfinite(wind.speed_kt) and wind.speed_kt >= 0 and isfinite(wind.from_deg)):
        raise DataRefused(
            "A wind needs a direction and a speed of zero or more.",
            next_step="Enter the wind in degrees and knots.",
        )
