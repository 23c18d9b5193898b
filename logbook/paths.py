"""Where the book, its backups, drafts and reports live."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Final


def default_book() -> Path:
    """The book that is opened when none is named: `LOGBOOK_FILE`, else the platform's data folder."""
    named = os.environ.get("LOGBOOK_FILE")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return _at_home(lambda: user_data_path("electric-aeroplane-logbook", appauthor=False)) / "book.logbook"


def _at_home(folder: Callable[[], Path]) -> Path:
    """The folder as the platform has it.

    Raises:
        FileTrouble: it lies in a home folder, and there is none.
    """
    try:
        return folder()
    except RuntimeError:  # so the library says it
        from logbook.errors import FileTrouble

        raise FileTrouble(
            "There is no home folder to keep things in.",
            next_step="Name the book with --file or LOGBOOK_FILE, and a folder for unfinished entries with LOGBOOK_STATE.",
        ) from None


def state_folder() -> Path:
    """The folder for drafts and crash reports, readable by its owner only."""
    named = os.environ.get("LOGBOOK_STATE")
    if named:
        folder = Path(named)
    else:
        from platformdirs import user_state_path

        folder = _at_home(lambda: user_state_path("electric-aeroplane-logbook", appauthor=False))
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def backup_folder(book: Path) -> Path:
    """The folder beside a book in which its backups are kept."""
    return book.with_name(book.name + ".backups")


_DATABASE: Final = b"SQLite format 3\0"
_BESIDE: Final = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside an open database."""


def refuse_unfit(target: Path) -> None:
    """Refuses a place for a report that must not be overwritten even by force: a book, what belongs to it, a device.

    Raises:
        UsageError: it is such a place.
    """
    from logbook.errors import UsageError

    belongs = next(
        (target.with_name(target.name.removesuffix(end)) for end in _BESIDE if target.name.endswith(end)),
        target,
    )
    for path in {target, belongs}:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise UsageError(
                f"{target} is no ordinary file.", next_step="Name a file, or - for standard output."
            )
        if path.is_file() and _begins(path) == _DATABASE:
            raise UsageError(
                f"{target} is a book or another database, or belongs to one.",
                next_step="Name another file; --force replaces none of these.",
            )


def _begins(path: Path) -> bytes:
    """The first bytes of a file; none of one that may not be read."""
    try:
        with path.open("rb") as file:
            return file.read(len(_DATABASE))
    except OSError:
        return b""


def for_owner(path: str, flags: int) -> int:
    """An opener for `open`: what it makes can be read by its owner only, whatever the umask says."""
    return os.open(path, flags, 0o600)


def sample_file() -> Path:
    """The sample book as shipped: in the wheel, or beside the package in a working copy.

    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    package = Path(__file__).parent
    for folder in (package / "sample_db", package.parent / "sample_db"):
        candidate = folder / "sample.logbook"
        if candidate.exists():
            return candidate
    raise FileNotFoundError("sample.logbook")


def crash_report(error: BaseException) -> Path:
    """Writes where in the program an error arose, without any value (which could be a name), and returns the file."""
    import traceback
    from datetime import UTC, datetime

    stamp = datetime.now(UTC)
    frames = traceback.extract_tb(error.__traceback__)
    package = Path(__file__).parent
    lines = [f"{type(error).__name__} at {stamp:%Y-%m-%dT%H:%M:%SZ}"]
    for frame in frames:
        file = Path(frame.filename)
        shown = file.relative_to(package) if file.is_relative_to(package) else Path(file.name)
        lines.append(f"  {shown}:{frame.lineno} in {frame.name}")
    path = state_folder() / f"defect-{stamp:%Y%m%dT%H%M%S}-{os.getpid()}.txt"
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as report:
        report.write("\n".join(lines) + "\n")
    return path
