"""Why a pack may not fly: its state, or that it got too hot and nobody has looked at it since. Said the same everywhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

GROUNDING: Final = ("quarantined", "away", "transport", "scrapped")
"""States in which a pack may not fly."""


def in_state(state: str) -> str:
    """A state as it stands after "it is"."""
    return "in transport" if state == "transport" else state


def waits_after_heat(hot: Mapping[str, str], serial_no: str) -> str:
    """Why such a pack may not fly; empty where it did not get too hot, or somebody has looked at it since.

    Args:
        hot: packs nobody has said anything of, by serial number, with the date (`Attention.overheated`).
        serial_no: the pack.
    """
    return f"too hot on {hot[serial_no]}: inspection before next use" if serial_no in hot else ""
