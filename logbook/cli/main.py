"""The command line: reads the words, calls one command, and turns what went wrong into a line and a status."""

from __future__ import annotations

import os
import sys

from logbook.cli.grammar import Options, parse
from logbook.errors import FileTrouble, LogbookError, UsageError

DEFECT_STATUS = 70
_BROKEN_PIPE_STATUS = 141


def run(arguments: list[str]) -> int:
    """Runs one command. Returns the exit status: 0 done, 1 findings or does not fit, 2 usage, 3 refused, 70 defect, 74 file."""
    options = parse(arguments)
    try:
        status = _dispatch(options)
        sys.stdout.flush()
        if options.command is not None:
            _back_up_written(sample=options.sample)
    except LogbookError as error:
        _say(error)
        return error.exit_code
    except BrokenPipeError:
        _forget_stdout()
        return _BROKEN_PIPE_STATUS
    except OSError as error:
        if error.filename is None:
            _forget_stdout()
        _say(_trouble(error))
        return FileTrouble.exit_code
    except KeyboardInterrupt:
        sys.stderr.write("\nInterrupted; what was confirmed is in the book.\n")
        return 130
    except Exception as error:  # noqa: BLE001 - the last place where a defect can become a plain sentence
        return _damaged(options) or _defect(error)
    return status


def _dispatch(options: Options) -> int:
    if options.version:
        from logbook import __version__

        sys.stdout.write(__version__ + "\n")
        return 0
    if options.command is None:
        from logbook.wiring import open_screens

        return open_screens(options.file, sample=options.sample)
    if options.sample:
        from logbook.wiring import sample_copy

        options.file = sample_copy()
    status: int = options.run(options)
    return status


def _back_up_written(*, sample: bool) -> None:
    """The backup of the day, now that the answer is out."""
    from logbook.cli.common import WRITTEN, say

    if WRITTEN and not sample:
        from logbook.services.backups import daily

        for path in WRITTEN:
            if words := daily(path):
                say(words)
    WRITTEN.clear()


def _say(error: LogbookError) -> None:
    from logbook.reports.visible import visible

    name = "logbook: " if not isinstance(error, UsageError) else "logbook: usage: "
    field = f" [{error.field}]" if error.field and error.field not in error.problem else ""
    sys.stderr.write(f"{name}{visible(error.problem + field)}\n{visible(error.next_step)}\n")


def _trouble(error: OSError) -> FileTrouble:
    """In words: of the file that is named, else of the answer, whose pipe or disk has no name."""
    if error.filename is not None:
        return FileTrouble(
            f"{error.filename} cannot be used: {error.strerror or type(error).__name__}.",
            next_step="What was confirmed is in the book. Check the path, the rights to it, and the room on the disk.",
        )
    return FileTrouble(
        f"The answer could not be written: {error.strerror or type(error).__name__}.",
        next_step="What was confirmed is in the book; ask again when there is room.",
    )


def _forget_stdout() -> None:
    """The reader went away; nothing more can be said, not even by the interpreter at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _damaged(options: Options) -> int:
    """The status of a damaged file, if it was that over which the program stumbled; else 0."""
    from logbook.paths import default_book
    from logbook.services.check import is_damaged
    from logbook.store.trouble import way_back

    try:
        path = options.file or default_book()
        if not is_damaged(path):
            return 0
        _say(FileTrouble(f"The file {path} is damaged.", next_step=way_back(path)))
    except Exception:  # noqa: BLE001 - then it is a defect, and said as such
        return 0
    return FileTrouble.exit_code


def _defect(error: Exception) -> int:
    """Writes a report without values (which could be somebody's name) and says where it is."""
    from logbook.paths import crash_report

    try:
        where = f"A report without personal data is in {crash_report(error)}."
    except (OSError, LogbookError):
        where = f"It was a {type(error).__name__}; no report could be written."
    sys.stderr.write(
        f"logbook: this is a defect of the program, not of your data.\nWhat was confirmed is in the book. {where}\n"
    )
    return DEFECT_STATUS
