"""An invented aeroplane club, simulated from physics: the record against which the estimates are judged.

Nothing here shares a formula with ``logbook.energy``. The aeroplane has a drag polar and flies in gusty air, the packs
are cells with an open-circuit voltage and a resistance that age, the pack computer has its own opinion, the pilots have
habits, the charger has losses, and about one entry in a hundred is written down wrong.
"""

from tests.world.season import World, make_world

__all__ = ["World", "make_world"]
