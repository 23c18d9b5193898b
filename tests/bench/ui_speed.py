# ruff: noqa: T201 - it prints its figures
"""How fast the building blocks of the screens are: `python -m tests.bench.ui_speed`.

Prints the time to the first paint of a table and of a form, and of single keys and paints. Run it on a quiet machine.
"""

from __future__ import annotations

import asyncio
import statistics
import time
from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence

from textual.app import ComposeResult
from textual.widget import Widget

from logbook.reports.plot import Axis, Band, Plot, Series
from logbook.ui.base_app import BaseApp
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.plot_canvas import DRAWN
from logbook.ui.widgets.plot_sheet import draw
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Understood
from logbook.ui.widgets.record_table import RecordTable


class Numbers:
    """Rows that cost nothing to fetch, so that only the table is measured."""

    def rows(self, ids: Sequence[int]) -> Mapping[int, int]:
        """Each row is its own number."""
        return {number: number for number in ids}


class Show(BaseApp):
    """Shows some widgets."""

    def __init__(self, make: Callable[[], Iterable[Widget]]) -> None:
        super().__init__()
        self._make = make

    def compose(self) -> ComposeResult:
        """The widgets."""
        yield from self._make()


def median_ms(work: Callable[[], object], times: int = 50) -> float:
    """Median time of some work [ms]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


async def table(rows: int) -> None:
    """First paint, and the paint of a whole page after a jump."""
    columns = [Column(f"c{n}", f"Column {n}", lambda row: str(row * 7), 8, right=True) for n in range(12)]
    app = Show(lambda: [RecordTable(columns)])
    start = time.perf_counter()
    async with app.run_test(size=(120, 40)):
        widget = app.query_one(RecordTable)
        widget.show(Numbers(), array("q", range(rows)))
        lines = [widget.render_line(y) for y in range(40)]
        first = (time.perf_counter() - start) * 1000

        def jump() -> None:
            widget.cursor = (widget.cursor + rows // 3) % rows
            for y in range(len(lines)):
                widget.render_line(y)

        print(
            f"table, {rows:>9,} rows: first paint {first:6.0f} ms, jump and paint 40 lines {median_ms(jump):5.2f} ms"
        )


async def form(fields: int) -> None:
    """From start to a form that takes keys."""
    app = Show(
        lambda: [
            ReadingField(f"Reading {n}", parse=Understood, unit="%", expected="92") for n in range(fields)
        ]
    )
    start = time.perf_counter()
    async with app.run_test(size=(80, 24)):
        print(f"form, {fields} fields: {(time.perf_counter() - start) * 1000:.0f} ms to the first key")


def plot(points: int) -> None:
    """One drawing at 80 by 22."""
    xs = [730000 + n for n in range(points)]
    ys = [10 - n / points for n in range(points)]
    made = Plot(
        "t", Axis("date", dated=True), Axis("y", "kWh"),
        (Series("line", xs, ys), Series("points", xs, ys, kind="points")),
        (Band("band", xs, [y - 0.2 for y in ys], [y + 0.2 for y in ys]),),
    )  # fmt: skip
    print(f"plot, {points:>6,} points: {median_ms(lambda: draw(made, 80, 22, DRAWN), 10):.1f} ms a drawing")


async def main() -> None:
    """Everything, one after the other."""
    for rows in (100, 100_000, 1_000_000):
        await table(rows)
    for fields in (8, 24, 40):
        await form(fields)
    for points in (100, 1_000, 10_000):
        plot(points)


if __name__ == "__main__":
    asyncio.run(main())
