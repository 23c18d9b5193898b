"""What a file says of a flight, as a proposal: fields of the flight form, each with its value and where it comes from.

A proposal is looked at beside the form and taken field by field; by itself it records nothing. Tracks and recordings of
the aeroplane make the same kind of proposal, so the form need not know which it was.
"""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from logbook.errors import FileTrouble
from logbook.services.typed import Meaning
from logbook.services.typed_time import clock_text
from logbook.units import minutes_of

if TYPE_CHECKING:
    from logbook.services.recording_read import ReadRecording

TRACK: Final = "track"
RECORDING: Final = "recording"
RECORDER: Final = "recorder"
"""The source of a pack's reading that the aeroplane wrote down itself."""

_INSTANT: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\dZ")
_OFFSET: Final = re.compile(
    r"(?P<sign>[+-]?)\s*(?:(?P<hours>\d{1,2}):(?P<rest>[0-5]\d)|(?P<count>\d{1,5})\s*(?P<unit>s|min|h)?)"
)
_UNIT_S: Final = {"s": 1, "min": 60, "h": 3600}
_LARGEST_OFFSET_S: Final = 26 * 3600


class ProposedField(NamedTuple):
    """One value a file proposes.

    Attributes:
        name: the field of the flight form: a column, or `SERIAL.column` for a reading of one pack.
        words: the field in words.
        value: as stored: an instant (UTC), a number with a point, a name.
        origin: where in the file it comes from, and by which rule.
        source: what it counts as once it is taken: `read`; `recorder` for a reading or a time of a recording, `track` for a
            time of a track.
    """

    name: str
    words: str
    value: str
    origin: str
    source: str = "read"

    @property
    def is_moment(self) -> bool:
        """Whether the value is an instant."""
        return bool(_INSTANT.fullmatch(self.value))

    def typed(self, zone: str) -> str:
        """The value as it would be typed, times on the clock of a zone."""
        return clock_text(self.value, zone) if self.is_moment else self.value


class Proposal(NamedTuple):
    """One flight that a file holds.

    Attributes:
        kind: `track` or `recording`.
        file: the name of the file, without its folder.
        digest: SHA-256 of the file's bytes, in hexadecimal.
        offset_s: what was added to the clock of the file [s].
        began: the first moment it knows of the flight (UTC, stored form).
        ended: the last.
        about: the flight in one line.
        fields: in the order of the form.
        distance_nm: flown over the ground [NM]; None where the file cannot tell.
        notes: what could not be told, and why.
        recording: the recording it was made from, to be kept beside the flight; None for a track.
    """

    kind: str
    file: str
    digest: str
    offset_s: int
    began: str
    ended: str
    about: str
    fields: tuple[ProposedField, ...]
    distance_nm: float | None = None
    notes: tuple[str, ...] = ()
    recording: ReadRecording | None = None

    @property
    def minutes(self) -> int:
        """From the first to the last moment [min]."""
        return minutes_of(self.ended) - minutes_of(self.began)


def digest_of(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal.

    Raises:
        FileTrouble: it cannot be read.
    """
    found = sha256()
    try:
        with path.open("rb") as file:
            while piece := file.read(2**20):
                found.update(piece)
    except OSError as error:
        raise FileTrouble(f"{path} cannot be read: {error.strerror}.", next_step="Check its name.") from error
    return found.hexdigest()


def read_offset(text: str) -> Meaning:
    """What is to be added to the clock of a file [s]: `+1:00` an hour, `-2` or `-2 min` minutes, `45 s` seconds; empty: nothing."""
    bare = text.strip().casefold()
    if not bare:
        return Meaning(0, "nothing")
    match = _OFFSET.fullmatch(bare)
    if match is None:
        return Meaning(problem="minutes such as -2, 45 s, or hours and minutes such as +1:00")
    if match["hours"]:
        seconds = int(match["hours"]) * 3600 + int(match["rest"]) * 60
    else:
        seconds = int(match["count"]) * _UNIT_S[match["unit"] or "min"]
    if seconds > _LARGEST_OFFSET_S:
        return Meaning(problem=f"at most {_LARGEST_OFFSET_S // 3600} hours")
    seconds = -seconds if match["sign"] == "-" else seconds
    return Meaning(seconds, offset_words(seconds))


def offset_words(seconds: int) -> str:
    """An offset as it is said: `+1 h 00 min`, `-45 s`; `nothing`."""
    if not seconds:
        return "nothing"
    sign, left = ("-" if seconds < 0 else "+"), abs(seconds)
    hours, minutes, rest = left // 3600, left % 3600 // 60, left % 60
    parts = [f"{hours} h {minutes:02d} min"] if hours else [f"{minutes} min"] if minutes else []
    return f"{sign}{' '.join([*parts, *([f'{rest} s'] if rest else [])])}"
