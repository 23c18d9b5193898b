"""What published rules ask for as final reserve: shown beside the fields of the form, never filled in.

Minutes are the rule's; the power is the operator's to state, at the condition named. `docs/planning/reserves.md`.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class PublishedReserve(NamedTuple):
    """What one published rule asks for in one case."""

    rule: str
    case: str
    """local, day or night."""
    minutes: int
    flown_at: str
    source: str


_EUROPEAN: Final = (
    "AMC1 NCO.OP.125(b), since 30 October 2022, with the commentary of a national authority (SAND-2022-004)"
)
_SECOND_HAND: Final = "read second-hand"
PUBLISHED_RESERVES: Final = (
    PublishedReserve("14 CFR 91.151(a)", "day", 30, "normal cruising speed", "14 CFR 91.151"),
    PublishedReserve("14 CFR 91.151(a)", "night", 45, "normal cruising speed", "14 CFR 91.151"),
    PublishedReserve(
        "EU AMC1 NCO.OP.125(b), same aerodrome, always in sight",
        "local",
        10,
        "maximum continuous cruise power, 1500 ft above the destination",
        _EUROPEAN,
    ),
    PublishedReserve(
        "EU AMC1 NCO.OP.125(b)", "day", 30, "holding speed, 1500 ft above the destination", _EUROPEAN
    ),
    PublishedReserve(
        "EU AMC1 NCO.OP.125(b)", "night", 45, "holding speed, 1500 ft above the destination", _EUROPEAN
    ),
    PublishedReserve("ICAO Annex 6 Part II, 2.2.3.6", "day", 30, "normal cruising altitude", _SECOND_HAND),
    PublishedReserve("ICAO Annex 6 Part II, 2.2.3.6", "night", 45, "normal cruising altitude", _SECOND_HAND),
)


def published_words(case: str) -> str:
    """The rules of one case with their minutes and power, as one sentence beside a field."""
    rules = [
        f"{rule.minutes} min at {rule.flown_at} ({rule.rule}{f', {_SECOND_HAND}' if rule.source == _SECOND_HAND else ''})"
        for rule in PUBLISHED_RESERVES
        if rule.case == case
    ]
    return f"Published: {'; '.join(rules)}."
