"""Puts together what the rules on charges look at, for the packs asked for, in a few sweeps and one pass each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.worth import points_between
from logbook.rules.charge_rules import ChargeBands, ChargeCase, charge_flags
from logbook.services.answers_given import Answers
from logbook.services.pack_record import Minutes, PackRecord, read_fleet
from logbook.services.pack_status import moment
from logbook.services.pack_totals import usable_on
from logbook.store.charge_window import ChargeWindows
from logbook.store.database import Book
from logbook.store.pack_sweep import Charged, PackSweep
from logbook.store.settings import Settings

Row = dict[str, Any]
FULL: Final = "full"
"""The purpose of a charge to full with balancing begins with this word."""
FULL_PCT: Final = 99.0
"""A charge nobody wrote a purpose for counts as full from this charge on [%]."""
MEANT_FULL_PCT: Final = 90.0
"""One that was meant as full counts from this charge on [%]: some chargers end a little below 100 (common practice, no source)."""


NEWEST: Final = 300
"""So many charges are judged by what lies around them; for more, the whole record of their packs is read in one pass."""


class _Span(NamedTuple):
    """One flight or charge of a pack in time."""

    start: int
    end: int
    words: str
    soc_start: float | None
    soc_end: float | None
    charge: Charged | None


def bands(book: Book) -> ChargeBands:
    """The bands of the rules as set in this book."""
    kept = Settings(book).value("charge_bands") or {}
    return ChargeBands(**{name: value for name, value in kept.items() if name in ChargeBands._fields})


class ChargeFlags:
    """The flags of charges, worked out when they are asked for; only the answers to them are stored.

    Args:
        book: the open book.
        serials: the packs concerned; None for all.
        only: ids of the charges that will be asked for; a few need a look at what was around them, not at the whole record.
    """

    def __init__(
        self, book: Book, serials: Sequence[str] | None = None, *, only: Sequence[str] | None = None
    ) -> None:
        now, _ = moment(book, None, serials)
        windows = ChargeWindows(book, FULL, FULL_PCT, MEANT_FULL_PCT)
        wanted: Sequence[str] | None = None
        since, few = "", only is not None and len(only) <= NEWEST
        if only is not None and few:
            wanted, since = windows.of(only)
        elif serials is not None:
            wanted = PackSweep(book, serials).charged_together()
        self._bands = bands(book)
        self._answers = Answers(book, "charge_id", whole=not few)
        fleet = read_fleet(book, wanted, since=since, hours=False)
        self._packs = {
            serial: _Line(record, fleet.minutes, now, meant=windows.meant(serial))
            for serial, record in fleet.packs.items()
        }
        self._sessions: dict[str, list[Charged]] = {}
        for record in fleet.packs.values():
            for charge in record.charges:
                self._sessions.setdefault(charge.charge_id, []).append(charge)

    def of(self, charge_id: str, serial_no: str) -> list[Row]:
        """The flags of one pack's part in a session; none for a charge that was struck out."""
        line, session = self._packs.get(serial_no), self._sessions.get(charge_id, [])
        case = None if line is None else line.case(charge_id)
        if case is None:
            return []
        flags = charge_flags(case._replace(**self._session(session)), self._bands)
        answers = self._answers.of(charge_id) if flags else set()
        return [
            {
                "rule": flag.rule,
                "severity": flag.severity,
                "words": flag.words,
                "figures": flag.figures,
                "serial_no": flag.serial_no,
                "answered": (flag.rule, flag.serial_no, flag.fingerprint) in answers,
            }
            for flag in flags
        ]

    def of_session(self, charge_id: str) -> list[Row]:
        """The flags of all packs of a session."""
        session = self._sessions.get(charge_id, [])
        return [flag for charge in session for flag in self.of(charge_id, charge.serial_no)]

    def _session(self, session: Sequence[Charged]) -> Row:
        """What holds for the session as a whole: the shared meter against all packs together."""
        shared = {row.shared_energy_kwh for row in session if row.shared_energy_kwh is not None}
        holds: list[float | None] = []
        filled: list[float | None] = []
        for row in session:
            line = self._packs[row.serial_no]
            usable, worths = line.usable(row), line.worths
            holds.append(None if usable is None else usable.high * points_between(worths, 100.0, 0.0) / 100)
            known = usable is not None and row.soc_start_pct is not None and row.soc_end_pct is not None
            part = max(points_between(worths, row.soc_end_pct or 0.0, row.soc_start_pct or 0.0), 0.0) / 100
            filled.append(part * usable.high if known and usable is not None else None)
        return {
            "shared_differs": len(shared) > 1,
            "session_holds_kwh": None if None in holds else sum(filter(None, holds)),
            "session_filled_kwh": None if None in filled else sum(filter(None, filled)),
        }


