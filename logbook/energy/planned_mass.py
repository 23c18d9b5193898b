"""The take-off mass of a plan: taken as typed, however far from the record, and never to the plan's advantage.

A flight in the record whose mass lies far from the usual is a slip of the pen and teaches by the usual mass instead
(``evidence.Reader.mass``). A plan is not yet flown: a heavy mass typed there may well be meant, and an answer that
quietly counts a lighter aeroplane is dangerous. ``docs/energy/forecast.md``.
"""

from __future__ import annotations

from math import exp, log
from typing import Final, NamedTuple

from logbook.energy.evidence import LEAST_MASS_KG, Reader
from logbook.energy.take_off_mass import least_mass

FAR_KG: Final = 200.0
"""A mass this far below the usual one is counted only so far down [kg] (common practice, no source)."""
MOST_LN_MASS: Final = 3.0
"""The arithmetic bears twenty times the reference mass; nothing flies there, and the answer is long since "does not fit"."""
EXTRAPOLATED: Final = 0.5
"""Spread of ln(mass) for each unit of it above the heaviest flown: as if the exponent of mass on level flight were known
there no better than before the first flight, 0.6 ± 0.3 (chosen on simulated aeroplanes, see ``docs/energy/rates.md``)."""
WORTH_A_WORD: Final = 0.03
"""This part heavier than the heaviest flown is worth a word [ln]."""


class PlannedMass(NamedTuple):
    """How a typed take-off mass is counted.

    Attributes:
        ln: ln(mass counted / reference mass).
        sd: spread of that; grows with the distance above the heaviest flown.
        words: what has to be said of it, a sentence; empty where nothing has.
    """

    ln: float
    sd: float
    words: str = ""


def planned_mass(
    reader: Reader, mass_kg: float | None, handler: str | None, aboard: int | None
) -> PlannedMass:
    """A take-off mass as a plan states it, for the model.

    Never cheaper than at the nearest mass that is believed: above the heaviest flown it costs what the law of mass says
    and is less sure; far below the usual it is counted at the least that is believed; what cannot be the mass of this
    aeroplane is left out, and the usual mass stands in.

    Args:
        reader: what is usual for the aeroplane.
        mass_kg: as typed [kg]; None: what is usual.
        handler: who flies.
        aboard: persons aboard.
    """
    if mass_kg is None:
        return PlannedMass(*reader.mass(None, handler, aboard))
    if not _possible(reader, mass_kg):
        return _stand_in(reader, mass_kg, handler, aboard)
    reference = reader.habits.reference_kg
    if reference is None or reference <= 0:
        return PlannedMass(
            0.0,
            0.0,
            f"The take-off mass of {mass_kg:g} kg has no bearing on the answer: the mass the handbook's figures hold for "
            "is not entered, and no flight has a mass.",
        )
    usual = reader.habits.mass_kg(handler, aboard)
    if usual is not None and mass_kg < usual[0] - FAR_KG:
        counted = max(usual[0] - FAR_KG, LEAST_MASS_KG)
        return PlannedMass(
            log(counted / reference),
            0.0,
            f"The take-off mass of {mass_kg:g} kg is far below the usual {usual[0]:.0f} kg: counted as {counted:.0f} kg, "
            "so that the answer is not too good. Check the mass.",
        )
    return _as_typed(reader, mass_kg, reference)


def _as_typed(reader: Reader, mass_kg: float, reference_kg: float) -> PlannedMass:
    ln = min(max(log(mass_kg / reference_kg), -MOST_LN_MASS), MOST_LN_MASS)
    beyond = ln - reader.heaviest_ln_mass
    if beyond <= 0:
        return PlannedMass(ln, 0.0)
    words = ""
    if beyond > WORTH_A_WORD:
        known_kg = reference_kg * exp(reader.heaviest_ln_mass)
        what = "that was ever flown" if reader.heaviest_ln_mass > 0 else "the figures hold for"
        words = (
            f"The take-off mass of {mass_kg:g} kg is {mass_kg - known_kg:.0f} kg above the heaviest {what} "
            f"({known_kg:.0f} kg): what it costs is extrapolated, and the forecast is wider. Check the mass."
        )
    return PlannedMass(ln, EXTRAPOLATED * beyond, words)


def _possible(reader: Reader, mass_kg: float) -> bool:
    least = least_mass(reader.aircraft.empty_mass_kg, reader.aircraft.handbook_mass_kg)
    return mass_kg > LEAST_MASS_KG and (least is None or mass_kg >= least.kg)


def _stand_in(reader: Reader, mass_kg: float, handler: str | None, aboard: int | None) -> PlannedMass:
    ln, sd = reader.mass(None, handler, aboard)
    usual, reference = reader.habits.mass_kg(handler, aboard), reader.habits.reference_kg
    counts = "the answer counts as if none were given"
    if usual is not None:
        counts = f"the answer counts with the usual {usual[0]:.0f} kg"
    elif reference is not None:
        counts = f"the answer counts with {reference * exp(ln):.0f} kg, taken from the handbook"
    return PlannedMass(ln, sd, f"The take-off mass of {mass_kg:g} kg is not believed: {counts}.")
