"""What can be written down for maintenance, in words."""

from __future__ import annotations

from typing import Final

WORK: Final = {
    "inspection": ("Inspection", "annual, hundred hours, before next use"),
    "capacity check": ("Capacity check", "on the bench: its figures are asked for next"),
    "repair": ("Repair", "of the aeroplane, a pack or another part"),
    "module change": ("Module change", "in a pack; its estimates may have to start anew"),
    "firmware": ("Firmware", "of a pack or a controller; estimates may have to start anew"),
    "other": ("Other work", "anything else that was done"),
}
"""Kind of work to its name and what it is."""

STARTS_ANEW: Final = ("repair", "module change", "firmware")
"""Work on a pack after which its earlier readings may say nothing about it."""
