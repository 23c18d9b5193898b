import json

import numpy as np
import pytest

from logbook.energy.events import events_of
from logbook.energy.filter import Filter
from logbook.energy.snapshot import restore, snapshot
from tests.energy.worlds import SEEDS, history


def test_a_snapshot_goes_on_exactly_where_it_stood() -> None:
    full = history(SEEDS[0])
    events = events_of(full)[:500]
    known = Filter(full.aircraft, full.packs)
    for event in events[:300]:
        known.step(event)
    again = restore(snapshot(known))
    for event in events[300:]:
        known.step(event)
        again.step(event)
    known.settle()
    again.settle()
    assert np.array_equal(known.state.x, again.state.x)
    assert np.array_equal(known.state.p, again.state.p)
    assert known.history == again.history


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[]",
        '{"layout":1,"filter":{"object":"os","number":0,"fields":{}}}',
        '{"layout":1,"filter":4}',
    ],
)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"compute it again|Expecting value"):
        restore(text)


def test_another_layout_is_refused() -> None:
    plain = json.loads(snapshot(Filter(history(SEEDS[0]).aircraft)))
    with pytest.raises(ValueError, match="another layout"):
        restore(json.dumps(plain | {"layout": 0}))
