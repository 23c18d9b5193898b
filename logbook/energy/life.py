"""Life left of a pack: for every limit what has accumulated, what remains, and when it will be used up.

Limit, total accumulated and remaining, in each parameter that applies, is what the record of a life-limited part shows
(GM M.A.305). The expected date is remaining / pace of use (`logbook.energy.pace`); for SOH the cycles until
the fade law (`logbook.energy.fade`) reaches the limit. Everything that is expected is an interval.
Like is compared only with like: where it is not, the answer is "cannot be judged", and why. See docs/packs/life.md.
"""

import math
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import NamedTuple, Protocol

from logbook.energy.cycles import Tally
from logbook.energy.estimate import Estimate
from logbook.energy.pace import MINUTES_A_DAY, UsagePace, product, quotient

HOURS = "hours"
CYCLES = "cycles"
DATE = "date"
SOH = "SOH"

FARTHEST_DAYS = 36500.0
"""What is later than a hundred years from now has no date: it is infinitely far."""
NOT_WITHIN = "not within 100 years"


class PackLimits(NamedTuple):
    """Limits of a pack; ``None`` is no limit."""

    hours: float | None = None
    cycles: float | None = None
    date_at: int | None = None
    """[POSIX minutes]"""
    soh_pct: float | None = None


class Fading(Protocol):
    """What says after how many more cycles a limit is reached: a `logbook.energy.fade.Fade`, or what one has said already."""

    def cycles_until(self, value: float, /) -> Estimate:
        """Cycles from the last reading until a value is reached."""


class Said(NamedTuple):
    """What a fade said of the one limit that is asked for; worked out once, it holds until the next reading."""

    cycles: Estimate

    def cycles_until(self, _: float, /) -> Estimate:
        """The same, whatever the value: it must be the limit the fade was asked about."""
        return self.cycles


class PackLife(NamedTuple):
    """Where a pack stands."""

    hours: float | None
    """Time in service, brought-forward hours included [h]."""
    cycles: Tally
    """In the maker's own counting."""
    soh_pct: float | None = None
    """As last read [%]."""
    soh_fade: Fading | None = None
    """Fade of the indicated SOH over discharge cycles."""
    why_no_fade: str = ""


class LimitStatus(NamedTuple):
    """One limit of one pack."""

    kind: str
    """hours, cycles, date or SOH."""
    limit: float
    accumulated: float | None
    """In the unit of the limit; ``None``: cannot be judged."""
    remaining: float | None
    """Below 0: overrun by so much."""
    expected_at: Estimate | None
    """When the limit is reached [POSIX minutes]; an end more than a hundred years ahead is infinite."""
    hours_left: Estimate | None
    """Flight hours until then [h]."""
    words: str

    @property
    def judged(self) -> bool:
        """Whether the limit could be compared with the record at all."""
        return self.accumulated is not None


def life_left(
    limits: PackLimits, life: PackLife, pace: UsagePace, fade_pace: UsagePace, now: int
) -> list[LimitStatus]:
    """Every limit of a pack with what remains of it.

    Args:
        limits: Of the pack type or the pack.
        life: What has accumulated.
        pace: Use of the pack, cycles counted as its maker counts them.
        fade_pace: The same with discharge cycles, as the SOH history is kept; often the same object.
        now: [POSIX minutes]
    """
    found = []
    if limits.hours is not None:
        found.append(_by_hours(limits.hours, life.hours, pace, now))
    if limits.cycles is not None:
        found.append(_by_cycles(limits.cycles, life.cycles, pace, now))
    if limits.date_at is not None:
        found.append(_by_date(limits.date_at, pace, now))
    if limits.soh_pct is not None:
        found.append(_by_soh(limits.soh_pct, life, fade_pace, now))
    return found


def _by_hours(limit: float, hours: float | None, pace: UsagePace, now: int) -> LimitStatus:
    if hours is None:
        return LimitStatus(
            HOURS, limit, None, None, None, None, "Cannot be judged: time in service is not known."
        )
    left = limit - hours
    words = f"{hours:.1f} of {limit:g} h, {_left(left, 'h')}"
    if left <= 0:
        return LimitStatus(HOURS, limit, hours, left, _exactly(now), _exactly(0.0), words)
    remaining = Estimate(left, left, left, 0, "")
    if pace.hours_per_day is None:
        return LimitStatus(HOURS, limit, hours, left, None, remaining, f"{words}. No date: it {pace.words}.")
    when = _date_after(quotient(remaining, pace.hours_per_day), now)
    return LimitStatus(HOURS, limit, hours, left, when, remaining, f"{words}; {in_words(when)}")


def _by_cycles(limit: float, tally: Tally, pace: UsagePace, now: int) -> LimitStatus:
    if tally.accumulated is None:
        return LimitStatus(CYCLES, limit, None, None, None, None, tally.words)
    left = limit - tally.accumulated
    words = f"{tally.accumulated:.2f} of {limit:g} cycles ({tally.words}), {_left(left, 'cycles')}"
    if left <= 0:
        return LimitStatus(CYCLES, limit, tally.accumulated, left, _exactly(now), _exactly(0.0), words)
    when, hours = _after_cycles(Estimate(left, left, left, 0, ""), pace, now)
    words += f"; {in_words(when)}" if when else f". No date: it {pace.words}."
    return LimitStatus(CYCLES, limit, tally.accumulated, left, when, hours, words)


