"""What can be done to packs as a whole, in words."""

from __future__ import annotations

from typing import Final

WAYS: Final = {
    "fit": ("Fit a pack", "into a position of an aeroplane"),
    "remove": ("Remove a pack", "from the aeroplane it is in"),
    "swap": (
        "Swap two packs",
        "each takes the other's place; one from the store takes the place of the other",
    ),
    "back": (
        "Take the last move back",
        "the last fitting, removal or swap of a pack; what moved with it goes back too",
    ),
    "state": ("State of a pack", "quarantine, release, send away, scrap"),
}
"""Each way: its name, and what it does."""
