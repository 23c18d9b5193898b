"""What state a pack can be in: the words the program knows, and how they are read."""

from __future__ import annotations

from typing import Final

STATES: Final = ("fitted", "store", "quarantined", "away", "transport", "scrapped")
"""What a pack can be."""


def known_state(text: str) -> str:
    """A state as the program knows it, whatever its letters' case; any other word as it was written."""
    word = text.strip().casefold()
    return word if word in STATES else text
