"""The words of the catalogue of rules, for screens."""

from __future__ import annotations

from typing import Final

from logbook.rules import charge_rules, observation_rules, upkeep_rules
from logbook.rules.catalogue import RULES
from logbook.rules.flag import Rule
from logbook.services.kinds import kind_of

_UPKEEP: Final = {
    "observation": (*observation_rules.RULES, "counter_back"),
    "maintenance": ("hours_back", "hours_apart"),
}


def rules_of(word: str) -> list[str]:
    """The ids of the rules that look at a kind of record; none for a kind without rules.

    Raises:
        UsageError: there is no such kind.
    """
    if word in {"flight", "flights", "due"}:
        return list(RULES)
    kind = kind_of(word).name
    return list(charge_rules.RULES) if kind == "charge" else list(_UPKEEP.get(kind, ()))


def what_to_do(rule: str) -> str:
    """What a rule asks for; empty for one this version does not know."""
    found = _rule(rule)
    return found.what_to_do if found else ""


def title(rule: str) -> str:
    """What a rule found, in a few words; its id where this version does not know it."""
    found = _rule(rule)
    return found.title if found else rule


def source(rule: str) -> str:
    """Where a rule comes from."""
    found = _rule(rule)
    return found.source if found else ""


def _rule(rule: str) -> Rule | None:
    kinds = (RULES, charge_rules.RULES, observation_rules.RULES, upkeep_rules.RULES)
    return next((rules[rule] for rules in kinds if rule in rules), None)


def rules() -> list[tuple[str, str]]:
    """Every rule: id and title."""
    return [(rule.rule, rule.title) for rule in RULES.values()]
