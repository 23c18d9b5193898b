"""What can be written down for maintenance, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

DIRECTIVE: Final = "directive"
"""Its number stands behind it, so that each is a work of its own: `directive 2031-07`."""
WORK: Final = {
    "inspection": ("Inspection", "annual, hundred hours, before next use"),
    "capacity check": ("Capacity check", "on the bench: its figures are asked for next"),
    "repair": ("Repair", "of the aeroplane, a pack or another part"),
    "module change": ("Module change", "in a pack; its estimates may have to start anew"),
    "firmware": ("Firmware", "of a pack or a controller; estimates may have to start anew"),
    DIRECTIVE: ("Directive or bulletin", "what it asks for, done or not yet, and when it falls due"),
    "other": ("Other work", "anything else that was done"),
}
"""Kind of work to its name and what it is."""

UNITS: Final = {"hours": "h", "cycles": "cycles", "soh": "%"}
"""What something falls due by, to its unit."""

SOON: Final = {"hours": 25.0, "cycles": 25.0}
"""With so much left by hours or cycles, Today speaks of it (common practice, no source)."""


def left_words(item: Mapping[str, Any]) -> str:
    """How much is left of what falls due by use, or by how much it is past: `19.3 h left, limit 400, now 380.7`."""
    left, unit = item["remaining"], UNITS[item["by"]]
    words = f"{left:.1f} {unit} left" if left >= 0 else f"{-left:.1f} {unit} past"
    words += f", limit {item['at']:g}, now {item['now']:.1f}"
    return words + (f" ({item['counted']})" if item.get("counted") else "")


STARTS_ANEW: Final = ("repair", "module change", "firmware")
"""Work on a pack after which its earlier readings may say nothing about it."""
