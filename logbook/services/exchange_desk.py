"""What the screens of exports and imports ask for and do. All of it is for a desk elsewhere: none of it is quick."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Final, cast

from logbook.services.exchange_beside import FilesBeside
from logbook.services.export_list import Form, Offer, forms_of, names_for, usual_path
from logbook.services.watched import Watch, WatchedStream
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.reports.paper import Paper
    from logbook.services.import_report import ImportReport
    from logbook.services.merge_report import Decisions, MergeReport
    from logbook.services.paper_check import SignedWords
    from logbook.services.plain_form import PlainForm

PaperAnswer = Sequence["SignedWords"]
"""What is said of an issued paper."""
_PACKAGE_NAMES: Final = (".zip",)
_BOOK_MARK: Final = b"SQLite format 3\x00"


class ExchangeDesk(FilesBeside):
    """Writes files from one open book, and takes others in."""

    def __init__(self, book: Book, clock: Callable[[], str], operator: str | None) -> None:
        super().__init__(book, operator)
        self._clock = clock

    # -- out -----------------------------------------------------------------------------------------------------------

    def forms(self, offer: Offer) -> tuple[Form, ...]:
        """The forms in which an offer can be written here."""
        return forms_of(offer)

    def names(self, offer: Offer) -> list[tuple[str, str]]:
        """What can be named for an offer: id and words."""
        return names_for(self._book, offer)

    def path(self, offer: Offer, which: str, form: Form) -> Path:
        """A sensible place for it, where nothing is yet."""
        return usual_path(offer, which, form, self._clock()[:10])

    def target(self, offer: Offer, which: str, form: Form, text: str) -> Path:
        """The path that was typed: `~` is the home folder, a folder gets the usual name, a missing ending is added.

        Raises:
            DataRefused: nothing was typed.
        """
        from logbook.errors import DataRefused

        if not text.strip():
            raise DataRefused("No place is named.", next_step="Type a path, or a folder.", field="to")
        path = Path(text.strip()).expanduser()
        if path.is_dir():
            return path / self.path(offer, which, form).name
        return path if path.suffix else path.with_name(path.name + form.ending)

    def source(self, text: str) -> Path:
        """The file or folder that was typed; `~` is the home folder.

        Raises:
            NoBook: there is nothing.
        """
        from logbook.errors import NoBook

        path = Path(text.strip()).expanduser()
        if not text.strip() or not path.exists():
            where = f"There is nothing at {path}." if text.strip() else "No file is named."
            raise NoBook(where, next_step="Type the path of a file or folder.")
        return path

    def write(
        self,
        offer: Offer,
        which: str,
        form: Form,
        to: Path,
        *,
        force: bool,
        watch: Watch,
        layout: str = "european",
    ) -> str:
        """Writes it; gives what there is to say, in words.

        Args:
            offer: what.
            which: the name that the offer wants, else empty.
            form: one of the offer's forms.
            to: the path.
            force: replace what is there.
            watch: told how far it is; can stop it, and then nothing is left behind.
            layout: of a pilot's pages: `european` or `american`.

        Raises:
            UsageError: something is there already.
            DataRefused: there is no such thing, or it cannot be written so.
            FileTrouble: it cannot be written.
            Stopped: it was stopped.
        """
        from logbook.reports.target import written_to

        watch.step("reading the book")
        if offer.id == "backup":
            return self._back_up(to, force=force)
        said: list[str] = []
        paper = None
        with written_to(to, force=force) as stream:
            target = cast("BinaryIO", WatchedStream(stream, watch))
            if offer.id == "package":
                self._package(target, watch)
            elif offer.id == "person-pages":
                said = self._pages(which, target, form, layout)
            elif offer.id in ("flight-slip", "charge-slip"):
                self._slip(offer, which, target, form)
            else:
                paper = self._table(offer, which, target, form)
        if paper is not None:
            from logbook.services.paper_register import note_issue

            said = [note_issue(self._book, paper, [form.word], to.name, by=self._operator)]
        return " ".join([f"Written to {to}", *said])

    def _back_up(self, to: Path, *, force: bool) -> str:
        from logbook.errors import UsageError
        from logbook.services.care import back_up

        if to.exists() and not force:
            raise UsageError(f"{to} is there already.", next_step="Name another file, or replace it.")
        to.parent.mkdir(parents=True, exist_ok=True)
        return f"A verified copy is in {back_up(self._book.path, to)}"

    def _package(self, target: BinaryIO, watch: Watch) -> None:
        from logbook.services.export_book import export_package

        export_package(self._book, target, progress=lambda rows, name: watch.step(f"{name}: {rows:,} rows"))

    def _pages(self, name: str, target: BinaryIO, form: Form, layout: str) -> list[str]:
        from logbook.services.legal_record import person_pages, write_person_pages

        pages = person_pages(self._book, name, layout)
        write_person_pages(pages, target, form.word)
        count = len(pages.missing)
        return (
            [f"({count} entries lack something the form wants; the first page says what.)"] if count else []
        )

    def _slip(self, offer: Offer, which: str, target: BinaryIO, form: Form) -> None:
        from logbook.services.slips import slips_of, write_slips_to

        kind = offer.id.removesuffix("-slip")
        write_slips_to(slips_of(self._book, which, now=self._clock(), which=[kind]), target, form.word)

    def _table(self, offer: Offer, which: str, target: BinaryIO, form: Form) -> Paper | None:
        from logbook.services.export_table import export_table

        return export_table(self._book, offer.id, which or None, target, form.word)

    def issued_papers(self) -> PaperAnswer:
        """Papers issued from this book, the newest first, each with whether what it rests on has changed since."""
        from logbook.services.paper_check import SignedWords
        from logbook.services.paper_register import issued_papers

        return [SignedWords(one.sign, f"{one.title}: {one.words}") for one in issued_papers(self._book)]

    def check_paper(self, path: Path) -> PaperAnswer:
        """Whether an issued paper is still true, a sentence a line.

        Raises:
            LogbookError: it cannot be read, or is no paper that can be compared with this book.
        """
        from logbook.services.liked_units import measures_of
        from logbook.services.paper_check import check_paper, signed_words
        from logbook.services.paper_read import read_file

        return signed_words(check_paper(self._book, read_file(path)), measures_of(self._book))

    # -- in ------------------------------------------------------------------------------------------------------------

    def kind_of(self, path: Path) -> str:
        """What a file seems to be.

        `book`, `package`, `table` (a CSV file of a known name), `track`, `recording` (a known mapping reads it), `foreign`,
        or `nothing`.
        """
        from logbook.exchange.layout import LAYOUTS

        if not path.exists():
            return "nothing"
        if path.is_dir() or path.suffix.lower() in _PACKAGE_NAMES:
            return "package"
        with path.open("rb") as file:
            if file.read(len(_BOOK_MARK)) == _BOOK_MARK:
                return "book"
        if path.suffix.lower() == ".csv" and path.stem in LAYOUTS:
            return "table"
        if path.suffix.lower() == ".gpx":
            return "track"
        from logbook.services.recordings_of_file import mapping_of_file

        return "foreign" if mapping_of_file(self._book, path) is None else "recording"

    def columns_of(self, path: Path) -> list[str]:
        """The headings of a foreign CSV file.

        Raises:
            LogbookError: it has none, or cannot be read.
        """
        from logbook.services.mapping_form import columns_of

        return columns_of(path)

    def mapping_form(self, path: Path) -> PlainForm:
        """The form that makes a mapping for a foreign CSV file of flights; errors as of `columns_of`."""
        from logbook.services.mapping_form import mapping_form

        return mapping_form(path)

    def save_mapping(self, path: Path, values: Mapping[str, Any]) -> Path:
        """Writes the mapping beside the file; gives where.

        Raises:
            LogbookError: it cannot be used, or not be written.
        """
        from logbook.services.mapping_form import save_mapping

        return save_mapping(path, values)

    def take_in(
        self, path: Path, mapping: Path | None, *, trial: bool, partial: bool, watch: Watch
    ) -> ImportReport:
        """Takes in a package or a CSV file, or says what would become of each row.

        Args:
            path: the file or folder.
            mapping: how a foreign file is to be read.
            trial: nothing is written; the report holds the fate of every row.
            partial: what can enter enters, the rest is written aside.
            watch: told how far it is; can stop it, and then nothing has entered.

        Raises:
            LogbookError: as `import_package` and `import_csv`.
            Stopped: it was stopped.
        """
        from logbook.services.import_book import import_package
        from logbook.services.import_csv import import_csv

        def tell(rows: int, name: str) -> None:
            watch.step(f"{name}: {rows:,} rows read")

        watch.step("opening the file")
        if mapping is not None:
            return import_csv(
                self._book, path, mapping, dry_run=trial, partial=partial, by=self._operator, progress=tell
            )
        return import_package(
            self._book, path, dry_run=trial, partial=partial, by=self._operator, progress=tell, each_row=trial
        )

    def merge(self, path: Path, decisions: Decisions | None, *, watch: Watch) -> MergeReport:
        """Merges another book into this one, or, without decisions, says what would happen.

        Args:
            path: the other book.
            decisions: the key of each difference to `ours` or `theirs`; None: a trial.
            watch: told how far it is; can stop it, and then nothing was changed.

        Raises:
            LogbookError: as `merge_book`.
            Stopped: it was stopped.
        """
        from logbook.services.merge_book import merge_book

        def tell(done: int, name: str) -> None:
            watch.step(f"{name}: {done:,} records compared")

        watch.step("opening the other book")
        return merge_book(
            self._book, path, take=decisions, dry_run=decisions is None, by=self._operator, progress=tell
        )


def said(report: ImportReport) -> str:
    """What an import did, or would do, in one line: refused first, then new, then what is there already."""
    groups = (
        ("refused", "refused"),
        ("new", "would be new" if report.dry_run else "new"),
        ("same", "there already"),
    )
    parts = []
    for name, words in groups:
        counts = [(kind, getattr(count, name)) for kind, count in report.counts.items()]
        listed = ", ".join(f"{count} {kind}" for kind, count in counts if count)
        parts += [f"{words}: {listed}"] if listed else []
    return "; ".join(parts) or "nothing in it"