def _by_date(limit_at: int, pace: UsagePace, now: int) -> LimitStatus:
    days = (limit_at - now) / MINUTES_A_DAY
    hours = None
    if days <= 0:
        hours = _exactly(0.0)
    elif pace.hours_per_day is not None:
        hours = pace.hours_per_day.scaled(days)
    words = f"until {_day(limit_at)}, {_left(days, 'days')}"
    return LimitStatus(DATE, limit_at, now, days, _exactly(max(limit_at, now)), hours, words)


def _by_soh(limit: float, life: PackLife, pace: UsagePace, now: int) -> LimitStatus:
    if life.soh_pct is None:
        return LimitStatus(SOH, limit, None, None, None, None, "Cannot be judged: SOH was never read.")
    left = life.soh_pct - limit
    words = f"SOH {life.soh_pct:g} %, limit {limit:g} %, {_left(left, 'points')}"
    if left <= 0:
        return LimitStatus(SOH, limit, life.soh_pct, left, _exactly(now), _exactly(0.0), words)
    if life.soh_fade is None:
        reason = life.why_no_fade or "has too few SOH readings"
        return LimitStatus(SOH, limit, life.soh_pct, left, None, None, f"{words}. No date: it {reason}.")
    cycles = life.soh_fade.cycles_until(limit)
    when, hours = _after_cycles(cycles, pace, now)
    words += f"; {in_words(when)}" if when else f". No date: it {pace.words}."
    return LimitStatus(SOH, limit, life.soh_pct, left, when, hours, words)


def _after_cycles(cycles: Estimate, pace: UsagePace, now: int) -> tuple[Estimate | None, Estimate | None]:
    """When so many cycles are used up, and after how many flight hours."""
    when = hours = None
    if pace.cycles_per_day is not None:
        when = _date_after(quotient(cycles, pace.cycles_per_day), now)
    if pace.hours_per_cycle is not None:
        hours = product(cycles, pace.hours_per_cycle)
    return when, hours


def first_to_come(statuses: Sequence[LimitStatus]) -> str:
    """The limit that comes first, in words; names others whose interval reaches as early, and those not judged."""
    dated = sorted(
        ((status.expected_at, status) for status in statuses if status.expected_at is not None),
        key=lambda pair: pair[0][1::-1],  # the middle, then the low end: middles may be beyond all dates
    )
    silent = [status.kind for status in statuses if status.expected_at is None]
    note = f" Nothing can be said of: {', '.join(silent)}." if silent else ""
    if not statuses:
        return "No limit is set for this pack."
    if not dated:
        return "No limit can be dated." + note
    when, first = dated[0]
    if first.remaining is not None and first.remaining <= 0:
        over = [status.kind for _, status in dated if status.remaining is not None and status.remaining <= 0]
        return f"Limit reached: {', '.join(over)}." + note
    soon = first.hours_left is not None and math.isfinite(when.mid)
    hours = f", after {first.hours_left.mid:.0f} h of flying" if soon and first.hours_left else ""
    rivals = [status.kind for other, status in dated[1:] if other.low < when.high]
    close = f"; {' or '.join(rivals)} may come before it" if rivals else ""
    return f"First to come: {first.kind}, {in_words(when)}{hours}{close}." + note


def in_words(when: Estimate, years: int = 100) -> str:
    """An expected date as a person says it: the middle, then the interval, no finer than it is known.

    Args:
        when: [POSIX minutes]; an end that is farther ahead than anything is said of is infinite.
        years: how far ahead that is.
    """
    if math.isinf(when.low):
        return f"not within {years} years"
    if math.isinf(when.mid):
        return f"probably not within {years} years ({_month(when.low)} at the earliest)"
    if math.isinf(when.high):
        return f"about {_month(when.mid)} (between {_month(when.low)} and more than {years} years from now)"
    if when.low == when.high:
        return f"on {_day(when.mid)}"
    return f"about {_month(when.mid)} (between {_month(when.low)} and {_month(when.high)})"


def _date_after(days: Estimate, now: int) -> Estimate:
    low, mid, high = (now + end * MINUTES_A_DAY if end <= FARTHEST_DAYS else math.inf for end in days[:3])
    return Estimate(low, mid, high, days.n, days.how)


def _exactly(value: float) -> Estimate:
    return Estimate(value, value, value, 0, "")


def _left(amount: float, unit: str) -> str:
    number = f"{abs(amount):.2f}".rstrip("0").rstrip(".")
    return f"{number} {unit} left" if amount > 0 else f"overrun by {number} {unit}"


def _moment(at: float) -> datetime:
    return datetime.fromtimestamp(at * 60, tz=UTC)


def _day(at: float) -> str:
    return _moment(at).strftime("%Y-%m-%d")


def _month(at: float) -> str:
    return _moment(at).strftime("%B %Y")
