"""How a foreign CSV file is to be read: a mapping file (TOML) with fixed functions only, nothing guessed.

See `docs/exchange.md` for the words of a mapping and an example.
"""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from logbook.exchange.conversions import FROM_UNITS, IN_FORMS
from logbook.exchange.mapping_words import (
    ENCODINGS,
    known_zone,
    one_of,
    only,
    read_toml,
    separator_of,
    table_of,
    whole_of,
    wrong,
)

ORDERS: Final = {"day month year": "dmy", "month day year": "mdy", "year month day": "ymd"}
TWICE: Final = ("earlier", "later", "refuse")
_TOP: Final = frozenset({"kind", "file", "dates", "columns", "readings", "packs"})
_FILE: Final = frozenset({"separator", "encoding", "decimal", "thousands", "skip_lines"})
_DATES: Final = frozenset({"order", "zone", "twice", "century"})
_CELL: Final = frozenset(
    {"column", "columns", "value", "as", "in", "from", "date", "after", "words", "fitted", "with"}
)
AS: Final = ("text", "number", "date", "time", "instant", "duration")

Words = MappingProxyType[str, str]


class Cell(NamedTuple):
    """Where one field comes from.

    Attributes:
        columns: the columns of the file; several are joined by `joint`.
        value: a constant instead.
        fitted: the pack that was fitted in this position at off blocks (or at the start of the charge).
        how: one of `AS`, or empty: by the kind of the field.
        form: how a duration is written: one of `IN_FORMS`.
        unit: the unit the file uses: one of `FROM_UNITS`.
        date: the column with the day of a time of day.
        after: the field from which a duration counts, or after which a time of day comes.
        words: the file's words and ours; a word that is not listed is refused.
        joint: what stands between joined columns.
    """

    columns: tuple[str, ...] = ()
    value: Any = None
    fitted: str = ""
    how: str = ""
    form: str = ""
    unit: str = ""
    date: str = ""
    after: str = ""
    words: Words = MappingProxyType({})
    joint: str = " "


class Mapping(NamedTuple):
    """A mapping file, read and checked.

    Attributes:
        kind: the kind of record each row is.
        separator: between cells.
        encoding: of the file.
        decimal: `.` or `,`.
        thousands: a mark between thousands, or empty.
        skip_lines: so many lines before the header are passed over.
        order: of day, month and year, e.g. `dmy`; empty: not stated.
        zone: name of the time zone of its times; empty: not stated.
        twice: what a local time means that occurs twice: earlier, later or refuse.
        century: added to years of two digits; 0: such years are refused.
        columns: field to cell.
        groups: one reading of a flight, or one pack of a charge, each: field to cell.
    """

    kind: str
    separator: str
    encoding: str
    decimal: str
    thousands: str
    skip_lines: int
    order: str
    zone: str
    twice: str
    century: int
    columns: dict[str, Cell]
    groups: tuple[dict[str, Cell], ...]

    def sources(self) -> set[str]:
        """Every column of the file that is looked at."""
        found: set[str] = set()
        for cells in (self.columns, *self.groups):
            for cell in cells.values():
                found.update(cell.columns)
                found.update([cell.date] if cell.date else [])
        return found


def read_mapping(path: Path) -> Mapping:
    """Reads a mapping file.

    Raises:
        UsageError: it says something that no mapping can say; with the word that is wrong.
        FileTrouble: it cannot be read.
    """
    return mapping_of(read_toml(path))


def mapping_of(told: dict[str, Any]) -> Mapping:
    """A mapping from its parsed form.

    Raises:
        UsageError: as `read_mapping`.
    """
    only(told, _TOP, "the mapping")
    kind = str(told.get("kind", "flight"))
    file, dates = table_of(told, "file"), table_of(told, "dates")
    only(file, _FILE, "[file]")
    only(dates, _DATES, "[dates]")
    groups = table_of(told, "packs" if kind == "charge" else "readings")
    other = "readings" if kind == "charge" else "packs"
    if other in told or (groups and kind not in ("flight", "charge")):
        raise wrong(
            f"a mapping of kind '{kind}' has no [{other}]" if other in told else f"'{kind}' has no groups"
        )
    mapping = Mapping(
        kind=kind,
        separator=separator_of(file),
        encoding=one_of(str(file.get("encoding", "utf-8")).lower(), ENCODINGS, "encoding"),
        decimal=one_of(file.get("decimal", "."), (".", ","), "decimal"),
        thousands=one_of(file.get("thousands", ""), ("", ".", ",", " ", "'"), "thousands"),
        skip_lines=whole_of(file, "skip_lines", 1000),
        order=ORDERS[one_of(dates["order"], tuple(ORDERS), "order")] if "order" in dates else "",
        zone=str(dates.get("zone", "")),
        twice=one_of(dates.get("twice", "refuse"), TWICE, "twice"),
        century=whole_of(dates, "century", 9900),
        columns={name: _cell(name, cell) for name, cell in table_of(told, "columns").items()},
        groups=tuple(
            {name: _cell(name, cell) for name, cell in table_of(groups, group).items()} for group in groups
        ),
    )
    _refuse_half_told(mapping)
    return mapping


def _refuse_half_told(mapping: Mapping) -> None:
    if mapping.decimal == mapping.thousands:
        raise wrong("'decimal' and 'thousands' are the same sign")
    if not mapping.columns:
        raise wrong("[columns] names no field")
    cells = [cell for table in (mapping.columns, *mapping.groups) for cell in table.values()]
    if any(cell.how in ("time", "instant") for cell in cells):
        if not mapping.zone:
            raise wrong('times of day need [dates] zone, such as "UTC" or "Europe/Rome"')
        known_zone(mapping.zone)
    if any(cell.how in ("date", "instant") or cell.date for cell in cells) and not mapping.order:
        raise wrong('dates need [dates] order, such as "day month year"')


def _cell(name: str, told: Any) -> Cell:
    """`"Column"`, or a table that says more."""
    if isinstance(told, str):
        return Cell(columns=(told,))
    if not isinstance(told, dict):
        raise wrong(f"'{name}' is neither the name of a column nor a table")
    only(told, _CELL, f"'{name}'")
    columns = told.get("columns", [told["column"]] if "column" in told else [])
    words = told.get("words", {})
    if not isinstance(columns, list) or not all(isinstance(column, str) for column in columns):
        raise wrong(f"'{name}' has no list of columns")
    if not isinstance(words, dict) or not all(isinstance(word, str) for word in words.values()):
        raise wrong(f"the words of '{name}' are no table of texts")
    if (
        len([one for one in (columns, told.get("value"), told.get("fitted")) if one]) != 1
        and told.get("value") != 0
    ):
        raise wrong(f"'{name}' needs exactly one of column, columns, value and fitted")
    cell = Cell(
        columns=tuple(columns),
        value=told.get("value"),
        fitted=str(told.get("fitted", "")),
        how=one_of(told.get("as", ""), ("", *AS), "as"),
        form=one_of(told.get("in", ""), ("", *IN_FORMS), "in"),
        unit=one_of(told.get("from", ""), ("", *FROM_UNITS), "from"),
        date=str(told.get("date", "")),
        after=str(told.get("after", "")),
        words=MappingProxyType({str(key): value for key, value in words.items()}),
        joint=str(told.get("with", " ")),
    )
    if cell.how == "time" and not cell.date:
        raise wrong(f"'{name}' is a time of day and needs 'date', the column with its day")
    if cell.how == "duration" and not cell.form:
        raise wrong(f"'{name}' is a duration and needs 'in': {', '.join(IN_FORMS)}")
    return cell
