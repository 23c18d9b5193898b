"""A paper to a file or a stream, in the form that is wanted: HTML and PDF to print, text of eighty columns."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO, Final

from logbook.reports.paper import Paper
from logbook.reports.target import text_to, written_to
from logbook.services.pack_papers import write_paper

ENDINGS: Final = {".html": "html", ".htm": "html", ".pdf": "pdf", ".txt": "text"}


def form_by_ending(to: Path | str) -> str:
    """The form a path asks for by its ending; text where it asks for none."""
    return ENDINGS.get(Path(to).suffix.lower(), "text")


def write_paper_to(to: Path | str | BinaryIO, paper: Paper, form: str, *, force: bool = False) -> None:
    """Writes a paper.

    Args:
        to: a path, `-` for standard output, or a binary stream.
        paper: what.
        form: html, text or pdf.
        force: replace a file that is there.

    Raises:
        UsageError: there is no such form, it needs an extra that is not installed, or something is at that path.
        FileTrouble: it cannot be written.
    """
    if form == "pdf":
        from logbook.reports.paper_pdf import write_pdf

        with written_to(to, force=force) as binary:
            write_pdf(binary, paper)
        return
    with text_to(to, force=force) as stream:
        write_paper(stream, paper, form)
