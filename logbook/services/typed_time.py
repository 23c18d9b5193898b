"""Times and days as people type them: `0935`, `935`, `9:35`, `+42`; `2031-05-09`, `9`, `9.5.`, `-1`."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from logbook.services.typed import Meaning
from logbook.units import instant_of, minutes_of


class Clock(NamedTuple):
    """How times are typed: the local day of the flight, and the zone the clock shows (`UTC` or a public zone name)."""

    day: str
    zone: str = "UTC"
    home_zone: str = "UTC"
    """The zone of the aerodrome: `day` is a day there, and its time is shown beside times typed in UTC."""


_PLAIN = re.compile(r"(\d{1,2})[:.h]?(\d{2})(?:\s*(?:utc|z|l|lt))?", re.IGNORECASE)
_AFTER = re.compile(r"\+(\d{1,3})")
_LONGEST_STEP_MIN: Final = 12 * 60
AHEAD_MIN: Final = 5
"""A clock on the wall may be so far ahead of this computer's [min] (common practice, no source)."""


def never() -> str:
    """After every time: nothing is to come."""
    return "9999-12-31T23:59Z"


def still_to_come(instant: str, now: str) -> bool:
    """Whether a moment has not come yet (both UTC, stored form): nothing was read, done or found at it."""
    return minutes_of(instant) > minutes_of(now) + AHEAD_MIN


def read_time(text: str, clock: Clock, after: str | None = None) -> Meaning:
    """The instant a typed time stands for (UTC, stored form).

    Args:
        text: `0935`, `935`, `9:35`, or `+42` for minutes after the time before.
        clock: the day and the zone in which it is typed.
        after: the time before it on the form (stored form); a time earlier in the day is then the next day's.
    """
    bare = text.strip()
    plus = _AFTER.fullmatch(bare)
    if plus:
        if after is None:
            return Meaning(problem="+ counts from the time before, which is not there yet")
        return _told(instant_of(minutes_of(after) + int(plus[1])), clock)
    match = _PLAIN.fullmatch(bare)
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        return Meaning(problem="a time such as 0935, 9:35 or +42")
    return _read_clock(int(match[1]), int(match[2]), clock, after)


def _read_clock(hour: int, minute: int, clock: Clock, after: str | None) -> Meaning:
    """The instant of a clock time on the day of the form, or on the next day where it must be after another."""
    zone = zone_named(clock.zone)
    if zone is None:
        return Meaning(problem=f"the zone '{clock.zone}' is not known here; enter times in UTC (F4)")
    home = zone_named(clock.home_zone) or zone
    day = date.fromisoformat(clock.day)
    moment, problem = _on_day(day, hour, minute, zone, home)
    if problem:
        return Meaning(problem=problem)
    if after is None or moment >= after:
        return _told(moment, clock)
    next_day, _ = _on_day(day + timedelta(days=1), hour, minute, zone, home)
    if next_day and 0 <= minutes_of(next_day) - minutes_of(after) <= _LONGEST_STEP_MIN:
        same_day = local_day(after, clock.home_zone) > clock.day
        return _told(next_day, clock, doubt="" if same_day else "the next day.")
    return Meaning(problem=f"before {clock_of(after, clock.zone)}, the time above it")


def _on_day(day: date, hour: int, minute: int, zone: ZoneInfo, home: ZoneInfo) -> tuple[str, str]:
    """The instant with that clock time which falls on a day at home, or the problem.

    Where clocks are put back and a time comes twice, the first is taken.
    """
    for near in (day, day - timedelta(days=1), day + timedelta(days=1)):
        local = datetime(near.year, near.month, near.day, hour, minute, tzinfo=zone)
        moment = local.astimezone(UTC)
        if moment.astimezone(home).date() != day:
            continue
        if moment.astimezone(zone).replace(tzinfo=None) != local.replace(tzinfo=None):
            return "", "the clock skipped that time on that day (summer time)"
        return f"{moment:%Y-%m-%dT%H:%MZ}", ""
    return "", "no such time on that day: the clocks were changed"


def zone_named(name: str) -> ZoneInfo | None:
    """A zone of the public zone database; None where it is not known here."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def _in_zone(instant: str, zone: str) -> datetime:
    return datetime.fromisoformat(instant).astimezone(zone_named(zone) or ZoneInfo("UTC"))


def clock_of(instant: str, zone: str) -> str:
    """An instant as a clock in a zone shows it: `09:35`."""
    return f"{_in_zone(instant, zone):%H:%M}"


def clock_text(instant: str, zone: str) -> str:
    """An instant as it would be typed in a zone: `0935`."""
    return f"{_in_zone(instant, zone):%H%M}"


def local_day(instant: str, zone: str) -> str:
    """The day of an instant in a zone, `YYYY-MM-DD`."""
    return f"{_in_zone(instant, zone):%Y-%m-%d}"


def both_clocks(instant: str, clock: Clock) -> str:
    """An instant on both clocks, each named, the one typed in first: `09:35Z 11:35 local` (Z is UTC)."""
    return _told(instant, clock).echo


def _told(instant: str, clock: Clock, doubt: str = "") -> Meaning:
    """The time as understood, and the other clock beside it."""
    at = {"UTC": f"{clock_of(instant, 'UTC')}Z", "local": f"{clock_of(instant, clock.home_zone)} local"}
    if clock.zone == "UTC":
        echo = at["UTC"] if clock.home_zone == "UTC" else f"{at['UTC']} {at['local']}"
    else:
        echo = f"{at['local']} {at['UTC']}"
    return Meaning(instant, echo, doubt=doubt)


_BACK: Final = re.compile(r"[-−](\d{1,3})")
_DAY_MONTH: Final = re.compile(r"(\d{1,2})\.\s*(\d{1,2})\.?(?:\s*(\d{4}))?")


def read_day(text: str, today: str) -> Meaning:
    """A day, with what it was understood as.

    Args:
        text: `2031-05-09`, `9.5.2031` or `09.05.2031` (day, month, year), `9.5.` for the nearest ninth of May,
            `9` for that day of this month, `-1` for yesterday. Slashes are refused: 5/9 is two days.
        today: the local day (`YYYY-MM-DD`).
    """
    base = date.fromisoformat(today)
    try:
        found = _day_of(text.strip(), base)
    except (ValueError, OverflowError):
        return Meaning(problem="a day such as 2031-05-09, 9.5., 9 (of this month) or -1 (yesterday)")
    doubt = "a day to come." if found > base else ""
    return Meaning(found.isoformat(), f"{found:%a} {found.isoformat()}", doubt=doubt)


def _day_of(bare: str, today: date) -> date:
    back = _BACK.fullmatch(bare)
    if back:
        return today - timedelta(days=int(back[1]))
    if re.fullmatch(r"\d{1,2}", bare):
        return today.replace(day=int(bare))
    dotted = _DAY_MONTH.fullmatch(bare)
    if dotted is None:
        return date.fromisoformat(bare)
    day, month = int(dotted[1]), int(dotted[2])
    if dotted[3]:
        return date(int(dotted[3]), month, day)
    return min(_in_years(today.year, month, day), key=lambda one: abs(one - today))


def _in_years(year: int, month: int, day: int) -> list[date]:
    """That day last year, this year and next year, where there is one (29 February).

    Raises:
        ValueError: there is none in any of them.
    """
    found = []
    for near in (year - 1, year, year + 1):
        try:
            found.append(date(near, month, day))
        except ValueError:
            continue
    if not found:
        raise ValueError("no such day")
    return found
