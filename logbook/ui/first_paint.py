"""Until the first screen is painted nothing is looked through for what could be thrown away.

A start makes a hundred thousand objects that stay as long as the program. Python would look through them over and over, for a
tenth of the time until the first screen, and find nothing. Afterwards they are set aside for good: a key then never waits
for such a look either.
"""

from __future__ import annotations

import gc


def hurry() -> None:
    """The start begins: nothing is looked through."""
    gc.disable()


def arrived() -> None:
    """The first screen is painted. Does nothing where no start was hurried, as in tests and other programs."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
