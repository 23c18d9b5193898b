"""The units the owner of a book likes: kept in its settings, and put upon the fields of forms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final, TypeVar

from logbook.errors import DataRefused
from logbook.measures import CHOICES, TIME, USUAL, Measures, changed, quantity_of
from logbook.store.database import Book
from logbook.store.settings import Settings
from logbook.units import parse_number

SETTING: Final = "units"
DRAFT_KEY: Final = "@units"
"""Under which a draft keeps the units it was typed in."""
_AnyField = TypeVar("_AnyField")
_CHOSEN: Final = ("kg", "°C", "NM", TIME)


def measures_of(book: Book) -> Measures:
    """The units of a book; the usual ones where none were chosen."""
    return Measures.of(Settings(book).value(SETTING))


def keep_measures(book: Book, changes: Mapping[str, str]) -> Measures:
    """Chooses units; nothing that is recorded changes.

    Raises:
        DataRefused: there is no such choice.
    """
    wanted = wanted_measures(book, changes)
    with book.writing():
        Settings(book).set(SETTING, wanted._asdict())
    return wanted


def wanted_measures(book: Book, changes: Mapping[str, str]) -> Measures:
    """The units of a book after a change that is not kept yet.

    Args:
        book: the open book.
        changes: any of `CHOICES` and the unit it is to have.

    Raises:
        DataRefused: there is no such choice.
    """
    try:
        return changed(measures_of(book), changes)
    except ValueError as error:
        listed = "; ".join(f"{name} {', '.join(units)}" for name, units in CHOICES.items())
        raise DataRefused(f"{error}.", next_step=f"There are: {listed}.") from None


def column_of(name: str) -> str:
    """The column a field of a form stands for: `P-1.temp_max_c` is `temp_max_c` of one pack."""
    return name.rpartition(".")[2]


def presented(fields: Iterable[_AnyField], measures: Measures, *, exact: bool = True) -> list[_AnyField]:
    """Fields with the chosen unit beside them, and what is expected as it would be typed in it.

    Args:
        fields: of a form.
        measures: the chosen units.
        exact: what is expected is what stands in a record, and must be read back as the very same figure; otherwise
            it is what another day lets one expect, to as many digits as somebody could have typed.
    """
    return [_presented(field, measures, exact=exact) for field in fields]


def _presented(field: Any, measures: Measures, *, exact: bool) -> Any:
    quantity = quantity_of(column_of(field.name))
    if not quantity:
        return field
    expected = field.expected
    if expected:
        value = parse_number(expected)
        expected = measures.typed(value, quantity)
        if not exact and quantity != TIME:
            expected = min(expected, measures.figure(value, quantity), key=len)
    return field._replace(unit=measures.unit(quantity), expected=expected)


def typed_in(text: str, name: str, measures: Measures) -> str:
    """A stored figure as it would be typed into a field; any other text as it is."""
    quantity = quantity_of(column_of(name))
    return measures.typed(parse_number(text), quantity) if quantity and text else text


def kept_units(measures: Measures) -> str:
    """The units as a draft keeps them."""
    return " ".join(measures)


def requoted(values: Mapping[str, tuple[str, str]], measures: Measures) -> dict[str, tuple[str, str]]:
    """What a draft holds, for units chosen since: figures typed without a unit get the one that held then."""
    kept = values.get(DRAFT_KEY, (kept_units(USUAL), ""))[0].split()
    then = Measures.of(dict(zip(CHOICES, kept, strict=False)))
    found = {name: value for name, value in values.items() if name != DRAFT_KEY}
    if then == measures:
        return found
    for name, (text, source) in found.items():
        quantity = quantity_of(column_of(name))
        if quantity in _CHOSEN and then.unit(quantity) != measures.unit(quantity):
            found[name] = (
                _with_unit(text, "min" if then.unit(quantity) == "h:mm" else then.unit(quantity)),
                source,
            )
    return found


def _with_unit(text: str, unit: str) -> str:
    """A bare figure with its unit; whatever names one already stays."""
    try:
        parse_number(text)
    except ValueError:
        return text
    return f"{text.strip()} {unit}"
