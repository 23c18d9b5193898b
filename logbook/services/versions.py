"""Earlier versions of a record as changes in words: when, by whom, why, and what differed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from logbook.measures import USUAL, Measures, quantity_of
from logbook.services.form_words import FORM_WORDS
from logbook.services.record_form import as_typed

Row = dict[str, Any]
_OWNERS = {"reading": ("readings", "serial_no"), "crew": ("crew", "person"), "charge": ("packs", "serial_no")}
_SILENT = ("entered_by", "entered_at")


class Difference(NamedTuple):
    """One field of one change, named as a correction names it: `remarks`, or `SERIAL.soh_pct` in a part of the record."""

    field: str
    was: Any
    became: Any


class Change(NamedTuple):
    """One change of a record.

    Attributes:
        at: when (UTC, stored form); None where another program changed it.
        who: by whom, or empty.
        why: the reason, or empty.
        differences: every field that differed.
        added: `reading` or `crew` where such a part was added.
    """

    at: str | None
    who: str
    why: str
    differences: tuple[Difference, ...]
    added: tuple[str, ...] = ()

    @property
    def when(self) -> str:
        """The moment as people write it."""
        return f"{self.at[:10]} {self.at[11:16]} UTC" if self.at else "unknown"

    def words(self, kind: str, measures: Measures = USUAL) -> str:
        """What differed, and why it was changed."""
        parts = [_difference_words(kind, difference, measures) for difference in self.differences]
        parts += [f"{record} added" for record in self.added]
        reason = f" ({self.why})" if self.why else ""
        return "; ".join(parts or ["nothing that is shown"]) + reason


def changes_of(shown: Mapping[str, Any]) -> list[Change]:
    """The changes of a record as `questions.show` gives it, newest first.

    A version holds a row as it was before a change; what it became is the next version of that row, or the row as it is now.
    Rows changed together, as a flight and its readings, are one change.
    """
    versions = list(shown["versions"])
    later: dict[tuple[str, str], Row] = {}
    single: list[tuple[Mapping[str, Any], tuple[str, str], Change]] = []
    for version in reversed(versions):
        identity = _identity(version)
        became = later.get(identity) or _now(shown, identity)
        single.append((version, identity, _change(version, identity, became)))
        if version["was"] is not None:
            later[identity] = version["was"]
    return _joined(single)


def _identity(version: Mapping[str, Any]) -> tuple[str, str]:
    """Which row of the record a version is of."""
    if version["record"] not in _OWNERS or version["was"] is None:
        return version["record"], ""
    return version["record"], str(version["was"].get(_OWNERS[version["record"]][1]) or "")


def _now(shown: Mapping[str, Any], identity: tuple[str, str]) -> Row:
    record, owner = identity
    if record not in _OWNERS:
        return dict(shown)
    part, key = _OWNERS[record]
    rows = shown.get(part) or (shown,)
    return dict(next((row for row in rows if str(row.get(key) or "") == owner), {}))


def _change(version: Mapping[str, Any], identity: tuple[str, str], became: Row) -> Change:
    was = version["was"]
    prefix = f"{identity[1]}." if identity[0] in _OWNERS else ""
    differences = tuple(
        Difference(prefix + name, value, became.get(name))
        for name, value in (was or {}).items()
        if name not in _SILENT and became.get(name) != value
    )
    added = (version["record"],) if was is None else ()
    return Change(version["at"], version["by_whom"] or "", version["why"] or "", differences, added)


def _joined(single: Sequence[tuple[Mapping[str, Any], tuple[str, str], Change]]) -> list[Change]:
    """Neighbours with the same moment, person and reason are one change, until a row comes a second time."""
    found: list[Change] = []
    rows: set[tuple[str, str]] = set()
    for _, identity, change in single:
        last = found[-1] if found else None
        if last and last[:3] == change[:3] and identity not in rows:
            found[-1] = last._replace(
                differences=(*change.differences, *last.differences), added=(*change.added, *last.added)
            )
        else:
            found.append(change)
            rows = set()
        rows.add(identity)
    return found


def _difference_words(kind: str, difference: Difference, measures: Measures) -> str:
    owner, point, column = difference.field.rpartition(".")
    if column == "struck":
        return "struck out" if difference.became else "restored"
    whose = f"{owner or 'aeroplane'} " if point else ""
    was, became = (_said(column, value, measures) for value in (difference.was, difference.became))
    return f"{whose}{label_of(kind, column)} was {was}, became {became}"


def _said(column: str, value: Any, measures: Measures) -> str:
    quantity = quantity_of(column)
    if quantity and isinstance(value, (int, float)):
        return measures.say(value, quantity)
    return as_typed(value) or "unknown"


def label_of(kind: str, column: str) -> str:
    """What a field is called, without its capital where it stands in a sentence."""
    from logbook.services.flight_words import FLIGHT_LABELS

    if kind == "flight":
        return FLIGHT_LABELS.get(column, column)
    for part in FORM_WORDS.get(kind, ()):
        for words in part.fields:
            if words.name == column:
                return words.label.lower()
    return column
