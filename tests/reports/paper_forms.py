"""A paper in each of the forms it can have, as text to look things up in."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

from logbook.reports.paper import Facts, Listing, Paper
from logbook.reports.paper_pdf import write_pdf
from logbook.services.pack_papers import write_paper
from logbook.units import to_cell
from tests.reports.pdf_text import text_of


def figures_of(paper: Paper) -> Iterator[str]:
    """Every number of the facts and tables of a paper."""
    for block in paper.blocks:
        if isinstance(block, Facts):
            yield from (to_cell(value) for _, value in block.pairs if isinstance(value, (int, float)))
        elif isinstance(block, Listing):
            cells = (row.get(column.key) for row in block.rows for column in block.columns)
            yield from (to_cell(value) for value in cells if isinstance(value, (int, float)))


def papers_of(paper: Paper) -> dict[str, str]:
    """The text of a paper in each of its forms, without markup."""
    found = {}
    for form in ("text", "html"):
        stream = io.StringIO()
        write_paper(stream, paper, form)
        found[form] = re.sub(
            r"<svg.*?</svg>|<style.*?</style>|<[^>]*>", " ", stream.getvalue(), flags=re.DOTALL
        )
    return found | {"pdf": text_of(pdf_of(paper))}


def pdf_of(paper: Paper) -> bytes:
    """A paper as PDF."""
    stream = io.BytesIO()
    write_pdf(stream, paper)
    return stream.getvalue()
