"""One kept plan as a page: plain text of eighty columns, or a paper with its profile."""

from __future__ import annotations

import io

from logbook.errors import DataRefused
from logbook.reports.paper import Paper
from logbook.services.liked_units import measures_of
from logbook.services.plan_kept import PlanReview, review_of
from logbook.store.database import Book


def plan_page(book: Book, plan_id: str) -> tuple[Paper, str]:
    """A kept plan for paper, as the forecast was given.

    Args:
        book: the open book.
        plan_id: of the plan.

    Returns: the paper, and the same as plain text.

    Raises:
        DataRefused: there is no such plan, or it was kept without its answer.
    """
    from logbook.reports.plan_page import plan_paper
    from logbook.reports.plan_text import write_plan

    review, measures = review_of(book, plan_id), measures_of(book)
    if "verdict" not in review.answer:
        raise DataRefused(
            f"The plan '{plan_id}' was kept without its answer.",
            next_step="Open it in Plan and keep it again.",
        )
    title, text = title_of(review), io.StringIO()
    heading = f"{title}, made {review.made_at[:10]} {review.made_at[11:16]} UTC"
    write_plan(text, heading, review.answer, measures)
    return plan_paper(title, review.made_at, review.plan, review.answer, measures), text.getvalue()


def title_of(review: PlanReview) -> str:
    """What a plan is called: its title, else the aeroplane and what is flown."""
    return f"Plan for {review.aircraft}: {review.title}" if review.title else f"Plan for {review.aircraft}"
