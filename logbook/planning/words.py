"""Numbers as sentences of a plan show them: whole percent, whole minutes, pessimistic rounding where it matters."""

from math import ceil, floor

WHOLE_AEROPLANE = "whole aeroplane"


def pack_name(serial_no: str) -> str:
    """A pack inside a sentence; without a serial number, all packs behind the one gauge of the aeroplane."""
    return f"pack {serial_no}" if serial_no else f"the {WHOLE_AEROPLANE}"


def pack_starts(serial_no: str) -> str:
    """The same at the beginning of a sentence."""
    name = pack_name(serial_no)
    return name[0].upper() + name[1:]


def percent_down(value: float) -> str:
    """A charge one has, never shown better than it is."""
    return f"{floor(value + 1e-9)} %"


def percent_middle(value: float, below: float) -> str:
    """The middle of a forecast, rounded as the tables beside it round it.

    Args:
        value: the charge [%].
        below: what it is less than [%]; it is shown by tenths where rounding would hide that.
    """
    if round(value) < below:
        return f"{value:.0f} %"
    return f"{floor(value * 10 + 1e-9) / 10:.1f} %"


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
