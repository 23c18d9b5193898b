"""Giving a paper the line by which it is found again, and the moment it is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from logbook.reports.paper import Paper
from logbook.reports.paper_line import FORM, PaperLine, Part
from logbook.rules.edition import EDITION
from logbook.services.liked_units import measures_of
from logbook.services.pack_status import moment
from logbook.services.paper_rests import digest_of_rests, parts_of, rests_of
from logbook.store.behind_papers import newest_about
from logbook.store.database import Book
from logbook.units import instant_of


def moment_of(
    book: Book, as_of: str | None, *, packs: Sequence[str] = (), aircraft: Sequence[str] = ()
) -> str:
    """The moment a paper is of (UTC): the one that was named, else one after which nothing is on record yet.

    A paper of the present holds everything there is; so that it can be asked about later, its moment is written down.

    Raises:
        UsageError: `as_of` is no date.
    """
    now, until = moment(book, as_of, packs or None)
    if as_of is not None:
        return until
    present, newest = instant_of(now), newest_about(book, packs, aircraft)
    return present if newest <= present else f"{newest[:10]}T23:59Z"


def issued(book: Book, paper: Paper, what: str, which: str, until: str) -> Paper:
    """A paper of maintenance or of a year with its digest, its moment and its line."""
    rests = rests_of(book, what, which, until)
    return with_line(
        book, replace(paper, as_of=until, digest=digest_of_rests(rests)), what, which, parts_of(rests)
    )


def with_line(book: Book, paper: Paper, what: str, which: str, parts: Sequence[Part] = ()) -> Paper:
    """A paper with its line; its moment and its digest are those it has."""
    line = PaperLine(
        what, which, paper.as_of, _now(), EDITION, FORM, _units(book), tuple(parts), paper.digest
    )
    return replace(paper, line=line)


def _now() -> str:
    """The present moment to the second (UTC): histories say to the second when a record was changed."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"


def _units(book: Book) -> str:
    return ",".join(unit.removeprefix("°") for unit in measures_of(book))
