"""What an instructor asks first about a student, in words: landings below the reserve, and what was said about a flag."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from logbook.measures import USUAL, Measures


def below_words(history: Mapping[str, Any], *, days: bool = True) -> str:
    """Landings below the reserve in percent, of those that can be judged, and below the final reserve in minutes.

    Args:
        history: as `services.student.student_of` gives it.
        days: whether the day of the last one is told.
    """
    below = history["below_reserve"]
    judged, pct, minutes = below["judged"], below["pct"], below["minutes"]
    first = f"{_so_many(pct)} of {judged}{_last(pct, days)}" if judged else "cannot be told"
    return f"Below the reserve: {first}; in minutes: {_so_many(minutes)}{_last(minutes, days)}"


def _so_many(days: Sequence[str]) -> str:
    return str(len(days)) if days else "none"


def _last(found: Sequence[str], days: bool) -> str:
    return f", last {found[-1]}" if found and days else ""


def flag_words(flag: Mapping[str, Any], measures: Measures = USUAL) -> str:
    """A flag with its severity, and the answer it was given, by whom."""
    words = f"{flag['severity']}: {measures.sentence(flag['words'])}"
    if not flag["answered"]:
        return words
    said = flag.get("answer")
    if said is None:
        return f"{words} (answered)"
    return f"{words} Answered by {said['by_whom'] or 'nobody named'}: {said['words']}"
