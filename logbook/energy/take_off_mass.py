"""The least a take-off mass can be: the people alone are a common slip, and it makes every forecast look too good."""

from __future__ import annotations

from typing import Final, NamedTuple

LEAST_SHARE: Final = 0.6
"""Of the mass the handbook's figures hold for; an empty aeroplane is heavier than that (common practice, no source)."""


class LeastMass(NamedTuple):
    """What a take-off mass must be above [kg], and what that is, in words."""

    kg: float
    words: str


def least_mass(empty_kg: float | None, handbook_kg: float | None) -> LeastMass | None:
    """The empty mass, where it is known; else a share of the mass the handbook's figures hold for; else None.

    Args:
        empty_kg: empty mass of the aeroplane [kg].
        handbook_kg: the mass the handbook's figures of energy hold for [kg].
    """
    if empty_kg is not None:
        return LeastMass(empty_kg, "the empty mass")
    if handbook_kg is not None:
        return LeastMass(
            LEAST_SHARE * handbook_kg, f"{LEAST_SHARE:.0%} of the mass in the handbook".replace("%", " %")
        )
    return None
