"""A recording that counts seconds: the form that asks from when, where neither the file nor its mapping says so."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from logbook.errors import FileTrouble, UsageError
from logbook.exchange.recording_mapping import RecordingMapping
from logbook.services.form_readers import moment
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Meaning


class NeedsStart(UsageError):
    """A recording that counts seconds, of which nothing says from when."""

    def __init__(self, mapping: RecordingMapping) -> None:
        super().__init__(
            f"The recorder counts seconds, and the mapping '{mapping.name}' does not say from when.",
            next_step="Say when its first second was.",
        )


def counts_from_nowhere(mapping: RecordingMapping) -> bool:
    """Whether times can be told only once somebody says from when seconds count."""
    return mapping.time.how == "seconds" and not mapping.time.start


def day_of(path: Path) -> str:
    """The day (UTC) on which a file was last written.

    Raises:
        FileTrouble: it is not there any more.
    """
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC).date().isoformat()
    except OSError as error:
        raise FileTrouble(f"{path} cannot be read: {error.strerror}.", next_step="Check its name.") from error


def start_form(file: str, day: str) -> PlainForm:
    """Asks for the moment from which the seconds of a file count; its record has `start`, ISO with seconds.

    Args:
        file: its name.
        day: meant where only a time is typed, such as 2031-05-09.
    """
    usual = moment(f"{day}T00:00Z")

    def read(text: str) -> Meaning:
        if text.strip().casefold() == "now":
            return Meaning(problem="when it began, not now")
        found = usual(text)
        if found.problem:
            return found
        return Meaning(f"{found.value.removesuffix('Z')}:00Z", found.echo.removesuffix(" UTC"))

    field = FormField(
        "start",
        "Time of second 0",
        unit="UTC, such as 0830",
        help=(
            f"UTC, as 0830 on {day}, or with its day, 2031-05-09 0830: mostly when the recorder was switched on, before off "
            "blocks. Compare what is found with the times you know; nothing is taken before you say so."
        ),
        required=True,
    )
    return PlainForm(f"When did the recording {file} begin?", (field,), {"start": read})
