"""The kinds of value a record can hold: each with its unit, its decimals and what it refuses.

Numbers are rounded once, here, to the decimals that are stored; history, exports and signatures then agree to
the byte. A value nobody could have read (text for a number, not-a-number, a charge above 100 %) is refused;
a value that is merely improbable is stored and flagged by a rule.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import AfterValidator, BeforeValidator, Field

from logbook.units import canonical_date, canonical_instant

MOST: Final = 1e9
"""No reading in any unit used here is larger; refusing more keeps arithmetic finite."""
TENTHS: Final = 10
"""Numbers in a list of energy by tenths of charge."""


def _rounded(decimals: int) -> AfterValidator:
    return AfterValidator(lambda value: round(value, decimals) + 0.0)


def _whole(value: object) -> object:
    """Takes 3.0 for 3, as JSON writers often print whole numbers so."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _storable(text: str) -> str:
    try:
        text.encode()
    except UnicodeEncodeError:
        raise ValueError(
            "the text holds half of a character (a lone surrogate) and cannot be stored"
        ) from None
    return text


def _named(text: str) -> str:
    if not text.strip():
        raise ValueError("a name cannot be blank")
    return text


LEAST_OF_MEAN: Final = 0.5
MOST_OF_MEAN: Final = 1.5
"""How far a tenth may lie from the mean of all ten; beyond that no battery is meant."""


def ten_tenths(values: list[float]) -> list[float]:
    """Energy by tenths of charge, as it was given: ten numbers of which none is far from their mean.

    Raises:
        ValueError: there are not ten, or one lies far off; says which.
    """
    if len(values) != TENTHS:
        raise ValueError(f"ten numbers are needed, from 100-90 % down to 10-0 %, and there are {len(values)}")
    mean = sum(values) / TENTHS
    for number, value in enumerate(values):
        if mean <= 0 or not LEAST_OF_MEAN * mean <= value <= MOST_OF_MEAN * mean:
            tenth = f"{100 - 10 * number}-{90 - 10 * number} %"
            raise ValueError(
                f"{value:g} for {tenth} is not within {LEAST_OF_MEAN:g} to {MOST_OF_MEAN:g} of the mean of all ten ({mean:g})"
            )
    return values


def above_nought(value: float | None) -> float | None:
    """What there must be some of, such as the capacity of a pack. Raises ValueError for nought and less."""
    if value is not None and value <= 0:
        raise ValueError(f"{value:g} cannot be: it must be above 0")
    return value


def not_below_nought(value: float | None) -> float | None:
    """What flying costs: nought drops the term. Raises ValueError for less."""
    if value is not None and value < 0:
        raise ValueError(f"{value:g} cannot be: it must not be below 0; 0 says that there is no such cost")
    return value


Number = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(3)]
Percent = Annotated[float, Field(ge=0, le=100), _rounded(2)]
Health = Annotated[float, Field(ge=0, le=200), _rounded(2)]
Fraction = Annotated[float, Field(ge=0, le=2), _rounded(4)]
Kwh = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(4)]
Kw = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(3)]
Rate = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(6)]
Tenths = Annotated[list[Annotated[float, Field(gt=0, le=MOST), _rounded(6)]], AfterValidator(ten_tenths)]
Celsius = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(2)]
Minutes = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(2)]
Hours = Annotated[float, Field(ge=-MOST, le=MOST), _rounded(3)]
Degrees = Annotated[float, Field(ge=-360, le=360), _rounded(6)]
Count = Annotated[int, BeforeValidator(_whole), Field(ge=0, le=10**9)]
Yes = Annotated[int, BeforeValidator(_whole), Field(ge=0, le=1)]
Instant = Annotated[str, AfterValidator(canonical_instant)]
Date = Annotated[str, AfterValidator(canonical_date)]
Text = Annotated[str, Field(max_length=100_000), AfterValidator(_storable)]
Name = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_named), AfterValidator(_storable)]
