"""What the words of a foreign file mean, as it is typed: `pattern work = circuits, away = cross-country`."""

from __future__ import annotations

from typing import Final

from logbook.services import typed
from logbook.services.typed import Meaning, Reader

_UNKNOWN: Final = "-"


def words_reader(ours: tuple[str, ...]) -> Reader:
    """Reads pairs `theirs = ours`, with commas between; ours by its first letters, `-` for unknown.

    The meaning is a table of their words to ours; empty text stands for unknown.
    """
    one = typed.one_of(ours)

    def read(text: str) -> Meaning:
        found: dict[str, str] = {}
        for pair in (part.strip() for part in text.split(",")):
            theirs, sign, mine = (part.strip() for part in pair.rpartition("="))
            if not (theirs and sign and mine):
                return Meaning(problem=f"'{pair[:30]}' is no pair: their word = {ours[0]}, and so on")
            if theirs in found:
                return Meaning(problem=f"'{theirs[:30]}' is told twice")
            meaning = Meaning("") if mine == _UNKNOWN else one(mine)
            if meaning.problem:
                return Meaning(problem=f"'{mine[:30]}': {meaning.problem}")
            found[theirs] = str(meaning.value)
        said = "; ".join(f"{theirs} is {mine or 'unknown'}" for theirs, mine in found.items())
        return Meaning(found, said)

    return read
