"""What happens when the program itself has a defect: nothing is lost, nothing private is printed.

The library's own way prints every local variable of every frame, and with them names and licence numbers. So its hook for
unhandled exceptions is replaced. The hook (`App._handle_exception`) is private; Textual is pinned exactly for that reason,
and tests/ui/test_crash.py runs a real terminal against it.

    exception -> CrashGuard._handle_exception -> report file -> terminal restored -> three plain lines -> exit code 70
"""

from __future__ import annotations

import os
import platform
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Final, Generic, TypeVar

from rich.text import Text
from textual.app import App

EXIT_DEFECT: Final = 70  # "internal software error", sysexits.h
Result = TypeVar("Result")


def crash_report(error: BaseException) -> str:
    """What a developer needs: where it happened, in which versions. No values, no messages, no folders of this machine.

    The message of an exception is left out, since it often quotes what was being read.
    """
    from importlib.metadata import PackageNotFoundError, version

    try:
        ours = version("electric-aeroplane-logbook")
    except PackageNotFoundError:
        ours = "not installed"
    lines = [
        f"logbook {ours}, textual {version('textual')}, Python {platform.python_version()}, {platform.system()}",
        f"at {datetime.now(UTC):%Y-%m-%dT%H:%MZ}",
    ]
    cause: BaseException | None = error
    seen: set[int] = set()
    while cause is not None and id(cause) not in seen:
        seen.add(id(cause))
        lines += ["", type(cause).__name__, *_frames(cause)]
        cause = cause.__cause__ or cause.__context__
    return "\n".join(lines) + "\n"


def _frames(error: BaseException) -> list[str]:
    summary = traceback.extract_tb(error.__traceback__)
    return [f"  {_short(frame.filename)}:{frame.lineno} in {frame.name}" for frame in summary]


def _short(filename: str) -> str:
    """A path from the package on: what stands before it names the user's home."""
    parts = Path(filename).parts
    for anchor in ("site-packages", "logbook"):
        if anchor in parts:
            start = len(parts) - 1 - parts[::-1].index(anchor)
            return "/".join(parts[start + (anchor == "site-packages") :])
    return parts[-1] if parts else filename


def write_report(error: BaseException, folder: Path) -> Path | None:
    """Writes the report, readable by its owner only; None where even that is impossible."""
    path = folder / f"crash-{datetime.now(UTC):%Y%m%dT%H%M%SZ}-{os.getpid()}.txt"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(crash_report(error))
    except OSError:
        return None
    return path


def last_words(report: Path | None) -> str:
    """The three lines that are left on the terminal."""
    where = (
        f"What happened is written in {report}"
        if report
        else "The report could not be written: no room, or no right to."
    )
    return (
        "The logbook stopped because of a defect of its own. Every saved entry is in the book.\n"
        "An unfinished entry is offered again at the next start.\n"
        f"{where}"
    )


class CrashGuard(App[Result], Generic[Result]):
    """An app that ends with a report and exit code 70 when an exception was not caught."""

    crash_folder: Path | None = None
    """Where reports go; the state folder unless set."""

    def _handle_exception(self, error: Exception) -> None:
        """Replaces the library's hook of the same name."""
        self._return_code = EXIT_DEFECT
        if self._exception is not None:
            return  # a second failure while stopping says nothing new
        self._exception = error
        self._exception_event.set()  # a test harness waits for it
        folder = self.crash_folder
        if folder is None:
            from logbook.paths import state_folder

            folder = state_folder()
        self._exit_renderables.append(
            Text(last_words(write_report(error, folder)), overflow="fold", no_wrap=True)
        )
        self._close_messages_no_wait()


def run_guarded(app: CrashGuard[object], folder: Path) -> int:
    """Runs the screens and gives the exit code; also what fails before the first screen ends in a report."""
    try:
        app.run()
    except Exception as error:  # noqa: BLE001 - the last stop: everything that comes here is a defect
        sys.stderr.write(last_words(write_report(error, folder)) + "\n")
        return EXIT_DEFECT
    return app.return_code or 0
