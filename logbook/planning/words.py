"""Numbers as sentences of a plan show them: whole percent, whole minutes, pessimistic rounding where it matters."""

from math import ceil, floor


def percent_down(value: float) -> str:
    """A charge one has, never shown better than it is."""
    return f"{floor(value + 1e-9)} %"


def percent_up(value: float) -> str:
    """A charge one needs, never shown easier than it is."""
    return f"{ceil(value - 1e-9)} %"


def minutes_down(value: float) -> str:
    """Minutes one has."""
    return f"{floor(value + 1e-9)} min"


def minutes_up(value: float) -> str:
    """Minutes one needs."""
    return f"{ceil(value - 1e-9)} min"


def plural(count: int, thing: str) -> str:
    """A count with its noun."""
    return f"{count} {thing}{'' if count == 1 else 's'}"
