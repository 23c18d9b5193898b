"""The one writer of HTML: everything that people or files wrote is escaped here, and a strict policy forbids the rest.

A page stands alone: no script, nothing fetched, one style sheet inside, allowed by its digest only. It prints on A4 and
letter paper; table heads are repeated on each sheet and rows are not cut in two.

Source of the policy: Content Security Policy Level 3 (W3C); a `meta` element must come before what it governs.
"""

from __future__ import annotations

import base64
import hashlib
import html
from collections.abc import Iterator
from typing import Any, Final, TextIO

from logbook.reports.paper import Block, Facts, Heading, Listing, Paper, Picture, SignHere, Words
from logbook.reports.paper_line import START
from logbook.reports.paper_text import marks_of, split_html
from logbook.reports.plot_svg import plot_svg
from logbook.reports.visible import visible
from logbook.units import to_cell

STYLE: Final = """
@page { size: auto; margin: 16mm 14mm; }
body { font: 10.5pt/1.35 "Liberation Sans", Arial, sans-serif; color: #111; background: #fff; max-width: 190mm; margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 16pt; margin: 0 0 .2em; } h2 { font-size: 12pt; margin: 1.4em 0 .3em; break-after: avoid; }
table { border-collapse: collapse; width: 100%; } thead { display: table-header-group; }
th, td { border-bottom: .5pt solid #999; padding: .18em .5em .18em 0; text-align: left; vertical-align: top; overflow-wrap: anywhere; white-space: pre-line; }
th { border-bottom: 1pt solid #111; } .right { text-align: right; } tr { break-inside: avoid; }
dl { display: grid; grid-template-columns: minmax(12em, max-content) 1fr; gap: .1em 1.2em; margin: .3em 0; } dd { margin: 0; overflow-wrap: anywhere; white-space: pre-line; }
.standing { font-weight: bold; border: 1pt solid #111; padding: .4em .7em; } .footing { font-size: 8pt; margin-top: 2em; border-top: .5pt solid #999; overflow-wrap: anywhere; }
.check { font-size: 7pt; color: #555; overflow-wrap: anywhere; }
.strong { font-weight: bold; } .sign { display: flex; gap: 2em; margin-top: 3em; break-inside: avoid; } .sign div { flex: 1; border-top: .5pt solid #111; padding-top: .2em; font-size: 9pt; }
svg { max-width: 100%; height: auto; } figure { margin: .5em 0; break-inside: avoid; } figcaption { font-size: 9pt; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9.5pt; } }
"""
"""The style sheet of every page: black on white, for a grey printer."""

_DIGEST: Final = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY: Final = f"default-src 'none'; style-src 'sha256-{_DIGEST}'; base-uri 'none'; form-action 'none'"
"""Nothing runs and nothing is fetched, whatever a remark holds; the one style sheet is known by its digest."""


def escaped(value: Any) -> str:
    """A value as text that HTML cannot read as anything else; hidden characters are written out."""
    return html.escape(visible(to_cell(value), keep_newlines=True), quote=True)


def write_html(stream: TextIO, paper: Paper) -> None:
    """Writes a paper as one HTML page."""
    content = "".join(_page(paper))
    stream.write(content)
    if paper.line is not None:
        split = split_html(content + START)
        line = paper.line.written(*marks_of(paper.line, "" if split is None else split.body))
        stream.write(f'<p class="check">{escaped(line)}</p>\n')
    stream.write("</main>\n</body>\n</html>\n")


def _page(paper: Paper) -> Iterator[str]:
    yield (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{html.escape(POLICY, quote=True)}">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<meta name="referrer" content="no-referrer">\n'
        f"<title>{escaped(paper.title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
        f'<h1>{escaped(paper.title)}</h1>\n<p class="standing">{escaped(paper.standing)}</p>\n'
    )
    for block in paper.blocks:
        yield from _block(block)
    yield f'<p class="footing">{escaped(paper.footing)}</p>\n'


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"<h2>{escaped(block.words)}</h2>\n"
    elif isinstance(block, Words):
        kind = ' class="strong"' if block.strong else ""
        yield f"<p{kind}>{escaped(block.text)}</p>\n"
    elif isinstance(block, Facts):
        yield from _facts(block)
    elif isinstance(block, Listing):
        yield from _listing(block)
    elif isinstance(block, Picture):
        yield f"<figure>{plot_svg(block.plot)}<figcaption>{escaped(block.words)}</figcaption></figure>\n"
    elif isinstance(block, SignHere):
        yield f'<div class="sign">{"".join(f"<div>{escaped(line)}</div>" for line in block.lines)}</div>\n'


def _facts(block: Facts) -> Iterator[str]:
    yield "<dl>\n"
    for label, value in block.pairs:
        yield f"<dt>{escaped(label)}</dt><dd>{escaped(value) if value not in (None, '') else 'unknown'}</dd>\n"
    yield "</dl>\n"


def _listing(block: Listing) -> Iterator[str]:
    if not block.rows:
        yield f"<p>{escaped(block.empty)}</p>\n"
        return
    yield "<table>\n<thead><tr>"
    for column in block.columns:
        yield f'<th scope="col"{_side(column.right)}>{escaped(column.title)}</th>'
    yield "</tr></thead>\n<tbody>\n"
    for row in block.rows:
        cells = (f"<td{_side(column.right)}>{escaped(row.get(column.key))}</td>" for column in block.columns)
        yield f"<tr>{''.join(cells)}</tr>\n"
    yield "</tbody>\n</table>\n"


def _side(right: bool) -> str:
    return ' class="right"' if right else ""
