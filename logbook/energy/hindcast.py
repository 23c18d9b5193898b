"""How good the forecasts were: each flight from earlier records only, given what was flown."""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.energy.baselines import Baselines
from logbook.energy.demand import PackStart
from logbook.energy.prediction import Forecasted


class HindcastRow(NamedTuple):
    """One pack on one flight [%], unrounded."""

    flight_id: str
    serial_no: str
    low: float
    mid: float
    high: float
    actual: float
    kind: str
    handler: str | None
    handbook: float
    """What the handbook alone would have said."""
    average: float
    """What the plain average per minute would have said."""
    sd: float


class Score(NamedTuple):
    """Errors over some rows; zeros where there are none."""

    flights: int = 0
    mae_pct: float = 0.0
    bias_pct: float = 0.0
    """Mean of actual less mid: positive when more was left than forecast."""
    inside_90: float = 0.0
    mean_width_pct: float = 0.0
    handbook_mae_pct: float = 0.0
    average_mae_pct: float = 0.0


def rows_of(done: Forecasted, baselines: Baselines) -> list[HindcastRow]:
    """Rows of one flight; call in order of time, before the baselines learn from it."""
    whole = [pack for pack in done.packs if pack.actual is not None]
    if not whole:
        return []
    amounts = done.legs.amounts
    starts = [
        PackStart(
            p.reading.serial_no,
            p.reading.position,
            float(p.reading.soc_departure_pct or 0),
            p.reading.soh_pct,
            packs=p.reading.packs,
        )
        for p in whole
    ]
    handbook, average = baselines.handbook(amounts, starts), baselines.average(amounts, starts)
    rows = []
    for pack, by_book, by_minute in zip(whole, handbook, average, strict=True):
        mean, half = pack.departure_pct - pack.drop, pack.quantile * pack.sd
        low, mid, high = (min(max(v, 0.0), 100.0) for v in (mean - half, mean, mean + half))
        rows.append(
            HindcastRow(
                done.flight.flight_id,
                pack.reading.serial_no,
                low,
                mid,
                high,
                float(pack.actual or 0.0),
                done.flight.kind or amounts.kind.rstrip("?"),
                done.flight.handler,
                by_book,
                by_minute,
                pack.sd,
            )
        )
    baselines.learn(
        [float(p.reading.soc_departure_pct or 0) - float(p.actual or 0) for p in whole if p.reading.counts],
        amounts.air_min,
    )
    return rows


def score(rows: Sequence[HindcastRow]) -> Score:
    """Mean errors over rows (each pack of each flight counts once)."""
    if not rows:
        return Score()
    n = len(rows)
    return Score(
        flights=len({row.flight_id for row in rows}),
        mae_pct=sum(abs(row.actual - row.mid) for row in rows) / n,
        bias_pct=sum(row.actual - row.mid for row in rows) / n,
        inside_90=sum(row.low <= row.actual <= row.high for row in rows) / n,
        mean_width_pct=sum(row.high - row.low for row in rows) / n,
        handbook_mae_pct=sum(abs(row.actual - row.handbook) for row in rows) / n,
        average_mae_pct=sum(abs(row.actual - row.average) for row in rows) / n,
    )
