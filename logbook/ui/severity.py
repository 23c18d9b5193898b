"""How grave a flag is, as a sign and a tone: one table for every screen."""

from __future__ import annotations

from typing import Final

from logbook.rules import flag

_TONES: Final = {flag.SERIOUS: "error", flag.CHECK: "warning", flag.NOTE: "grey"}
SIGNS: Final = {severity: (sign, _TONES[severity]) for severity, sign in flag.SIGNS.items()}
"""Severity to sign and tone, the gravest first."""
