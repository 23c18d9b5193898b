"""What was seen on a pack outside flight and charge: with its flags, how cells and insulation move, and when a limit is met."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.life import in_words
from logbook.energy.trend import LEAST, Line, line_through
from logbook.rules.observation_rules import PASSED, SeenLimits, cells_apart_mv
from logbook.services.pack_record import Minutes, PackRecord
from logbook.units import instant_of

Row = dict[str, Any]
YEARS: Final = 10
"""A straight line is followed no farther ahead than so many years (common practice, no source)."""
_YEAR_MIN: Final = 525_960
_MONTH: Final = 1 / 12
"""Readings over less than this tell no slope [years]."""


class Watched(NamedTuple):
    """A figure of observations that has a limit.

    Attributes:
        name: of the figure.
        unit: of it.
        least_sd: what rounding alone does to a reading, in its unit.
        beside: what must have been much the same for two readings to be alike.
        within: by so much it may differ (common practice, no source).
        words: what that is, in words.
        limits: names of its limit and, failing that, of its caution.
        falls: whether the limit lies below.
    """

    name: str
    unit: str
    least_sd: float
    beside: str
    within: float
    words: str
    limits: tuple[str, ...]
    falls: bool = False


WATCHED: Final = (
    # of two voltages that are shown to the millivolt, and of an insulation that is shown to a tenth: 1/√6, 0.1/√12
    Watched("cells_apart_mv", "mV", 0.41, "soc_pct", 10, "charge", ("cells_apart_limit_mv", "cells_apart_caution_mv")),
    Watched("insulation_mohm", "MΩ", 0.03, "temp_max_c", 10, "temperature", ("insulation_limit_mohm",), falls=True),
)  # fmt: skip


class _Alike(NamedTuple):
    """Readings that can be compared with the newest one: when [years since 1970] and what, and how many others there are."""

    x: list[float]
    y: list[float]
    others: int


def observations(record: PackRecord, flags: Mapping[tuple[str, str], list[Row]], now: int) -> Row:
    """What was seen on the pack with its flags, oldest first, and how cell difference and insulation move.

    Args:
        record: of the pack.
        flags: as `upkeep_flags` gives them.
        now: the moment that counts as now [POSIX minutes].
    """
    rows = []
    for seen in record.observations:
        row = seen._asdict() | {"cells_apart_mv": cells_apart_mv(seen.cell_min_v, seen.cell_max_v)}
        rows.append(row | {"flags": flags.get(("observation", seen.observation_id), [])})
    since = max((row["at"] for row in rows if row["baseline_break"] is not None), default="")
    trends = {f"{one.name}_per_year": _trend(one, rows, since) for one in WATCHED}
    for one in WATCHED:
        line = trends[f"{one.name}_per_year"].pop("line")
        trends[f"{one.name}_per_year"] |= _limit(one, rows, record.figures, line, now)
    allowed = {name: record.figures[name] for name in SeenLimits._fields}
    return {"rows": rows, "trends": trends, "limits": allowed}


def beyond_rows(seen: Sequence[Row]) -> list[Row]:
    """Limits and cautions that observations passed, as exceedances of the pack are listed."""
    return [
        {"at": row["at"], "what": flag["rule"], "severity": flag["severity"], "record_id": row["observation_id"], "words": flag["words"]}
        for row in seen
        for flag in row["flags"]
        if flag["rule"] in PASSED
    ]  # fmt: skip


def _trend(one: Watched, rows: Sequence[Row], since: str) -> Row:
    """How a figure moves [1/year]: value with low and high, or what is missing for one; and the line itself.

    Args:
        one: the figure.
        rows: observations, oldest first.
        since: the newest baseline break (UTC): what was read before it is of another pack, as it were.
    """
    alike = _alike(one, [row for row in rows if row["at"] >= since])
    also = f" since it started anew on {since[:10]}" if since else ""
    if alike.others:
        also += f"; {alike.others} at another {one.words} left out"
    line = None
    if alike.x and alike.x[-1] - alike.x[0] >= _MONTH:
        line = line_through(alike.x, alike.y, one.least_sd)
    if line is None:
        words = f"needs three readings over a month{also}"
        return {"value": None, "low": None, "high": None, "n": len(alike.x), "words": words, "line": None}
    width = line.reach / math.sqrt(line.spread)
    low, mid, high = (round(line.slope + side * width, 4) for side in (-1, 0, 1))
    words = f"line through {line.n} readings{also}"
    return {"value": mid, "low": low, "high": high, "n": line.n, "words": words, "line": line}


def _alike(one: Watched, rows: Sequence[Row]) -> _Alike:
    """Readings of a figure at much the same charge or temperature as the newest; where that was not read, the others like it."""
    known = [row for row in rows if row[one.name] is not None and row[one.name] >= 0]
    if not known:
        return _Alike([], [], 0)
    minutes, last = Minutes(), known[-1][one.beside]

    def like(row: Row) -> bool:
        value = row[one.beside]
        if value is None or last is None:
            return value is last
        return bool(abs(value - last) <= one.within)

    found = [row for row in known if like(row)]
    x = [minutes.of(row["at"]) / _YEAR_MIN for row in found]
    return _Alike(x, [row[one.name] for row in found], len(known) - len(found))


def _limit(one: Watched, rows: Sequence[Row], figures: Row, line: Line | None, now: int) -> Row:
    """The limit of a figure, else its caution, and when a reading is expected to meet it, as dates and in words."""
    name = next((name for name in one.limits if figures[name] is not None), None)
    empty: Row = {"limit": None, "expected_low": None, "expected_mid": None, "expected_high": None}
    if name is None:
        return empty | {"limit_words": "no limit is stated"}
    limit: float = figures[name]
    caution = "caution" in name
    stated = f"{'caution' if caution else 'limit'} {limit:g} {one.unit}"
    empty["limit"] = limit
    read = [row for row in rows if row[one.name] is not None]
    side = -1 if one.falls else 1
    over = side * (read[-1][one.name] - limit) if read else -1
    if over > 0 or (caution and over == 0):
        return empty | {"limit_words": f"{stated}, passed on {read[-1]['at'][:10]}"}
    if line is None:
        return empty | {
            "limit_words": f"{stated}; no date: too few readings alike, {LEAST} over a month are needed"
        }
    if one.falls:
        line = line._replace(slope=-line.slope, level=-line.level)
    when = _ahead(line.meets(side * limit, now / _YEAR_MIN), now)
    dates = {f"expected_{end}": _day(at) for end, at in zip(("low", "mid", "high"), when[:3], strict=True)}
    return empty | dates | {"limit_words": f"{stated}, {_expected(when, now)}"}


def _expected(when: Estimate, now: int) -> str:
    """When a limit is expected to be met, in words; the line may have met it since somebody looked last."""
    if when.mid <= now:
        return "expected by now: look again"
    return f"{'expected ' if math.isfinite(when.mid) else ''}{in_words(when, YEARS)}"


def _ahead(when: Estimate, now: int) -> Estimate:
    """Years turned into POSIX minutes; what lies too far ahead is infinite."""
    ends = [at * _YEAR_MIN for at in when[:3]]
    low, mid, high = (end if end <= now + YEARS * _YEAR_MIN else math.inf for end in ends)
    return Estimate(low, mid, high, when.n, when.how)


def _day(at: float) -> str | None:
    return instant_of(round(at))[:10] if math.isfinite(at) else None
