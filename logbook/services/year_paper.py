"""The report of a year on paper: which days count, its figures, and a digest of the rows they rest on."""

from __future__ import annotations

import re
from datetime import date, timedelta

from logbook.errors import DataRefused, UsageError
from logbook.reports.paper import Paper
from logbook.reports.year_page import year_page
from logbook.services.freshness import freshen
from logbook.services.liked_units import measures_of
from logbook.services.money import currency_of
from logbook.services.pack_status import moment
from logbook.services.paper_issue import issued
from logbook.services.year_figures import Period, year_figures
from logbook.services.year_upkeep import pack_year
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records
from logbook.units import instant_of


def years_of(book: Book) -> list[str]:
    """The years in which anything was flown, newest first."""
    days = Flights(book).days()
    return [] if days is None else [str(year) for year in range(int(days[1][:4]), int(days[0][:4]) - 1, -1)]


def period_of(book: Book, year: str, as_of: str | None = None) -> Period:
    """The days of a year up to a moment.

    Raises:
        UsageError: it is no year, or `as_of` is no date.
        DataRefused: the year had not begun at that moment.
    """
    if not re.fullmatch(r"[12]\d{3}", year.strip()):
        raise UsageError(f"'{year}' is no year.", next_step="Write it in four digits, such as 2031.")
    first = date(int(year), 1, 1)
    now = instant_of(moment(book, as_of)[0])[:10]
    if now < first.isoformat():
        raise DataRefused(
            f"{year} has not begun as of {now}.", next_step="Name an earlier year.", field="which"
        )
    last = min(date(int(year), 12, 31).isoformat(), now)
    return Period(first.isoformat(), last, (first - timedelta(days=1)).isoformat())


def year_paper(book: Book, year: str, as_of: str | None = None) -> Paper:
    """The report of a year; errors as of `period_of`.

    Args:
        book: the open book.
        year: four digits.
        as_of: a date; later days of the year do not count. None: up to now.
    """
    freshen(book)
    period = period_of(book, year, as_of)
    packs = pack_year(book, period.before, period.last)
    prices = {
        row["registration"]: row["electricity_price_per_kwh"]
        for _, row in Records(book, "aircraft").select("struck = 0")
    }
    paper = year_page(
        (period.first, period.last),
        year_figures(book, period),
        packs,
        "",
        prices=prices,
        currency=currency_of(book),
        measures=measures_of(book),
    )
    return issued(book, paper, "year", year.strip(), paper.as_of)
