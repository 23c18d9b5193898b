"""A flag: something a rule found in a record. Never an accusation; it can be answered in words."""

from __future__ import annotations

import json
from typing import Any, Final, NamedTuple

SERIOUS: Final = "serious"
"""Somebody may be hurt, or a limit was passed: look at it before the next flight."""

CHECK: Final = "check"
"""The record contradicts itself or something is out of the ordinary: find out."""

NOTE: Final = "note"
"""Something is missing or worth knowing."""

ORDER: Final = (SERIOUS, CHECK, NOTE)

SIGNS: Final = {SERIOUS: "‼", CHECK: "!", NOTE: "·"}
"""A sign for each severity, so that colour never carries it alone."""


class Flag(NamedTuple):
    """What a rule found.

    Attributes:
        rule: the rule's id.
        severity: `serious`, `check` or `note`.
        words: one sentence with its figures and units.
        figures: the figures behind it; when they change, an answer no longer holds.
        serial_no: the pack concerned, or empty.
    """

    rule: str
    severity: str
    words: str
    figures: dict[str, Any]
    serial_no: str = ""

    @property
    def fingerprint(self) -> str:
        """The figures in one canonical form, which an answer is tied to."""
        return json.dumps(self.figures, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


class Rule(NamedTuple):
    """A rule's words for people: what it found, what to do, and where the rule comes from."""

    rule: str
    title: str
    what_to_do: str
    source: str