class _Line:
    """All charges of one pack with what lies around each, by one pass over its flights and charges."""

    def __init__(self, record: PackRecord, minutes: Minutes, now: int, *, meant: bool) -> None:
        self._record, self._minutes, self._now = record, minutes, now
        self._usable, self.worths = usable_on(record), record.worths
        self._meant = meant
        self._around: dict[str, tuple[Charged, Row]] = {}
        self._pass(sorted(_spans(record, minutes), key=lambda span: (span.start, span.end)))

    def usable(self, charge: Charged) -> Estimate | None:
        """What the pack held at the start of a charge [kWh]."""
        return self._usable(self._minutes.of(charge.started))

    def _pass(self, spans: Sequence[_Span]) -> None:
        full_at: int | None = None
        fallen, last = 0.0, None
        latest: _Span | None = None
        newest = max((at for at, span in enumerate(spans) if span.charge is not None), default=-1)
        for place, span in enumerate(spans):
            for soc in (span.soc_start, span.soc_end):
                if soc is not None:
                    fallen += max((last if last is not None else soc) - soc, 0.0)
                    last = soc
            following = spans[place + 1] if place + 1 < len(spans) else None
            if span.charge is not None:
                full = self._full(span.charge)
                around: Row = {
                    "overlaps": _overlaps(span, latest, following),
                    "days_since_full": None if full_at is None else (span.start - full_at) / 1440,
                    "cycles_since_full": fallen / 100,
                    "is_full": full,
                    "is_newest": place == newest,
                    "stood_days": ((following.start if following else self._now) - span.end) / 1440,
                }
                self._around[span.charge.charge_id] = span.charge, around
                if full:
                    full_at, fallen = span.end, 0.0
            if latest is None or span.end > latest.end:
                latest = span

    def _full(self, charge: Charged) -> bool:
        """Ended full, and was meant to balance where the operator writes that down."""
        meant = not self._meant or (charge.purpose or "").startswith(FULL)
        least = MEANT_FULL_PCT if self._meant else FULL_PCT
        return meant and charge.soc_end_pct is not None and charge.soc_end_pct >= least

    def case(self, charge_id: str) -> ChargeCase | None:
        """One charge with what lies around it; None if the pack has none of that id."""
        if charge_id not in self._around:
            return None
        charge, around = self._around[charge_id]
        figures = self._record.figures
        return ChargeCase(
            serial_no=charge.serial_no,
            charge_id=charge.charge_id,
            minutes=self._minutes.span(charge.started, charge.ended),
            purpose=charge.purpose or "",
            soc_start_pct=charge.soc_start_pct,
            soc_end_pct=charge.soc_end_pct,
            temp_start_c=charge.temp_start_c,
            temp_end_c=charge.temp_end_c,
            least_temp_c=figures["charge_min_temp_c"],
            most_temp_c=figures["charge_max_temp_c"],
            own_kwh=charge.energy_kwh,
            shared_kwh=charge.shared_energy_kwh,
            usable_kwh=self.usable(charge),
            worths=self.worths,
            storage_pct=figures["storage_soc_pct"],
        )._replace(**around)


def _spans(record: PackRecord, minutes: Minutes) -> Iterable[_Span]:
    for row in record.flights:
        yield _Span(
            minutes.of(row.off_blocks),
            minutes.of(row.until),
            f"flight {row.flight_id}",
            row.soc_departure_pct,
            row.soc_landing_pct,
            None,
        )
    for charge in record.charges:
        yield _Span(
            minutes.of(charge.started),
            minutes.of(charge.ended or charge.started),
            f"charge {charge.charge_id}",
            charge.soc_start_pct,
            charge.soc_end_pct,
            charge,
        )


def _overlaps(span: _Span, latest: _Span | None, following: _Span | None) -> str:
    if latest is not None and latest.end > span.start:
        return latest.words
    if following is not None and following.start < span.end:
        return following.words
    return ""
