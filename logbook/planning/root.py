"""Finding how much is just enough, without trying everything: bracketed secant steps (the Illinois rule).

Margins of a plan are nearly straight lines in what can be changed (charge, minutes, mass, circuits), so a secant
lands within a few steps; the bracket keeps it safe where they bend. Source: Dowell and Jarratt, BIT 11 (1971) 168
(title from memory).
"""

from collections.abc import Callable

Margin = Callable[[float], float]


def crossing(
    margin: Margin, low: float, high: float, tolerance: float = 0.01, most_steps: int = 60
) -> float | None:
    """Where a margin changes sign between two amounts, on the side where it is not negative.

    Args:
        margin: what is left over at an amount; monotone either way.
        low: least amount allowed.
        high: greatest amount allowed.
        tolerance: how close the answer must lie to the exact crossing, in the unit of the amount.
        most_steps: after that many evaluations the best so far is returned.
    Returns: an amount with a margin of zero or more within the tolerance of the crossing; ``None`` where the
        margin has one sign over the whole range.
    """
    at_low, at_high = margin(low), margin(high)
    if (at_low >= 0) == (at_high >= 0):
        return None
    good, bad, weight_good, weight_bad = (
        (low, high, at_low, at_high) if at_low >= 0 else (high, low, at_high, at_low)
    )
    last = 0
    for step in range(most_steps):
        if abs(good - bad) <= tolerance:
            break
        # Towards the crossing of the chord; now and then halfway, for a bend that the chord creeps along.
        fraction = 0.5 if step > 2 and step % 2 else weight_good / (weight_good - weight_bad)
        edge = min(0.4 * tolerance / abs(bad - good), 0.5)
        amount = good + min(max(fraction, edge), 1 - edge) * (bad - good)
        value = margin(amount)
        if value >= 0:
            good, weight_good = amount, value
            weight_bad /= 2 if last > 0 else 1
            last = 1
        else:
            bad, weight_bad = amount, value
            weight_good /= 2 if last < 0 else 1
            last = -1
    return good


def most_whole(margin: Margin, limit: int = 1_000) -> int | None:
    """The greatest whole number of something (circuits) that still leaves a margin, or ``None`` if not even 0 does.

    Doubling, then halving: about 2·log2(n) evaluations.
    """
    if margin(0) < 0:
        return None
    good, bad = 0, 1
    while bad <= limit and margin(bad) >= 0:
        good, bad = bad, bad * 2
    bad = min(bad, limit + 1)
    while bad - good > 1:
        middle = (good + bad) // 2
        if margin(middle) >= 0:
            good = middle
        else:
            bad = middle
    return good
