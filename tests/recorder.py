"""A recorder of nobody's make: writes CSV files as an aeroplane might, with the mapping that reads them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from logbook.exchange.recording_findings import Findings, findings_of
from logbook.exchange.recording_mapping import RecordingMapping, recording_mapping_of
from logbook.exchange.recording_trace import Trace, read_trace

HEADER = ("t", "alt", "gs", "soc", "kw", "temp")

TOLD: dict[str, Any] = {
    "kind": "recording",
    "name": "bench",
    "time": {"column": "t", "as": "seconds", "start": "2031-05-08T16:00:00Z"},
    "gaps": {"longest_s": 5},
    "altitude": {"column": "alt", "unit": "ft"},
    "speed": {"column": "gs", "unit": "kt", "of": "ground"},
    "packs": {
        "front": {
            "soc": "soc",
            "power": {"column": "kw", "unit": "kW", "discharge": "positive"},
            "temp_high": {"column": "temp", "unit": "celsius"},
        }
    },
}


def mapping(**changes: Any) -> RecordingMapping:
    """The mapping of such a file; a table is changed word by word, and None takes a word out of it."""
    told = deepcopy(TOLD)
    for name, value in changes.items():
        changed = told[name] | value if isinstance(value, dict) and name in told else value
        told[name] = {k: v for k, v in changed.items() if v is not None} if isinstance(value, dict) else value
    return recording_mapping_of(told)


_COLUMNS = """[gaps]
longest_s = 5
[altitude]
column = "alt"
unit = "ft"
[speed]
column = "gs"
unit = "kt"
of = "ground"
[packs.front]
soc = "soc"
power = { column = "kw", unit = "kW", discharge = "positive" }
"""


def mapping_text(*, start: str = "", warmth: bool = True, **named: str) -> str:
    """The same mapping as the text of a file.

    Args:
        start: the moment from which its seconds count; empty: it does not say.
        warmth: whether it names the column of temperatures.
        named: name, aircraft.
    """
    told = [f'{name} = "{value}"' for name, value in {"kind": "recording", **named}.items()]
    told += ["[time]", 'column = "t"', 'as = "seconds"', *([f'start = "{start}"'] if start else [])]
    temperature = 'temp_high = { column = "temp", unit = "celsius" }\n' if warmth else ""
    return "\n".join(told) + "\n" + _COLUMNS + temperature


def written(path: Path, rows: Iterable[Sequence[object]], header: Sequence[str] = HEADER) -> Path:
    """A file of these rows."""
    lines = [",".join(map(str, row)) for row in (header, *rows)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def dated(rows: Iterable[Sequence[object]], start: str) -> list[tuple[object, ...]]:
    """The same rows with moments (ISO) instead of seconds since `start`."""
    first = datetime.fromisoformat(start)
    return [((first + timedelta(seconds=float(str(row[0])))).isoformat(), *row[1:]) for row in rows]


def steady(seconds: Iterable[float], kw: Callable[[float], float] | float) -> list[tuple[object, ...]]:
    """An aeroplane on the ground with some power."""
    return [(t, 500, 0, 80, kw(t) if callable(kw) else kw, 20) for t in seconds]


def traced(path: Path, rows: Iterable[Sequence[object]], **changes: Any) -> Trace:
    """The rows, written and read."""
    return read_trace(written(path, rows), mapping(**changes))


def findings(trace: Trace, **changes: Any) -> Findings:
    """What a trace of one pack says."""
    return findings_of(trace, mapping(**changes), {"front": "S1"})


def out_kwh(trace: Trace) -> float:
    """Energy the pack gave over the whole recording [kWh]."""
    return trace.packs[0].energy(0, len(trace.at) - 1).out_kwh


def flight_rows(step: float = 1.0) -> list[tuple[object, ...]]:
    """Forty minutes: 5 on blocks, 5 of taxi, 5 of climb by 2,000 ft, 15 level, 5 of descent, 3 of taxi, 2 on blocks."""
    rows = []
    for number in range(int(2400 / step) + 1):
        t = number * step
        m = t / 60
        gs = 0 if m < 5 or m >= 38 else 10 if m < 10 or m >= 35 else 80
        alt = 500 + 2000 * max(0.0, min(1.0, (m - 10) / 5, (35 - m) / 5))
        kw = 0 if gs == 0 else 3 if gs == 10 else 40 if m < 15 else 20 if m < 30 else -2
        soc = round(90 - max(0.0, min(m, 38) - 5), 1)
        rows.append((t, round(alt, 1), gs, soc, kw, round(20 + m / 4, 1)))
    return rows
