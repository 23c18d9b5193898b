"""Which records behind an issued paper were changed, entered or struck out since, as their histories say."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final, NamedTuple

from logbook.measures import Measures
from logbook.reports.paper_line import PaperLine
from logbook.services.kinds import KINDS
from logbook.services.paper_rests import Rest
from logbook.services.questions import show
from logbook.services.versions import Change, changes_of
from logbook.store.behind_papers import changed_since
from logbook.store.database import Book
from logbook.store.records import versions
from logbook.units import shown_instant

MOST: Final = 20
"""So many are named; the newest changes of a long list are no help."""
_KIND_OF: Final = {kind.table: kind.name for kind in KINDS.values()}


class ChangedRecord(NamedTuple):
    """One record: what was changed in it since the paper was issued, newest first.

    Where nothing was, it was entered in the minute of issue or later; when, is in `entered`.
    """

    kind: str
    record_id: str
    changes: tuple[Change, ...]
    entered: str

    def words(self, measures: Measures) -> str:
        """The record, when, by whom, and what differed."""
        name = f"{self.kind} {self.record_id}"
        if not self.changes:
            return f"{name}: entered {shown_instant(self.entered)}"
        told = (
            f"{change.when}{f' by {change.who}' if change.who else ''}: {change.words(self.kind, measures)}"
            for change in self.changes
        )
        return f"{name}: {'; '.join(told)}"

    def as_data(self) -> dict[str, Any]:
        """The same for JSON."""
        changes = [
            {
                "at": change.at,
                "by": change.who,
                "why": change.why,
                "fields": [{"field": d.field, "was": d.was, "became": d.became} for d in change.differences],
            }
            for change in self.changes
        ]
        return {"kind": self.kind, "id": self.record_id, "entered": self.entered, "changes": changes}


def changed_records(
    book: Book, line: PaperLine, rests: Sequence[Rest], kinds: Collection[str]
) -> list[ChangedRecord]:
    """Records of some kinds that were behind a paper when it was issued, or are now, and were changed since.

    Args:
        book: the open book.
        line: of the paper.
        rests: what it rests on now.
        kinds: the kinds (many) that differ.
    """
    now = {(rest.kind, rest.record_id) for rest in rests}
    names = {name for kind, name in now if kind in ("pack", "aircraft")} | {line.which}
    found = []
    for table, record_id in sorted(changed_since(book, line.issued)):
        kind = _KIND_OF[table]
        name = _name_of(book, kind, record_id)
        if KINDS[kind].plural not in kinds:
            continue
        if (kind, name) in now or _was_behind(book, record_id, line, names):
            found.append(_changed(book, kind, name, line.issued))
        if len(found) == MOST:
            break
    return found


def _name_of(book: Book, kind: str, record_id: str) -> str:
    """What the record goes by behind a paper: packs, types and aeroplanes by their names, others by their ids."""
    named = {"pack": "serial_no", "pack-type": "part_no", "aircraft": "registration"}.get(kind)
    return record_id if named is None else str(show(book, kind, record_id)[named])


def _was_behind(book: Book, record_id: str, line: PaperLine, names: Collection[str]) -> bool:
    """Whether an earlier state that held when the paper was issued names what it is of: it was struck out or moved since."""
    then = next(
        (one["was"] for one in versions(book, record_id) if one["was"] and (one["at"] or "") >= line.issued),
        None,
    )
    return then is not None and not then.get("struck") and _names(then, names)


def _names(state: Mapping[str, Any], names: Collection[str]) -> bool:
    return bool({state.get("serial_no"), state.get("aircraft")} & set(names))


def _changed(book: Book, kind: str, record_id: str, since: str) -> ChangedRecord:
    shown = show(book, kind, record_id)
    changes = [one for one in changes_of(shown) if (one.at or since) >= since]
    row = shown["packs"][0] if kind == "charge" else shown
    return ChangedRecord(kind, record_id, tuple(changes), row["entered_at"] or "")
