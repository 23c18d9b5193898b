"""One kept plan as a page: plain text of eighty columns, and HTML with its profile."""

from __future__ import annotations

import io

from logbook.errors import DataRefused
from logbook.services.plan_kept import PlanReview, review_of
from logbook.store.database import Book


def export_plan(book: Book, plan_id: str) -> tuple[str, str, str]:
    """A kept plan for paper, as the forecast was given.

    Args:
        book: the open book.
        plan_id: of the plan.

    Returns: title, plain text, HTML.

    Raises:
        DataRefused: there is no such plan, or it was kept without its answer.
    """
    from logbook.reports.html_page import write_html
    from logbook.reports.plan_page import plan_paper
    from logbook.reports.plan_text import write_plan

    review = review_of(book, plan_id)
    if "verdict" not in review.answer:
        raise DataRefused(
            f"The plan '{plan_id}' was kept without its answer.",
            next_step="Open it in Plan and keep it again.",
        )
    title, text, page = title_of(review), io.StringIO(), io.StringIO()
    write_plan(text, f"{title}, made {review.made_at[:10]} {review.made_at[11:16]} UTC", review.answer)
    write_html(page, plan_paper(title, review.made_at, review.plan, review.answer))
    return title, text.getvalue(), page.getvalue()


def title_of(review: PlanReview) -> str:
    """What a plan is called: its title, else the aeroplane and what is flown."""
    return f"Plan for {review.aircraft}: {review.title}" if review.title else f"Plan for {review.aircraft}"
