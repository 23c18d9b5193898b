"""The words of the catalogue of rules, for screens."""

from __future__ import annotations

from logbook.rules.catalogue import RULES


def what_to_do(rule: str) -> str:
    """What a rule asks for; empty for one this version does not know."""
    found = RULES.get(rule)
    return found.what_to_do if found else ""


def title(rule: str) -> str:
    """What a rule found, in a few words; its id where this version does not know it."""
    found = RULES.get(rule)
    return found.title if found else rule


def source(rule: str) -> str:
    """Where a rule comes from."""
    found = RULES.get(rule)
    return found.source if found else ""


def rules() -> list[tuple[str, str]]:
    """Every rule: id and title."""
    return [(rule.rule, rule.title) for rule in RULES.values()]
