"""The table of recency rules, and how a book extends it.

A rule is one of three kinds: enough experience in a running window (`window`), something done that lasts for calendar
months (`item`), or enough experience in the months before something runs out (`expiry`). The setting `recency_rules`
of the book is a list of such rules as JSON; one with the id of a built-in rule replaces it, `"off": true` drops it.
Law changes, and this table can be out of date: the rule in force decides, not this program.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused

MEASURES: Final = {
    "takeoffs": "take-offs",
    "landings": "landings",
    "night_takeoffs": "take-offs by night",
    "night_landings": "landings by night",
    "window_takeoffs": "take-offs between sunset + 1 h and sunrise − 1 h",
    "window_stops": "landings to a full stop between sunset + 1 h and sunrise − 1 h",
    "hours": "hours",
    "pic_hours": "hours as pilot in command",
    "pic_takeoffs": "take-offs as pilot in command",
    "pic_landings": "landings as pilot in command",
    "instructor_hours": "hours with an instructor",
}
"""What a rule can ask for, with its words."""

_KINDS: Final = ("window", "item", "expiry")
_SCOPES: Final = ("", "class", "type")


class RecencyRule(NamedTuple):
    """One rule.

    Attributes:
        rule: its id.
        title: what it lets the pilot do, in words.
        source: where it comes from.
        kind: `window`, `item` or `expiry`.
        needs: what is asked for, by measure; times in hours.
        days: length of the window [d]; or `months`, to the day (to the end of the month for `item`).
        same: experience counts together within the same `class` or `type`, or all of it (empty).
        engines: `single` or `multi`: only aeroplanes of such a class count; empty: all.
        item: the item of the person that was done, or that runs out.
        unless_item: an item that, while it is valid, makes the rule void.
        not_judged: what the law asks for besides and the record cannot answer; said in every answer.
    """

    rule: str
    title: str
    source: str
    kind: str = "window"
    needs: Mapping[str, float] = {}
    days: int = 0
    months: int = 0
    same: str = ""
    engines: str = ""
    item: str = ""
    unless_item: str = ""
    not_judged: str = ""


_TYPES: Final = "whether a type rating is needed (then only that type counts)"
_TAILWHEEL: Final = "landings to a full stop in a tailwheel aeroplane"

BUILT_IN: Final = (
    RecencyRule(
        "61.57(a)",
        "carry passengers (US)",
        "14 CFR 61.57(a)(1)",
        needs={"takeoffs": 3, "landings": 3},
        days=90,
        same="class",
        not_judged=f"{_TAILWHEEL}, and {_TYPES}",
    ),
    RecencyRule(
        "61.57(b)",
        "carry passengers by night (US)",
        "14 CFR 61.57(b)(1)",
        needs={"window_takeoffs": 3, "window_stops": 3},
        days=90,
        same="class",
        not_judged=_TYPES,
    ),
    RecencyRule(
        "61.56",
        "act as pilot in command (US flight review)",
        "14 CFR 61.56(c)",
        kind="item",
        months=24,
        item="flight review",
    ),
    RecencyRule(
        "FCL.060(b)(1)",
        "carry passengers (Europe)",
        "Part-FCL FCL.060(b)(1)",
        needs={"takeoffs": 3, "landings": 3},
        days=90,
        same="class",
        not_judged=_TYPES,
    ),
    RecencyRule(
        "FCL.060(b)(2)",
        "carry passengers by night as pilot in command (Europe)",
        "Part-FCL FCL.060(b)(2)",
        needs={"night_takeoffs": 1, "night_landings": 1},
        days=90,
        same="class",
        unless_item="instrument rating",
        not_judged=_TYPES,
    ),
    RecencyRule(
        "FCL.140.A",
        "use a light aircraft pilot licence (Europe)",
        "Part-FCL FCL.140.A (read second-hand)",
        needs={"pic_hours": 12, "pic_takeoffs": 12, "pic_landings": 12, "instructor_hours": 1},
        months=24,
    ),
    RecencyRule(
        "FCL.740.A",
        "revalidate a single-engine piston rating by experience (Europe)",
        "Part-FCL FCL.740.A(b)(1)(ii) (read second-hand)",
        kind="expiry",
        needs={"hours": 12, "pic_hours": 6, "takeoffs": 12, "landings": 12, "instructor_hours": 1},
        months=12,
        engines="single",
        item="SEP rating",
    ),
)
"""The rules that every book knows."""


def rules_in_force(setting: Any = None) -> tuple[RecencyRule, ...]:
    """The built-in rules with those of the book.

    Args:
        setting: the book's own list, as read from JSON; None: none.

    Raises:
        DataRefused: the list cannot be read; says which rule and why.
    """
    found = {rule.rule: rule for rule in BUILT_IN}
    if setting is None:
        return BUILT_IN
    if not isinstance(setting, list):
        raise _refused("it must be a list of rules")
    for row in setting:
        if not isinstance(row, dict) or not isinstance(row.get("rule"), str) or not row["rule"]:
            raise _refused("each rule must be an object with an id in 'rule'")
        if row.get("off") is True:
            found.pop(row["rule"], None)
        else:
            found[row["rule"]] = _read(row)
    return tuple(found.values())


def _read(row: dict[str, Any]) -> RecencyRule:
    name = row["rule"]
    known = {key: value for key, value in row.items() if key != "off"}
    unknown = set(known) - set(RecencyRule._fields)
    if unknown:
        raise _refused(f"rule '{name}' has no field '{min(unknown)}'")
    for key in ("title", "source", "kind", "same", "engines", "item", "unless_item", "not_judged"):
        if not isinstance(known.get(key, ""), str):
            raise _refused(f"'{key}' of rule '{name}' must be text")
    known = {"title": name, "source": "the book's own rule"} | known
    rule = RecencyRule(**known)
    _check(rule)
    return rule


def _check(rule: RecencyRule) -> None:
    name = rule.rule
    if rule.kind not in _KINDS or rule.same not in _SCOPES or rule.engines not in ("", "single", "multi"):
        raise _refused(f"rule '{name}': kind is one of {', '.join(_KINDS)}; same is class, type or empty")
    if not isinstance(rule.needs, dict) or not all(
        key in MEASURES and _positive(value) for key, value in rule.needs.items()
    ):
        raise _refused(f"rule '{name}' needs numbers above 0 of: {', '.join(MEASURES)}")
    whole = all(isinstance(value, int) and 0 <= value <= 36500 for value in (rule.days, rule.months))
    if not whole or bool(rule.days) == bool(rule.months):
        raise _refused(f"rule '{name}' needs either 'days' or 'months', a whole number")
    if rule.kind != "item" and not rule.needs:
        raise _refused(f"rule '{name}' asks for nothing: fill in 'needs'")
    if rule.kind != "window" and (not rule.item or not rule.months):
        raise _refused(f"rule '{name}' needs an 'item' and 'months'")


def _positive(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and 0 < value < 1e9


def _refused(why: str) -> DataRefused:
    return DataRefused(
        f"The recency rules of this book cannot be read: {why}.",
        next_step="See docs/people/recency.md for an example.",
        field="recency_rules",
    )
