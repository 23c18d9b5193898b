"""A filter as plain JSON and back, so that one more flight costs one step after a restart too.

Only the classes named here are read back, and only data: nothing in a snapshot is ever executed. A snapshot of another
layout is refused by ``restore`` and simply computed again from the record.
"""

import json
from collections import deque
from typing import Any

import numpy as np

from logbook.energy import record
from logbook.energy.amounts import Amounts
from logbook.energy.clock import Clock
from logbook.energy.evidence import Reader, Reading
from logbook.energy.filter import Filter
from logbook.energy.habits import Habits, RunningMean
from logbook.energy.knowledge import DoubtfulCharge
from logbook.energy.largest import Largest
from logbook.energy.legs import Legs
from logbook.energy.model import Energy
from logbook.energy.packs import Scale
from logbook.energy.prediction import Forecasted, PackForecast
from logbook.energy.scatter import Kind, Scatter
from logbook.energy.slips import Repair
from logbook.energy.state import Group, State
from logbook.energy.today import Today

LAYOUT = 1
_OBJECTS: dict[str, Any] = {
    kind.__name__: kind
    for kind in (
        Filter,
        State,
        Group,
        Scale,
        Reader,
        Clock,
        Habits,
        RunningMean,
        Scatter,
        Kind,
        Largest,
        Today,
    )
}
_MANY: dict[str, Any] = {"tuple": tuple, "list": list, "frozenset": frozenset, "deque": deque}
_TUPLES: dict[str, Any] = {
    kind.__name__: kind
    for kind in (
        record.AircraftFacts,
        record.PackFacts,
        record.ReadingFacts,
        record.FlightFacts,
        record.ChargeFacts,
        record.CheckFacts,
        record.BreakFacts,
        Amounts,
        DoubtfulCharge,
        Energy,
        Forecasted,
        Legs,
        PackForecast,
        Reading,
        Repair,
    )
}


def snapshot(filter_: Filter) -> str:
    """Everything the filter knows, as JSON text."""
    return json.dumps({"layout": LAYOUT, "filter": _Writer().plain(filter_)}, separators=(",", ":"))


def restore(text: str) -> Filter:
    """The filter of a snapshot; it goes on exactly where that stood.

    Raises:
        ValueError: If the text is not a snapshot of this layout.
    """
    try:
        found = json.loads(text)
        if found["layout"] != LAYOUT:
            raise ValueError("The snapshot has another layout; compute it again from the record.")
        filter_ = _Reader().thing(found["filter"])
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(
            "This is not a snapshot of the estimates; compute it again from the record."
        ) from error
    if not isinstance(filter_, Filter):
        raise ValueError("This is not a snapshot of the estimates; compute it again from the record.")  # noqa: TRY004
    return filter_


class _Writer:
    """Objects to JSON; an object met twice is written once and then referred to."""

    def __init__(self) -> None:
        self.seen: dict[int, int] = {}

    def plain(self, thing: Any) -> Any:
        """JSON for anything a filter holds."""
        if isinstance(thing, np.ndarray):
            return {"array": thing.reshape(-1).tolist(), "shape": list(thing.shape)}
        if isinstance(thing, np.generic):
            return thing.item()
        if thing is None or isinstance(thing, bool | int | float | str):
            return thing
        return self._holder(thing)

    def _holder(self, thing: Any) -> dict[str, Any]:
        name = type(thing).__name__
        if isinstance(thing, dict):
            return {"pairs": [[self.plain(key), self.plain(value)] for key, value in thing.items()]}
        if isinstance(thing, tuple | list | frozenset | deque):
            return {
                "record" if name in _TUPLES else "many": name,
                "items": [self.plain(item) for item in thing],
            }
        if id(thing) in self.seen:
            return {"again": self.seen[id(thing)]}
        number = self.seen[id(thing)] = len(self.seen)
        return {
            "object": name,
            "number": number,
            "fields": {key: self.plain(value) for key, value in _fields(thing)},
        }


class _Reader:
    """JSON to objects."""

    def __init__(self) -> None:
        self.made: dict[int, Any] = {}

    def thing(self, plain: Any) -> Any:
        """The object of its JSON."""
        if not isinstance(plain, dict):
            return plain
        if "array" in plain:
            return np.array(plain["array"], dtype=float).reshape(plain["shape"])
        if "pairs" in plain:
            return {self.thing(key): self.thing(value) for key, value in plain["pairs"]}
        if "items" in plain:
            items = [self.thing(item) for item in plain["items"]]
            return _TUPLES[plain["record"]](*items) if "record" in plain else _MANY[plain["many"]](items)
        return self.made[plain["again"]] if "again" in plain else self._object(plain)

    def _object(self, plain: dict[str, Any]) -> Any:
        kind = _OBJECTS[plain["object"]]
        made = self.made[plain["number"]] = object.__new__(kind)
        for key, value in plain["fields"].items():
            setattr(made, key, self.thing(value))
        return made


def _fields(thing: object) -> list[tuple[str, Any]]:
    slots = getattr(type(thing), "__slots__", None)
    return [(name, getattr(thing, name)) for name in slots] if slots else list(vars(thing).items())
