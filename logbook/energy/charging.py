"""What a charge says about capacity, through a charger whose losses are themselves estimated.

    metered kWh = usable × (points filled / 100) × e^{factor + worn × (−L)} + fixed loss         (1)

Points filled are those of ``energy/worth.py``: SOC filled, unless the pack type states a curve. Per charger: factor near
ln(1/0.92), ``worn`` how losses grow as the pack ages, and a fixed loss of each session. A pack takes in 7 to 13 % more than it gives back in flight; the factor absorbs it, so that only *changes* of capacity are
learned from charges, never the scale.
"""

from math import exp

from logbook.energy.knowledge import DoubtfulCharge, Knowledge
from logbook.energy.packs import CAPACITY
from logbook.energy.record import ChargeFacts
from logbook.energy.scatter import weight_of
from logbook.energy.worth import points_between

LEAST_FILL_PCT = 8.0
FACTOR_MEAN, FACTOR_SD = 0.083, 0.06
WORN_MEAN, WORN_SD = 0.1, 0.15
FIXED_MEAN_KWH, FIXED_SD_KWH = 0.15, 0.25
DOUBTFUL_Z2, GROSS_Z2 = 16.0, 60.0
PURPOSES_LEFT_OUT = ("storage", "preheat", "cooling")


def learn_session(known: Knowledge, session: tuple[ChargeFacts, ...]) -> None:
    """Learn from one charging session; one meter for all packs is compared with the sum over packs."""
    for row in session:
        if row.soc_end_pct is not None:
            known.last_soc[row.serial_no] = (float(row.soc_end_pct), known.flights)
    if any(row.purpose in PURPOSES_LEFT_OUT for row in session):
        return
    own = [row for row in session if row.energy_kwh is not None]
    for row in own:
        _observe(known, [row], float(row.energy_kwh or 0.0))
    if own or not session or session[0].shared_energy_kwh is None:
        return
    _observe(known, list(session), float(session[0].shared_energy_kwh))


def filled(row: ChargeFacts) -> float:
    """Points of SOC filled; 0 where a reading is missing."""
    if row.soc_start_pct is None or row.soc_end_pct is None:
        return 0.0
    return float(row.soc_end_pct) - float(row.soc_start_pct)


def stored(known: Knowledge, row: ChargeFacts) -> float:
    """What was filled into a pack [points: hundredths of usable capacity]; 0 where a reading is missing."""
    if row.soc_start_pct is None or row.soc_end_pct is None:
        return 0.0
    worths = known.scale(row.serial_no).worths
    return points_between(worths, float(row.soc_end_pct), float(row.soc_start_pct))


def _observe(known: Knowledge, rows: list[ChargeFacts], metered_kwh: float) -> None:
    if metered_kwh <= 0 or any(filled(row) < LEAST_FILL_PCT for row in rows):
        return
    state = known.state
    charger = known.chargers.place(
        rows[0].charger or "", (FACTOR_MEAN, WORN_MEAN, FIXED_MEAN_KWH), (FACTOR_SD, WORN_SD, FIXED_SD_KWH)
    )
    firsts = [known.pack_at(row.serial_no) + CAPACITY for row in rows]
    factor, worn, fixed = (float(state.x[charger + k]) for k in range(3))
    expected, noise, worn_slope = fixed, 0.0, 0.0
    at, slopes = [charger], [0.0]
    for row, first in zip(rows, firsts, strict=True):
        capacity = float(state.x[first])
        part = (
            known.scale(row.serial_no).usable_kwh(capacity)
            * stored(known, row)
            / 100
            * exp(factor - worn * capacity)
        )
        expected += part
        noise += part**2 * (0.03**2 + (0.6 / filled(row)) ** 2)
        slopes[0] += part
        worn_slope -= part * capacity
        at.append(first)
        slopes.append(part * (1 - worn))
    at += [charger + 1, charger + 2]
    slopes += [worn_slope, 1.0]
    residual = metered_kwh - expected
    z2 = residual**2 / (state.variance_of(at, slopes) + noise)
    if z2 > DOUBTFUL_Z2:
        known.doubtful.extend(
            DoubtfulCharge(row.charge_id, row.serial_no, metered_kwh, expected, z2**0.5) for row in rows
        )
    if z2 > GROSS_Z2:
        return
    before = [float(state.p[first, first]) for first in firsts]
    state.observe_one(at, slopes, residual, noise / max(weight_of(z2), 1e-3))
    for row, first, was in zip(rows, firsts, before, strict=True):
        known.note(row.serial_no, "charges", 1 / float(state.p[first, first]) - 1 / was)
