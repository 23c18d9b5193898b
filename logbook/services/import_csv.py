"""Taking in a foreign CSV file by a mapping: nothing is guessed, and a trial run says what becomes of every row."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial as partial_of
from pathlib import Path
from typing import Final

from logbook.domain.record import read_record
from logbook.errors import DataRefused, NoBook, OtherContent, UsageError
from logbook.exchange.mapped_rows import FITTED, ForeignFile, RowReader, Values, open_foreign
from logbook.exchange.mapping import Mapping, read_mapping
from logbook.exchange.refused_out import RefusedFiles
from logbook.services import backups
from logbook.services.add import now
from logbook.services.cases import Cases
from logbook.services.import_book import free_folder, holds_something, undone_if
from logbook.services.import_report import ImportReport, Progress, RefusedRow, RowFate
from logbook.services.intake import Intake
from logbook.services.kinds import Kind, kind_of
from logbook.services.refresh import refresh
from logbook.services.unknown_state import unknown_states
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.loading import attempt
from logbook.store.settings import Settings

_TELL_EVERY: Final = 200


def import_csv(
    book: Book,
    path: Path,
    mapping: Path | Mapping,
    *,
    dry_run: bool = False,
    partial: bool = False,
    refused: Path | None = None,
    by: str | None = None,
    progress: Progress | None = None,
) -> ImportReport:
    """Takes in one foreign file.

    Args:
        book: the open book.
        path: the file.
        mapping: how it is to be read: a mapping file, or one that was read already.
        dry_run: says what would happen to each row (`fates` of the report) and changes nothing.
        partial: takes in what can be taken in and writes the rest to a folder, in the form of the source.
        refused: that folder; absent: named after the book.
        by: who imports.
        progress: told now and then how far it is; an exception it raises ends the import, and nothing has entered.

    Raises:
        UsageError: the mapping says something that no mapping can say, or names what is not there.
        DataRefused: a row cannot enter, unless partial; nothing was written then.
        NoBook: there is no such file.
        FileTrouble: a file cannot be read or written.
    """
    told = read_mapping(mapping) if isinstance(mapping, Path) else mapping
    if not path.exists():
        raise NoBook(f"There is nothing at {path}.", next_step="Correct the path.")
    with open_foreign(path, told) as text:
        source = ForeignFile(text, told, path.name)
        files = None
        if partial and not dry_run:
            files = RefusedFiles(
                refused or free_folder(book.path),
                encoding=told.encoding,
                separator=told.separator,
                preface="".join(source.preface),
            )
        run = _CsvImport(book, source, told, files, dry_run=dry_run, by=by)
        run.progress = progress
        if not dry_run:
            opened = [partial_of(open_foreign, path, told)]
            run.report.notes += backups.before_import(book.path, holds_something(book), opened)
        try:
            with undone_if(dry_run, book, by):
                run.everything()
                run.report.notes += unknown_states(book) if "pack" in run.report.counts else []
            if files is not None:
                run.report.refused_to = files.finish(None)
        finally:
            if files is not None:
                files.drop()
    return run.report


class _CsvImport:
    """One run over a foreign file, inside one transaction."""

    def __init__(
        self,
        book: Book,
        source: ForeignFile,
        mapping: Mapping,
        files: RefusedFiles | None,
        *,
        dry_run: bool,
        by: str | None,
    ) -> None:
        self.report = ImportReport(dry_run=dry_run)
        self.progress: Progress | None = None
        """Told how far it is."""
        self._book = book
        self._source = source
        self._files = files
        self._kind: Kind = kind_of(mapping.kind)
        if self._kind.name in ("signature", "answer", "plan", "recording", "paper"):
            raise UsageError(
                f"A {self._kind.name} cannot come from a foreign file.", next_step="Import a package."
            )
        self._reader = RowReader(mapping, source.header, self._kind.load())
        self._stamp = {"entered_by": by or Settings(book).value("operator"), "entered_at": now()}
        self._intake = Intake(book)
        self._cases = Cases(book)

    def everything(self) -> None:
        """All rows, then what is derived."""
        self.report.count(self._kind.name)
        for done, row in enumerate(self._source):
            if self.progress is not None and done % _TELL_EVERY == 0:
                self.progress(done, self._source.name)
            self._row(row)
        if not self.report.dry_run:
            refresh(self._book)

    def _row(self, row: Sequence[str]) -> None:
        """A row enters with all its records, or not at all."""
        table = TABLES[self._kind.table]
        name = self._reader.name_of(row, (table.file_id, table.key, "off_blocks", "started", "date"))
        try:
            with attempt(self._book):
                records = [self._fitted(values) for values in self._reader.records(row)]
                fates = [
                    self._intake.put(self._kind, read_record(self._kind.load(), values), self._stamp)
                    for values in records
                ]
        except DataRefused as error:
            self._refuse(row, name, error)
            return
        counts = self.report.count(self._kind.name)
        counts.new += fates.count("new")
        counts.same += fates.count("same")
        self._note(name, "new" if "new" in fates else "same")

    def _fitted(self, values: Values) -> Values:
        """With serial numbers in the place of positions, by the fittings of the book."""
        for part in (values, *values.get("readings", ())):
            serial = part.get("serial_no")
            if isinstance(serial, str) and serial.startswith(FITTED):
                part["serial_no"] = self._pack_in(values, serial.removeprefix(FITTED))
        return values

    def _pack_in(self, values: Values, position: str) -> str:
        at, aircraft = (
            str(values.get("off_blocks") or values.get("started") or ""),
            str(values.get("aircraft") or ""),
        )
        for serial in self._cases.fitted(aircraft, at):
            if self._cases.position(aircraft, serial, at) == position:
                return serial
        raise DataRefused(
            f"The book knows no pack in position '{position}' of {aircraft or 'an aircraft that is not named'} at {at or 'an unknown time'}.",
            next_step="Record the fitting first.",
            field="serial_no",
        )

    def _refuse(self, row: Sequence[str], name: str, error: DataRefused) -> None:
        line = self._source.line
        if not self.report.dry_run and self._files is None:
            raise DataRefused(
                f"{self._source.name}, line {line}: {error.problem}",
                next_step=f"{error.next_step} Nothing was imported: --dry-run lists every row that is refused, --partial takes in the rest.",
                field=error.field,
            ) from None
        self.report.count(self._kind.name).refused += 1
        self.report.refused.append(RefusedRow(self._source.name, line, name, str(error)))
        self._note(name, "differs" if isinstance(error, OtherContent) else "refused", str(error))
        if self._files is not None:
            self._files.add(Path(self._source.name).stem, self._source.header, row, (line, name, str(error)))

    def _note(self, name: str, fate: str, why: str = "") -> None:
        if self.report.dry_run:
            self.report.fates.append(RowFate(self._source.name, self._source.line, name, fate, why))
