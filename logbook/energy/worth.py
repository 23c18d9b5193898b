"""What a percent of charge is worth: the curve of energy over charge, where one is stated.

    w_k = r_k / mean(r_1 … r_6)                                                                 (1)
    points(a, b) = ∫ w ds from b to a                                                           (2)
    energy = usable / 100 × points(a, b)                                                        (3)

r_k are the ten stated figures, k = 1 for 100 to 90 %, k = 10 for 10 to 0 %; w is constant within a tenth. The scale is the
mean of the upper six tenths because *usable capacity as flown* is kWh for one percent × 100 on the charge normally flown
(100 to 40 %): there one percent is worth one point, with a curve as without. From full to empty a pack then gives
usable × mean(w_1 … w_10), which is less where the curve falls. Without a curve w = 1 and (2) is a − b, exactly.

See docs/energy/capacity.md, "What a percent is worth".
"""

from collections.abc import Sequence

Worths = tuple[float, ...]
"""Ten weights, full to empty, upper six 1 in the mean."""

TENTHS = 10
UPPER = 6
"""Tenths normally flown: the scale on which usable capacity is stated."""
EVEN: Worths = (1.0,) * TENTHS
"""Every percent worth the same: the line that is otherwise learned is then switched off."""


def worths_of(stated: Sequence[float] | None) -> Worths | None:
    """The weights of ten stated figures, equation (1).

    Args:
        stated: Energy for one percent in each tenth, full to empty, in any unit.
    Returns: ``None`` where nothing usable is stated, and where all ten are equal: that states what is assumed anyway.
    """
    if stated is None or len(stated) != TENTHS or min(stated) <= 0 or min(stated) == max(stated):
        return None
    scale = sum(stated[:UPPER]) / UPPER
    return tuple(value / scale for value in stated)


def points_between(worths: Worths | None, upper_pct: float, lower_pct: float) -> float:
    """What lies between two charges [points: hundredths of usable capacity], equation (2); negative where the second is higher.

    Beyond 0 and 100 % the last and the first tenth go on.
    """
    if worths is None:
        return upper_pct - lower_pct
    return _above_empty(worths, upper_pct) - _above_empty(worths, lower_pct)


def charge_after(worths: Worths | None, charge_pct: float, points: float) -> float:
    """Charge [%] that is left when a pack has given so many points, or has taken them in where they are negative."""
    if worths is None:
        return charge_pct - points
    wanted = _above_empty(worths, charge_pct) - points
    floor = 0.0
    for tenth in range(TENTHS - 1):
        worth = worths[TENTHS - 1 - tenth]
        if wanted <= floor + 10 * worth:
            return 10 * tenth + (wanted - floor) / worth
        floor += 10 * worth
    return 90 + (wanted - floor) / worths[0]


def worth_about(worths: Worths | None, charge_pct: float) -> float:
    """Points for one percent about a charge: the mean of five percent on each side, so that it has no steps."""
    if worths is None:
        return 1.0
    return points_between(worths, charge_pct + 5, charge_pct - 5) / 10


def _above_empty(worths: Worths, charge_pct: float) -> float:
    """Points between empty and a charge."""
    below = min(max(int(charge_pct // 10), 0), TENTHS - 1)
    whole = sum(10 * worths[TENTHS - 1 - tenth] for tenth in range(below))
    return whole + (charge_pct - 10 * below) * worths[TENTHS - 1 - below]
