"""Taking in a data package: the whole of it or nothing, unless the rest is wanted without what is refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from functools import partial as partial_of
from pathlib import Path
from typing import Final

from logbook.domain.record import read_record
from logbook.errors import DataRefused, OtherContent
from logbook.exchange.layout import LAYOUTS, PART_FILES
from logbook.exchange.package_in import Package, open_package
from logbook.exchange.parts_in import PartRows
from logbook.exchange.refused_out import RefusedFiles
from logbook.exchange.rows_in import Sheet
from logbook.reports.guard import bared
from logbook.services import backups
from logbook.services.add import now
from logbook.services.import_histories import take_histories
from logbook.services.import_report import ImportReport, Progress, RefusedRow, RowFate
from logbook.services.intake import Intake
from logbook.services.kinds import KINDS, Kind
from logbook.services.refresh import refresh
from logbook.services.unknown_state import unknown_states
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.loading import Histories, triggers_aside
from logbook.store.records import Records, Row
from logbook.store.settings import Settings

_MANY_BYTES: Final = 400_000
"""From this size of the flights and charges on [bytes], new rows go in with their triggers set aside."""

_TELL_EVERY: Final = 1000


def import_package(
    book: Book,
    path: Path,
    *,
    dry_run: bool = False,
    partial: bool = False,
    refused: Path | None = None,
    by: str | None = None,
    progress: Progress | None = None,
    each_row: bool = False,
) -> ImportReport:
    """Takes in a folder, a zip file or one CSV file of a known name.

    Args:
        book: the open book.
        path: the package.
        dry_run: says what would happen to each row and changes nothing.
        partial: takes in what can be taken in and writes the rest to a folder.
        refused: that folder; absent: named after the book.
        by: who imports, for rows that do not say who entered them.
        progress: told now and then how far it is; an exception it raises ends the import, and nothing has entered.
        each_row: of a trial, the fate of every row is wanted (`fates` of the report), not only of refused ones.

    Raises:
        NoBook: there is nothing at that path.
        DataRefused: it is no package, or, unless partial, one of its rows cannot enter; nothing was written then.
        UsageError: the folder for refused rows holds some already.
        FileTrouble: the book cannot be written.
    """
    with open_package(path) as package:
        if not package.files:
            raise DataRefused(
                f"{path.name} holds no file of a name that is known, such as flights.csv.",
                next_step="See docs/interface.md for the names; small letters count.",
            )
        files = RefusedFiles(refused or free_folder(book.path)) if partial and not dry_run else None
        run = PackageImport(book, package, files, dry_run=dry_run, by=by, progress=progress)
        run.each_row = each_row and dry_run
        if not dry_run:
            opened = [partial_of(package.open, name) for name in package.files]
            run.report.notes += backups.before_import(book.path, holds_something(book), opened)
        try:
            with undone_if(dry_run, book, by):
                run.everything()
                run.report.notes += unknown_states(book) if "pack" in run.report.counts else []
            if files is not None:
                descriptor = json.dumps(package.descriptor, ensure_ascii=True) if package.descriptor else None
                run.report.refused_to = files.finish(descriptor if package.ours else None)
        finally:
            if files is not None:
                files.drop()
    return run.report


def holds_something(book: Book) -> bool:
    """Whether there is anything in a book that a backup could keep."""
    return any(any(Records(book, name).select(limit=1)) for name in ("aircraft", "person", "place", "flight"))


def free_folder(book: Path) -> Path:
    """A folder beside the book for refused rows; earlier ones are left alone."""
    folder = book.with_name(f"{book.name}.refused")
    number = 2
    while folder.exists():
        folder = book.with_name(f"{book.name}.refused-{number}")
        number += 1
    return folder


class _Undo(Exception):
    """Rolls a trial back."""


@contextmanager
def undone_if(trial: bool, book: Book, by: str | None) -> Iterator[None]:
    """One transaction that adds records; a trial is rolled back at its end."""
    try:
        with book.writing(by=by, adding=True):
            yield
            if trial:
                raise _Undo  # noqa: TRY301 - the way out of the transaction
    except _Undo:
        return


class PackageImport:
    """One run over the files of a package, inside one transaction."""

    def __init__(
        self,
        book: Book,
        package: Package,
        files: RefusedFiles | None,
        *,
        dry_run: bool,
        by: str | None,
        progress: Progress | None,
    ) -> None:
        self.book = book
        self.package = package
        self.report = ImportReport(dry_run=dry_run)
        self.each_row = False
        """Whether the report is to hold the fate of every row."""
        self._files = files
        self._going_on = dry_run or files is not None
        self._progress = progress
        self._done = 0
        self._intake = Intake(book)
        self._stamp = {"entered_by": by or Settings(book).value("operator"), "entered_at": now()}

    def everything(self) -> None:
        """All files in the order in which they depend on each other, then what is derived."""
        histories = Histories(self.book)
        histories.note_before()
        size = sum(self.package.files.get(name, 0) for name in ("flights", "charges"))
        many = size > _MANY_BYTES and size / 150 > Derived(self.book).flight_count() / 10
        with triggers_aside(self.book) if many else nullcontext():
            for kind in KINDS.values():
                if kind.name == "flight":
                    self._flights(kind)
                elif kind.file in self.package.files:
                    self._records(kind)
        if "versions" in self.package.files:
            with self._sheet("versions") as sheet:
                take_histories(sheet, histories, self)
        if not self.report.dry_run:
            if many and any(counts.new for counts in self.report.counts.values()):
                Derived(self.book).mark_all()
            refresh(self.book)

    @contextmanager
    def _sheet(self, name: str) -> Iterator[Sheet]:
        with self.package.open(name) as file:
            delimiter = self.package.delimiters.get(name, ",")
            yield Sheet(LAYOUTS[name], file, bare=bared if self.package.ours else None, delimiter=delimiter)

    def _stamp_for(self, sheet: Sheet) -> Row:
        """Who and when, for what the file does not speak of at all."""
        return {name: value for name, value in self._stamp.items() if name not in sheet.header}

    def _records(self, kind: Kind) -> None:
        counts, model = self.report.count(kind.name), kind.load()
        with self._sheet(kind.file) as sheet:
            stamp = self._stamp_for(sheet)
            for row in sheet:
                try:
                    fate = self._intake.put(kind, read_record(model, sheet.values(row)), stamp)
                except DataRefused as error:
                    self.refuse(sheet, row, error)
                else:
                    counts.new += fate == "new"
                    counts.same += fate == "same"
                    self._note(sheet, row, fate)
                self.tell(kind.file)

    def _flights(self, kind: Kind) -> None:
        parts = PartRows()
        for name in PART_FILES.values():
            if name in self.package.files:
                with self._sheet(name) as sheet:
                    self._collect(parts, sheet)
        if "flights" in self.package.files:
            with self._sheet("flights") as sheet:
                self._each_flight(kind, sheet, parts)
        for name, flight_id, line, row in parts.left():
            problem = DataRefused(
                f"There is no flight '{flight_id[:80]}' in flights.csv.",
                next_step="Add the flight, or correct the id.",
                field="flight_id",
            )
            self.refuse(parts.sheets[name], row, problem, line=line)

    def _collect(self, parts: PartRows, sheet: Sheet) -> None:
        try:
            parts.collect(sheet)
        except DataRefused as error:
            raise DataRefused(
                f"{sheet.layout.name}.csv: {error.problem}", next_step=error.next_step, field=error.field
            ) from None

    def _each_flight(self, kind: Kind, sheet: Sheet, parts: PartRows) -> None:
        counts, model, stamp = self.report.count("flight"), kind.load(), self._stamp_for(sheet)
        for row in sheet:
            flight_id = ""
            try:
                values = sheet.values(row)
                flight_id = str(values.get("flight_id", ""))
                values |= parts.values_of(flight_id)
                fate = self._intake.put(kind, read_record(model, values), stamp)
            except DataRefused as error:
                self.refuse(sheet, row, error)
                self._refuse_parts(parts, flight_id)
            else:
                parts.forget(flight_id)
                counts.new += fate == "new"
                counts.same += fate == "same"
                self._note(sheet, row, fate)
            self.tell("flights")

    def _refuse_parts(self, parts: PartRows, flight_id: str) -> None:
        """What belongs to a refused flight goes with it, so that both can be mended together."""
        for name, line, row in parts.take(flight_id):
            sheet = parts.sheets[name]
            if self._files is not None:
                self._files.add(name, sheet.header, row, (line, flight_id, "Its flight was refused."))

    def refuse(self, sheet: Sheet, row: list[str], error: DataRefused, *, line: int | None = None) -> None:
        """Keeps a refused row, or ends the import where it must be whole.

        Raises:
            DataRefused: it must be whole.
        """
        name, at = sheet.layout.name, sheet.line if line is None else line
        if not self._going_on:
            raise DataRefused(
                f"{name}.csv, line {at}: {error.problem}",
                next_step=f"{error.next_step} Nothing was imported: --dry-run lists every row that is refused, --partial takes in the rest.",
                field=error.field,
            ) from None
        record_id = sheet.id_of(row)
        self.report.count(sheet.layout.kind).refused += 1
        self.report.refused.append(RefusedRow(f"{name}.csv", at, record_id, str(error)))
        if self.each_row:
            word = "differs" if isinstance(error, OtherContent) else "refused"
            self.report.fates.append(RowFate(f"{name}.csv", at, record_id, word, str(error)))
        if self._files is not None:
            self._files.add(name, sheet.header, row, (at, record_id, str(error)))

    def _note(self, sheet: Sheet, row: list[str], fate: str) -> None:
        if self.each_row:
            name = f"{sheet.layout.name}.csv"
            self.report.fates.append(RowFate(name, sheet.line, sheet.id_of(row), fate))

    def tell(self, name: str) -> None:
        """Counts a row and says now and then how far it is."""
        self._done += 1
        if self._progress is not None and self._done % _TELL_EVERY == 0:
            self._progress(self._done, name)
