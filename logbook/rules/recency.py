"""Recency: what a pilot may do on a day, until when, and which flight keeps it.

Counting days: a landing on day D counts through D + 90. No legal interpretation was found; "within the preceding 90
days" read literally leaves the day itself out, and published examples agree (docs/people/recency.md). Others count
today as the first day and stop at D + 89: on that last day the answer says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any, Final, NamedTuple

from dateutil.relativedelta import relativedelta

from logbook.rules.experience import AS_COMMANDER, Experience, engines_of
from logbook.rules.recency_rules import MEASURES, RecencyRule
from logbook.units import hours_and_minutes, plain_number

UNKNOWN_SCOPE: Final = "(not written down)"

Item = Mapping[str, Any]


class Share(NamedTuple):
    """How much of one thing a rule asks for was there on the day."""

    measure: str
    words: str
    need: float
    have: float

    @property
    def missing(self) -> float:
        """What was still to be done."""
        return round(max(self.need - self.have, 0), 2)


class Standing(NamedTuple):
    """How a person stands by one rule on one day.

    Attributes:
        rule: the rule's id; with its title and source.
        scope: the class or type it is about, or empty.
        state: `current`, `lapsed`, `never` (nothing yet that would start it), `void` (another item makes it so).
        valid_until: the last day, or None.
        stricter_until: the last day by those who count one day less, or None where nobody does.
        kept_by: the flight, or the item, that keeps it: without it the last day would be earlier.
        shares: what was asked for and what was there on the day.
        words: all this in sentences.
    """

    rule: str
    title: str
    source: str
    scope: str
    state: str
    valid_until: str | None
    stricter_until: str | None
    kept_by: str | None
    shares: tuple[Share, ...]
    words: str


def _pic(one: Experience) -> bool:
    return one.function in AS_COMMANDER


_MEASURED: Final[dict[str, Callable[[Experience], float]]] = {
    "takeoffs": lambda one: one.part.takeoffs_day + one.part.takeoffs_night,
    "landings": lambda one: one.part.landings_day + one.part.landings_night,
    "night_takeoffs": lambda one: one.part.takeoffs_night,
    "night_landings": lambda one: one.part.landings_night,
    "window_takeoffs": lambda one: one.window_takeoffs,
    "window_stops": lambda one: one.window_stops,
    "hours": lambda one: one.minutes / 60,
    "pic_hours": lambda one: one.pic_min / 60,
    "pic_takeoffs": lambda one: (one.part.takeoffs_day + one.part.takeoffs_night) * _pic(one),
    "pic_landings": lambda one: (one.part.landings_day + one.part.landings_night) * _pic(one),
    "instructor_hours": lambda one: one.minutes / 60 * one.with_instructor,
}


def add_months(day: date, months: int) -> date:
    """The same day some months later or earlier, or the last of that month where it has no such day."""
    return day + relativedelta(months=months)


def end_of_month(day: date, months: int) -> date:
    """The last day of the calendar month some months later."""
    return day + relativedelta(months=months, day=31)


def standings(
    rules: Iterable[RecencyRule], experience: Sequence[Experience], items: Sequence[Item], on: str
) -> list[Standing]:
    """How a person stands by each rule on a day, from what happened up to it.

    Args:
        rules: the table.
        experience: what each flight gave the person, oldest first.
        items: what the person holds, as recorded.
        on: the day.
    """
    past = [one for one in experience if one.date <= on]
    held = [item for item in items if (item.get("valid_from") or "") <= on]
    found: list[Standing] = []
    for rule in rules:
        if rule.kind == "item":
            found.append(_by_item(rule, held, on))
        elif rule.kind == "expiry":
            found.append(_before_expiry(rule, past, held, on))
        else:
            found += [_in_window(rule, scope, of, held, on) for scope, of in _scopes(rule, past).items()]
    return found


def _scopes(rule: RecencyRule, past: Sequence[Experience]) -> dict[str, list[Experience]]:
    """Experience that counts together: by class, by type, or all of it."""
    if not rule.same:
        return {"": [one for one in past if _counts(rule, one)]}
    found: dict[str, list[Experience]] = {}
    for one in past:
        if one.minutes and _counts(rule, one):
            name = one.aircraft_class if rule.same == "class" else one.aircraft_type
            found.setdefault(name or UNKNOWN_SCOPE, []).append(one)
    return found or {"": []}


def _counts(rule: RecencyRule, one: Experience) -> bool:
    return not rule.engines or engines_of(one.aircraft_class) == rule.engines


def _ends(rule: RecencyRule, day: str) -> date:
    """The last day on which something of a day still counts."""
    start = date.fromisoformat(day)
    return start + timedelta(days=rule.days) if rule.days else add_months(start, rule.months)


def _in_window(
    rule: RecencyRule, scope: str, past: list[Experience], held: Sequence[Item], on: str
) -> Standing:
    void = next((item for item in held if _is(item, rule.unless_item) and _valid(item, on)), None)
    today = date.fromisoformat(on)
    shares, last, keeper = [], date.max, None
    for measure, need in rule.needs.items():
        amount = _MEASURED[measure]
        have = sum(amount(one) for one in past if _ends(rule, one.date) >= today)
        shares.append(Share(measure, MEASURES[measure], need, round(have, 2)))
        reached = _reached(past, amount, need)
        if reached is None:
            last, keeper = date.min, None
            continue
        if _ends(rule, reached.date) < last:
            last, keeper = _ends(rule, reached.date), reached
    words = _share_words(shares)
    if any(not one.window_known for one in past if _ends(rule, one.date) >= today) and any(
        share.measure.startswith("window") for share in shares
    ):
        words += (
            " Some places have no coordinates: their landings recorded as by night are counted as they are."
        )
    if void is not None:
        words = f"Not needed while '{void['item']}' is valid{_until(void)}. {words}"
        return _standing(rule, "void", words, scope=scope, shares=shares)
    if keeper is None:
        return _standing(rule, "never", f"Not yet. {words}", scope=scope, shares=shares)
    state = "current" if last >= today else "lapsed"
    words = _window_words(rule, state, last, keeper, on) + words
    return _standing(rule, state, words, scope=scope, last=last, kept_by=keeper.flight_id, shares=shares)


def _reached(
    past: Sequence[Experience], amount: Callable[[Experience], float], need: float
) -> Experience | None:
    """The flight at which the sum, counted from the newest back, is first enough."""
    total = 0.0
    for one in reversed(past):
        total += amount(one)
        if total >= need - 1e-9:
            return one
    return None


def _window_words(rule: RecencyRule, state: str, last: date, keeper: Experience, on: str) -> str:
    verb = "until" if state == "current" else "ended on"
    words = f"{state.capitalize()}, {verb} {last}; kept by the flight of {keeper.date} ({keeper.flight_id}). "
    if rule.days and state == "current" and last.isoformat() == on:
        words += (
            f"Today is the last day if the day of the flight is not counted (D + {rule.days}, as here); "
            f"those who count it stopped yesterday (D + {rule.days - 1}). "
        )
    return words


def _by_item(rule: RecencyRule, held: Sequence[Item], on: str) -> Standing:
    """Something done that lasts to the end of a calendar month."""
    done = [item for item in held if _is(item, rule.item) and item.get("valid_from")]
    if not done:
        words = f"No '{rule.item}' with the day it was done ('valid_from') is recorded."
        return _standing(rule, "never", words)
    newest = max(done, key=lambda item: str(item["valid_from"]))
    last = end_of_month(date.fromisoformat(newest["valid_from"]), rule.months)
    written = newest.get("valid_until")
    words = f"Done on {newest['valid_from']}; good through the last day of the {rule.months}th month after: {last}."
    if written and written < last.isoformat():
        words += f" The record says it ends on {written}; the earlier day holds."
        last = date.fromisoformat(written)
    state = "current" if last.isoformat() >= on else "lapsed"
    kept_by = str(newest.get("item_id") or rule.item)
    return _standing(rule, state, words, last=last, kept_by=kept_by)


def _before_expiry(rule: RecencyRule, past: Sequence[Experience], held: Sequence[Item], on: str) -> Standing:
    """Enough in the months before something runs out: what is there, and what is still missing."""
    ends = [item["valid_until"] for item in held if _is(item, rule.item) and item.get("valid_until")]
    if not ends:
        words = f"No '{rule.item}' with the day it runs out ('valid_until') is recorded."
        return _standing(rule, "never", words)
    expiry = date.fromisoformat(max(ends))
    first = add_months(expiry, -rule.months)
    within = [one for one in past if first.isoformat() < one.date <= expiry.isoformat()]
    counted = [one for one in within if _counts(rule, one)]
    shares = [
        Share(measure, MEASURES[measure], need, round(sum(map(_MEASURED[measure], counted)), 2))
        for measure, need in rule.needs.items()
    ]
    enough = not any(share.missing for share in shares)
    words = f"'{rule.item}' runs out on {expiry}; what was flown after {first} counts. {_share_words(shares)}"
    unclear = sum(1 for one in within if one.minutes and not engines_of(one.aircraft_class))
    if rule.engines and unclear:
        words += f" {unclear} flights in aeroplanes whose class is not written down were not counted."
    state = "current" if enough and expiry.isoformat() >= on else "lapsed"
    words = ("Enough experience. " if enough else "Not enough yet. ") + words
    return _standing(rule, state, words, last=expiry, shares=shares)


def _is(item: Item, name: str) -> bool:
    return bool(name) and str(item["item"]).strip().casefold() == name.strip().casefold()


def _valid(item: Item, on: str) -> bool:
    return item.get("valid_until") is None or item["valid_until"] >= on


def _until(item: Item) -> str:
    return f" (until {item['valid_until']})" if item.get("valid_until") else ""


def _had(share: Share) -> str:
    """Hours as everywhere else, since 69.15 reads like 69 h 15 min; whatever else as it is counted."""
    if share.measure.endswith("hours"):
        return hours_and_minutes(round(share.have * 60))
    return plain_number(share.have)


def _share_words(shares: Iterable[Share]) -> str:
    return ", ".join(f"{_had(s)} {s.words} ({plain_number(s.need)} needed)" for s in shares) + " on that day."


def _standing(
    rule: RecencyRule,
    state: str,
    words: str,
    *,
    scope: str = "",
    last: date | None = None,
    kept_by: str | None = None,
    shares: Sequence[Share] = (),
) -> Standing:
    if rule.not_judged:
        words += f" Not judged here: {rule.not_judged}."
    stricter = last - timedelta(days=1) if last is not None and rule.days else None
    return Standing(
        rule.rule,
        rule.title,
        rule.source,
        scope,
        state,
        None if last is None else last.isoformat(),
        None if stricter is None else stricter.isoformat(),
        kept_by,
        tuple(shares),
        words,
    )
