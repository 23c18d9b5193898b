"""States in which a pack may not fly, and the words for it. Said the same everywhere."""

from __future__ import annotations

from typing import Final

GROUNDING: Final = ("quarantined", "away", "transport", "scrapped")
"""States in which a pack may not fly."""
INSPECT: Final = ": inspection before next use"
"""How the reason ends where a pack passed a limit and nobody has looked at it since (`services.waiting`)."""


def in_state(state: str) -> str:
    """A state as it stands after "it is"."""
    return "in transport" if state == "transport" else state
