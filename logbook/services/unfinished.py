"""What was begun and not saved: an entry with everything typed so far, as it is kept and offered again."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.measures import USUAL, Measures
from logbook.services.drafts import Draft, Drafts
from logbook.services.liked_units import DRAFT_KEY, kept_units, requoted
from logbook.store.database import Book
from logbook.store.records import Records

_FORM: Final = "form"
"""The source under which a draft keeps what the form is about, so that it is never taken for a reading."""


class Entry(NamedTuple):
    """A flight, or a charge, that is being entered.

    Attributes:
        flight_id: the id it will have, or has; of a charge, that of the session.
        aircraft: the aeroplane; of a charge, it or the pack that is charged.
        day: the local day.
        zone: the zone in which times are typed.
        outcome: flown, or what else; of a charge that has ended: `correction`.
        closing: whether it is in the book already, opened before start.
        values: field to (text as typed, source).
        kind: `flight` or `charge`.
        measures: the units in which figures are typed.
        recordings: those to be kept beside the flight, as `recording_beside.reference` makes them.
        seen: the token under which a charge that is in the book was read; None where there is none.
    """

    flight_id: str
    aircraft: str
    day: str
    zone: str = "UTC"
    outcome: str = "flown"
    closing: bool = False
    values: dict[str, tuple[str, str]] = {}  # noqa: RUF012 - never changed in place
    kind: str = "flight"
    measures: Measures = USUAL
    recordings: tuple[str, ...] = ()
    seen: int | None = None

    def typed(self) -> dict[str, tuple[str, str]]:
        """The fields in which something stands."""
        return {name: value for name, value in self.values.items() if value[1] != "empty"}

    def draft(self, now: str) -> Draft:
        """The entry as it is kept."""
        about = {
            "@aircraft": self.aircraft,
            "@day": self.day,
            "@zone": self.zone,
            "@outcome": self.outcome,
            "@closing": "1" if self.closing else "",
            "@seen": "" if self.seen is None else str(self.seen),
            DRAFT_KEY: kept_units(self.measures),
        }
        about |= {"@recordings": json.dumps(self.recordings)} if self.recordings else {}
        kept = self.typed() | {name: (text, _FORM) for name, text in about.items()}
        words = f"end of the {self.kind}" if self.closing else self.kind
        return Draft(self.flight_id, self.kind, kept, f"{self.aircraft}, {words} of {self.day}", now)


def new_id() -> str:
    """An id for a record that is begun."""
    return str(uuid.uuid4())


def entry_of(draft: Draft, measures: Measures = USUAL) -> Entry:
    """The entry a draft keeps, to be gone on with in these units."""

    def about(name: str, otherwise: str = "") -> str:
        return draft.values.get(f"@{name}", (otherwise, ""))[0]

    values = {name: value for name, value in requoted(draft.values, measures).items() if name[:1] != "@"}
    return Entry(
        draft.record_id,
        about("aircraft"),
        about("day", draft.changed[:10]),
        about("zone", "UTC"),
        about("outcome", "flown"),
        bool(about("closing")),
        values,
        draft.kind,
        measures,
        _recordings(about("recordings")),
        int(about("seen")) if about("seen") else None,
    )


def _recordings(text: str) -> tuple[str, ...]:
    """The references a draft holds; none where it holds something else."""
    try:
        found = json.loads(text or "[]")
    except ValueError:
        return ()
    return tuple(one for one in found if isinstance(one, str)) if isinstance(found, list) else ()


def unfinished(book: Book, drafts: Drafts) -> list[Draft]:
    """The drafts worth offering, newest first. What was saved meanwhile is forgotten."""
    return drafts.offered(lambda draft: _is_saved(book, draft))


def _is_saved(book: Book, draft: Draft) -> bool:
    """A new entry is saved once its id is in the book; one that closes an open flight or a running charge, once that has ended."""
    closing = bool(draft.values.get("@closing", ("", ""))[0])
    if draft.kind == "charge":
        rows = [row for _, row in Records(book, "charge").find_all(draft.record_id)]
        if draft.values.get("@outcome", ("", ""))[0] == "correction":
            return all(row["struck"] for row in rows)
        return bool(rows) and (not closing or all(row["ended"] or row["struck"] for row in rows))
    if draft.kind != "flight":
        return False
    from logbook.store.flights import Flights

    n = Flights(book).number(draft.record_id)
    if n is None:
        return False
    flight: Mapping[str, Any] = Flights(book).read([n])[0]
    return not closing or flight["state"] == "closed" or bool(flight["struck"])
