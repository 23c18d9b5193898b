"""Merging another book into this one: what is new enters, what continues is continued, what differs is decided by people."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from logbook.domain.record import read_record
from logbook.errors import DataRefused, UsageError
from logbook.services.add import comparable
from logbook.services.correct import write_changes
from logbook.services.import_book import undone_if
from logbook.services.import_histories import refuse_odd_state
from logbook.services.import_report import Progress
from logbook.services.intake import Intake
from logbook.services.kinds import KINDS, Kind
from logbook.services.merge_match import Match, Matcher
from logbook.services.merge_report import Decisions, Difference, MergeReport
from logbook.services.refresh import refresh
from logbook.store.backup import back_up
from logbook.store.catalogue import PARTS, TABLES
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.loading import Histories, attempt
from logbook.store.merging import OtherBook, histories, histories_aside, history_of, other_book, set_adding
from logbook.store.records import Records, Version

Row = dict[str, Any]
_AT_ONCE: Final = 500
_TELL_EVERY: Final = 200
_LISTS: Final = {
    "reading": ("readings", "serial_no"),
    "crew": ("crew", "person"),
    "phase": ("phases", "sequence"),
}
WHY: Final = "taken from another book in a merge"


def merge_book(
    book: Book,
    path: Path,
    *,
    take: str | Decisions | None = None,
    dry_run: bool = False,
    by: str | None = None,
    progress: Progress | None = None,
) -> MergeReport:
    """Merges the book at a path into this one, in one transaction.

    Where the two differ and neither only continues the other, nothing is written at all until it is said whose word
    counts. A record taken from the other leaves this book's state as an earlier one.

    Args:
        book: the open book, which is changed.
        path: the other book, which is not.
        take: `ours` or `theirs` for all that differs, or one of the two for each difference by its `key`; absent, or one
            without a decision: differences are only listed.
        dry_run: says what would happen and changes nothing.
        by: who merges.
        progress: told now and then how far it is; an exception it raises ends the merge, and nothing was changed.

    Raises:
        UsageError: `take` is neither, or both books are one file.
        NoBook: there is no other book.
        DataRefused: the other holds what cannot be, or two people would run together.
        FileTrouble: the other is no logbook of this version, or a file cannot be used.
    """
    words = take.values() if isinstance(take, Mapping) else () if take is None else (take,)
    for word in words:
        if word not in ("ours", "theirs"):
            raise UsageError(
                f"Whose word counts? '{word}' is neither.", next_step="Say --take ours or --take theirs."
            )
    if path.exists() and path.samefile(book.path):
        raise UsageError("A book cannot be merged into itself.", next_step="Name another book.")
    with other_book(path) as other:
        merge = _Merge(book, other, take, progress)
        trial = _Merge(book, other, take, progress)
        with undone_if(trial=True, book=book, by=by):
            trial.everything(trial=True)
        report = trial.report
        if dry_run or not trial.changes or not all(difference.decided for difference in report.differences):
            return report
        merge.report.backup = back_up(book.path, reason="before-merge")
        with book.writing(by=by, why=WHY, adding=True):
            merge.everything(trial=False)
        merge.report.written = True
        return merge.report


class _Merge:
    """One run over the other book, inside one transaction."""

    def __init__(
        self, book: Book, other: OtherBook, take: str | Decisions | None, progress: Progress | None
    ) -> None:
        self.report = MergeReport()
        self.changes = 0
        self._book = book
        self._other = other
        self._take = take
        self._progress = progress
        self._done = 0

    def everything(self, *, trial: bool) -> None:
        """All records of the other book, each kind after what it refers to; then what is derived, unless on trial."""
        self._intake = Intake(self._book)
        self._history = Histories(self._book)
        self._theirs = histories(self._other)
        self._matcher = Matcher(self._book, self._other)
        self.report.people = self._matcher.people
        for kind in KINDS.values():
            for theirs in self._records(kind):
                self._tell(kind)
                self._one(kind, theirs)
        self._other.refuse_changed()
        if not trial:
            refresh(self._book)

    def _tell(self, kind: Kind) -> None:
        if self._progress is not None and self._done % _TELL_EVERY == 0:
            self._progress(self._done, kind.name)
        self._done += 1

    def _word(self, difference: Difference) -> str:
        """Whose word counts for a difference; empty where nobody has said."""
        if isinstance(self._take, Mapping):
            return self._take.get(difference.key, "")
        return self._take or ""

    def _records(self, kind: Kind) -> Iterator[Row]:
        """The other's records, each checked as if it were entered now."""
        table = TABLES[kind.table]
        rows: Iterator[Row]
        if kind.name == "flight":
            numbers = Flights(self._other).in_time()
            rows = (
                row
                for start in range(0, len(numbers), _AT_ONCE)
                for row in Flights(self._other).read(numbers[start : start + _AT_ONCE])
            )
        else:
            rows = (row for _, row in Records(self._other, kind.table).select(order=table.sort))
        for row in rows:
            try:
                yield self._matcher.renamed(read_record(kind.load(), row).columns())
            except DataRefused as error:
                raise DataRefused(
                    f"A record of the other book ({kind.name}) cannot be: {error.problem}",
                    next_step="Correct it there first.",
                    field=error.field,
                ) from None

    def _one(self, kind: Kind, theirs: Row) -> None:
        counts = self.report.count(kind.name)
        match = self._matcher.match(kind, theirs)
        if match is None:
            self._new(kind, theirs)
            return
        file_id = TABLES[kind.table].file_id
        old, new = comparable(match.ours), comparable(theirs)
        fields = [
            (name, old.get(name), value)
            for name, value in new.items()
            if name != file_id and old.get(name) != value
        ]
        ours = _of_row(kind, old, history_of(self._book, kind.table, str(match.ours[file_id])))
        others = _of_row(kind, old, self._theirs.get((kind.table, str(theirs[file_id])), []))
        more = self._continuation(kind, match, ours, others)
        if more:
            self._continue(kind, match, theirs, more)
            counts.continued += 1
        elif not fields:
            counts.same += 1
        elif self._is_ahead(ours, others):
            counts.ahead += 1
        else:
            counts.different += 1
            self._decide(kind, match, theirs, fields)

    def _new(self, kind: Kind, theirs: Row) -> None:
        file_id = TABLES[kind.table].file_id
        set_adding(self._book, adding=True)
        try:
            with attempt(self._book):
                self._intake.put(kind, read_record(kind.load(), theirs), {})
        except DataRefused as error:
            self.report.count(kind.name).different += 1
            words = f"It cannot enter: {error.problem}"
            found = Difference(kind.name, "", str(theirs[file_id]), (), words, part=_part(kind, theirs))
            decided = self._word(found)
            self.report.differences.append(found._replace(decided=decided))
            if decided == "theirs":
                raise DataRefused(
                    f"The other's {kind.name} '{theirs[file_id]}' cannot enter: {error.problem}",
                    next_step=error.next_step,
                    field=error.field,
                ) from None
            return
        self.report.count(kind.name).new += 1
        self.changes += 1
        for version in self._theirs.pop((kind.table, str(theirs[file_id])), []):
            self._insert(version, str(theirs[file_id]))

    def _continuation(
        self, kind: Kind, match: Match, ours: Sequence[Version], theirs: Sequence[Version]
    ) -> list[Version] | None:
        """What the other did to the record since it was as it is here; None where it did something else."""
        if len(theirs) <= len(ours) or any(_told(a) != _told(b) for a, b in zip(ours, theirs, strict=False)):
            return None
        more, seen = list(theirs[len(ours) :]), set()
        for version in more:
            part, state = version["record"], version["was"]
            row = match.ours if part == kind.table else _part_of(match.ours, part, state)
            key = (part, None if row is None or part == kind.table else row[_LISTS[part][1]])
            if key in seen:
                continue
            seen.add(key)
            if state is not None and (
                row is None
                or any(
                    row.get(name) != state.get(name)
                    for name in row
                    if name not in ("readings", "crew", "phases")
                )
            ):
                return None
        return more

    def _is_ahead(self, ours: Sequence[Version], theirs: Sequence[Version]) -> bool:
        """Whether this book only continues what the other says."""
        return len(ours) > len(theirs) and all(
            _told(a) == _told(b) for a, b in zip(ours, theirs, strict=False)
        )

    def _continue(self, kind: Kind, match: Match, theirs: Row, more: Sequence[Version]) -> None:
        tables = ("flight", *PARTS) if kind.name == "flight" else (kind.table,)
        file_id = TABLES[kind.table].file_id
        record_id = str(match.ours[file_id])
        with histories_aside(self._book, tables):
            self._write(kind, match, theirs)
        for version in more:
            self._insert(version, record_id)
        self.changes += 1

    def _decide(self, kind: Kind, match: Match, theirs: Row, fields: Sequence[tuple[str, Any, Any]]) -> None:
        file_id = TABLES[kind.table].file_id
        difference = Difference(
            kind.name,
            str(match.ours[file_id]),
            str(theirs[file_id]),
            tuple(fields),
            match.words,
            part=_part(kind, theirs),
        )
        decided = self._word(difference)
        self.report.differences.append(difference._replace(decided=decided))
        if decided == "theirs":
            set_adding(self._book, adding=False)
            self._write(kind, match, theirs)
            self.changes += 1

    def _write(self, kind: Kind, match: Match, theirs: Row) -> None:
        file_id = TABLES[kind.table].file_id
        after = theirs | {file_id: match.ours[file_id]}
        if kind.name == "charge":
            old, new = comparable(match.ours), comparable(after)
            Records(self._book, "charge").update(
                match.n, {name: value for name, value in new.items() if old.get(name) != value}
            )
        else:
            write_changes(self._book, kind, str(match.ours[file_id]), match.ours, after)

    def _insert(self, version: Version, record_id: str) -> None:
        state = version["was"]
        if state is not None:
            refuse_odd_state(version["record"], state)
        was = None if state is None else self._matcher.renamed(state)
        self._history.insert(Version(version | {"seq": None, "record_id": record_id, "was": was}))


def _part(kind: Kind, row: Row) -> str:
    """The pack a row of a charge is of: the packs of one session share its id."""
    return str(row["serial_no"] or "") if kind.name == "charge" else ""


def _of_row(kind: Kind, row: Row, versions: Sequence[Version]) -> list[Version]:
    """The earlier states of one row: the packs of a charge are filed under one id."""
    if kind.name != "charge":
        return list(versions)
    return [version for version in versions if (version["was"] or {}).get("serial_no") == row["serial_no"]]


def _part_of(flight: Row, part: str, state: Row | None) -> Row | None:
    """The row of a flight that an earlier state of a part is of."""
    if state is None:
        return None
    name, key = _LISTS[part]
    return next((row for row in flight[name] if row[key] == state.get(key)), None)


def _told(version: Version) -> tuple[Any, ...]:
    """What makes two earlier states the same, whatever their numbers."""
    was = version["was"]
    plain = None if was is None else {name: value for name, value in was.items() if value is not None}
    return version["record"], plain, version["at"], version["by_whom"], version["why"]
