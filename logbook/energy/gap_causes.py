"""Why the line of a pack breaks: the likeliest cause of each gap, in words.

From certain to vague: readings of two packs written in each other's place; records that overlap; one reading or one
record that does not fit between its neighbours; digits that look mistyped; then something not written down.
A cause is an opinion. It is drawn from charges alone and says "look", never "is".
"""

from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations, pairwise

from logbook.energy.ledger_events import (
    CHARGE_END,
    CHARGE_START,
    DEPARTURE,
    LANDING,
    OBSERVED,
    Event,
    Gap,
    same_record,
)

FLIGHT_POINTS = 8.0
"""A smaller fall is not called a flight [points] (common practice, no source)."""

CHARGE_POINTS = 15.0
"""From this rise before a departure a charge is likelier than a slip of the hand [points] (common practice, no source)."""

_PLURAL = {
    DEPARTURE: "departure charges",
    LANDING: "landing charges",
    CHARGE_START: "charges at the start of charging",
    CHARGE_END: "charges at the end of charging",
    OBSERVED: "observed charges",
}


def explained(gaps: Sequence[Gap]) -> list[Gap]:
    """The same gaps, each with its likeliest cause. Gaps of one pack must follow each other in order of time."""
    found = list(gaps)
    _exchanged(found)
    _between_neighbours(found)
    return [gap if gap.cause else _alone(gap) for gap in found]


def _soc(event: Event) -> float:
    return event.soc_pct if event.soc_pct is not None else 0.0


def _exchanged(gaps: list[Gap]) -> None:
    """Names readings of two packs that close both gaps when they change places."""
    sharing: dict[tuple[str, str], list[int]] = defaultdict(list)
    for index, gap in enumerate(gaps):
        for event in (gap.before, gap.after):
            sharing[event.record_id, event.what].append(index)
    # A landing is looked at first: two figures copied from one gauge page are the commonest way to exchange them.
    for (_, what), sharers in sorted(sharing.items(), key=lambda item: item[0][1] != LANDING):
        for i, j in combinations(sharers, 2):
            if gaps[i].cause or gaps[j].cause or not _closes(gaps[i], gaps[j]):
                continue
            first, second = gaps[i], gaps[j]
            words = (
                f"The {_PLURAL[what]} of {first.serial_no} and {second.serial_no} look exchanged: "
                f"in each other's place both lines close."
            )
            gaps[i] = first._replace(cause="exchanged", words=words)
            gaps[j] = second._replace(cause="exchanged", words=words)


def _closes(first: Gap, second: Gap) -> bool:
    """Whether exchanging one reading of each pack closes both gaps."""
    if first.serial_no == second.serial_no or first.amount_pct * second.amount_pct >= 0:
        return False
    band = max(first.band_pct, second.band_pct)
    return (
        abs(_soc(first.before) - _soc(second.after)) <= band
        and abs(_soc(second.before) - _soc(first.after)) <= band
    )


def _between_neighbours(gaps: list[Gap]) -> None:
    """Names a reading or a record without which the line of its pack closes."""
    for index, (first, second) in enumerate(pairwise(gaps)):
        if first.serial_no != second.serial_no or first.cause or second.cause:
            continue
        if first.after is not second.before and not same_record(first.after, second.before):
            continue
        if abs(_soc(second.after) - _soc(first.before)) > max(first.band_pct, second.band_pct):
            continue
        if first.after is second.before:
            cause = "mistyped"
            words = f"The reading of {_soc(first.after):g} % does not fit between {_soc(first.before):g} % and {_soc(second.after):g} %."
        else:
            cause = "wrong pack"
            words = (
                f"Without this record the line of {first.serial_no} closes: it may belong to another pack."
            )
        gaps[index] = first._replace(cause=cause, words=words)
        gaps[index + 1] = second._replace(cause=cause, words=words)


def _alone(gap: Gap) -> Gap:
    """The likeliest cause of a gap that has no counterpart."""
    before, after = gap.before, gap.after
    moved = f"{abs(gap.amount_pct):g} points {'more' if gap.amount_pct > 0 else 'less'} than after the {before.what}"
    inside = before.what in (DEPARTURE, CHARGE_START) or after.what in (LANDING, CHARGE_END)
    if inside and before.record_id != after.record_id and OBSERVED not in (before.what, after.what):
        return gap._replace(
            cause="overlap", words=f"{moved}: two records overlap in time, so neither can be followed."
        )
    slip = _slip_of_the_hand(before, after)
    charged = after.what == DEPARTURE and gap.amount_pct >= CHARGE_POINTS
    if slip and not charged:
        return gap._replace(
            cause="mistyped", words=f"{moved}: {_soc(before):g} or {_soc(after):g} looks mistyped ({slip})."
        )
    if gap.amount_pct > 0:
        return gap._replace(cause="charge missing", words=f"{moved}: a charge was probably not written down.")
    if -gap.amount_pct >= FLIGHT_POINTS:
        return gap._replace(
            cause="flight missing",
            words=f"{moved}: a flight or ground run was probably not written down.",
        )
    return gap._replace(
        cause="standby",
        words=f"{moved}: preheating, systems left on, or a reading that is off by a little.",
    )


def _slip_of_the_hand(before: Event, after: Event) -> str:
    """What typing error would turn one reading into the other; empty if none."""
    one, other = f"{_soc(before):.0f}", f"{_soc(after):.0f}"
    if len(one) == len(other) == 2 and one == other[::-1] and one != other:
        return "digits exchanged"
    short, long = sorted((one, other), key=len)
    if len(long) == len(short) + 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long))):
        return "a digit too many or too few"
    # One wrong digit fits every second missing charge too, so it counts only where nothing should have happened.
    straight = before.what == LANDING and after.what == CHARGE_START
    if straight and len(one) == len(other) and sum(a != b for a, b in zip(one, other, strict=True)) == 1:
        return "one digit differs"
    return ""
