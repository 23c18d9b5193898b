"""Rules on what a pack showed outside flight and charge: cells and insulation against the limits of the pack or its type.

A limit is what is still allowed: what lies beyond it is flagged, what meets it is not. A caution speaks where it is reached.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from logbook.rules.flag import CHECK, SERIOUS, Flag, Rule

_SOURCE: Final = "the limit as entered for the pack or its type"
_TELL: Final = "Tell maintenance before the next use or charge."
RULES: Final = {
    rule.rule: rule
    for rule in (
        Rule("cells_apart_limit", "cells further apart than allowed", _TELL, _SOURCE),
        Rule(
            "cells_apart_caution",
            "cells apart: caution",
            "Look again after a full charge with balancing; watch how it moves.",
            "the caution as entered for the pack or its type",
        ),
        Rule("cell_voltage_low", "a cell below its least voltage", _TELL, _SOURCE),
        Rule("cell_voltage_high", "a cell above its highest voltage", _TELL, _SOURCE),
        Rule("insulation_low", "insulation below the least", _TELL, _SOURCE),
        Rule(
            "cells_exchanged",
            "lowest cell above the highest",
            "Correct the voltages; how far the cells are apart is not judged until then.",
            "the lowest is not above the highest",
        ),
    )
}
"""Every rule on observations, in words for people; that on counters stands with what maintenance writes down."""

GROUNDING: Final = ("cells_apart_limit", "cell_voltage_low", "cell_voltage_high", "insulation_low")
"""A pack with such a flag waits for somebody who looks at it, as one does that reached its temperature limit."""
PASSED: Final = (*GROUNDING, "cells_apart_caution")
"""Rules on a limit or a caution that was passed."""


class SeenLimits(NamedTuple):
    """What a pack, else its type, allows; None: nothing is stated, and nothing is flagged."""

    cells_apart_caution_mv: float | None = None
    cells_apart_limit_mv: float | None = None
    cell_limit_min_v: float | None = None
    cell_limit_max_v: float | None = None
    insulation_limit_mohm: float | None = None


class SeenFigures(NamedTuple):
    """What was read: lowest and highest cell [V], insulation resistance [MΩ]; None: not read."""

    cell_min_v: float | None = None
    cell_max_v: float | None = None
    insulation_mohm: float | None = None


def cells_apart_mv(cell_min_v: float | None, cell_max_v: float | None) -> float | None:
    """How far the cells are apart [mV]; None where one of them was not read. Below 0: the two were exchanged."""
    if cell_min_v is None or cell_max_v is None:
        return None
    return round((cell_max_v - cell_min_v) * 1000, 1)


def seen_beyond(serial_no: str, read: SeenFigures, limits: SeenLimits) -> Iterator[Flag]:
    """What an observation shows beyond the limits of its pack.

    Args:
        serial_no: the pack.
        read: what was read on it.
        limits: what holds for it.
    """
    apart = cells_apart_mv(read.cell_min_v, read.cell_max_v)
    if apart is not None and apart < 0:
        words = f"The lowest cell of pack {serial_no} was read as {read.cell_min_v:g} V, above the highest, {read.cell_max_v:g} V."
        figures = {"cell_min_v": read.cell_min_v, "cell_max_v": read.cell_max_v}
        yield Flag("cells_exchanged", CHECK, words, figures, serial_no)
    elif apart is not None:
        yield from _apart(serial_no, apart, limits)
    yield from _voltage(serial_no, read, limits)
    least = limits.insulation_limit_mohm
    if read.insulation_mohm is not None and least is not None and read.insulation_mohm < least:
        words = f"Insulation of pack {serial_no} was {read.insulation_mohm:g} MΩ; {least:g} MΩ is the least allowed."
        figures = {"insulation_mohm": read.insulation_mohm, "limit_mohm": least}
        yield Flag("insulation_low", SERIOUS, words, figures, serial_no)


def _apart(serial_no: str, apart: float, limits: SeenLimits) -> Iterator[Flag]:
    most, caution = limits.cells_apart_limit_mv, limits.cells_apart_caution_mv
    if most is not None and apart > most:
        words = f"Cells of pack {serial_no} were {apart:g} mV apart; {most:g} mV is the most allowed."
        yield Flag(
            "cells_apart_limit", SERIOUS, words, {"cells_apart_mv": apart, "limit_mv": most}, serial_no
        )
    elif caution is not None and apart >= caution:
        words = f"Cells of pack {serial_no} were {apart:g} mV apart; caution begins at {caution:g} mV."
        yield Flag(
            "cells_apart_caution", CHECK, words, {"cells_apart_mv": apart, "caution_mv": caution}, serial_no
        )


def _voltage(serial_no: str, read: SeenFigures, limits: SeenLimits) -> Iterator[Flag]:
    known = [value for value in (read.cell_min_v, read.cell_max_v) if value is not None]
    if not known:
        return
    least, most = limits.cell_limit_min_v, limits.cell_limit_max_v
    low, high = min(known), max(known)
    if least is not None and low < least:
        words = f"A cell of pack {serial_no} was at {low:g} V; {least:g} V is the least allowed."
        yield Flag("cell_voltage_low", SERIOUS, words, {"cell_v": low, "limit_v": least}, serial_no)
    if most is not None and high > most:
        words = f"A cell of pack {serial_no} was at {high:g} V; {most:g} V is the most allowed."
        yield Flag("cell_voltage_high", SERIOUS, words, {"cell_v": high, "limit_v": most}, serial_no)
