"""The pilot's record as one HTML page that prints a sheet for each page: heads repeated, totals at the foot.

All text goes through the one escaping function of the papers; a strict policy forbids everything else.
"""

from __future__ import annotations

import base64
import hashlib
import html
from collections.abc import Iterator
from itertools import groupby
from typing import Final, TextIO

from logbook.reports.html_page import escaped
from logbook.reports.pilot_pages import TOTALS, Page, PageColumn, PilotPages, Sums
from logbook.reports.pilot_pages_text import columns_of, holder_lines, title_of

STYLE: Final = """
@page { size: A4 landscape; margin: 10mm; }
body { font: 9pt/1.3 "Liberation Sans", Arial, sans-serif; color: #111; background: #fff; margin: 1.5em; }
section { break-after: page; margin-bottom: 3em; } section:last-of-type { break-after: auto; }
h1 { font-size: 12pt; margin: 0 0 .2em; } p { margin: .2em 0; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; }
thead { display: table-header-group; } tfoot { display: table-row-group; } tr { break-inside: avoid; }
th, td { border: .5pt solid #666; padding: .15em .3em; text-align: left; vertical-align: top; overflow-wrap: break-word; }
th { font-weight: normal; font-size: .9em; } .right { text-align: right; white-space: nowrap; }
.day { white-space: nowrap; } .words { overflow-wrap: anywhere; min-width: 9em; }
tfoot th { font-weight: bold; text-align: right; } tfoot td { font-weight: bold; }
.sign { display: flex; gap: 3em; margin-top: 2.5em; break-inside: avoid; }
.sign div { flex: 1; border-top: .5pt solid #111; padding-top: .2em; font-size: 8pt; }
.foot { font-size: 7.5pt; margin-top: 1em; overflow-wrap: anywhere; } .missing { border: 1pt solid #111; padding: .4em .7em; margin-bottom: 2em; }
@media print {
  body { margin: 0; font-size: 7.5pt; line-height: 1.2; } section { margin-bottom: 0; } .missing { display: none; }
  th, td { padding: .1em .2em; } .sign { margin-top: 2em; } .foot { font-size: 6.5pt; margin-top: .6em; line-height: 1.15; }
}
"""
"""Black on white, landscape, for a grey printer; what is incomplete is seen on the screen and not printed."""

_DIGEST: Final = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY: Final = f"default-src 'none'; style-src 'sha256-{_DIGEST}'; base-uri 'none'; form-action 'none'"


_KINDS: Final = {"date": "day", "UTC": "day", "remarks and endorsements": "words"}
"""Columns that are never broken, and the one that may be broken anywhere."""


def write_pages_html(stream: TextIO, pages: PilotPages) -> None:
    """Writes a pilot's record as HTML."""
    title = f"{title_of(pages.form)}: {pages.person['person']}"
    stream.write(
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{html.escape(POLICY, quote=True)}">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<meta name="referrer" content="no-referrer">\n'
        f"<title>{escaped(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
    )
    stream.writelines(_missing(pages))
    for page in pages.pages:
        stream.writelines(_page(pages, page))
    stream.write("</main>\n</body>\n</html>\n")


def _missing(pages: PilotPages) -> Iterator[str]:
    if not pages.missing:
        return
    yield '<div class="missing"><p>Incomplete (not printed):</p>\n<ul>\n'
    for date, flight_id, words in pages.missing:
        where = f"{date} {flight_id}: " if flight_id else ""
        yield f"<li>{escaped(where + words)}</li>\n"
    yield "</ul></div>\n"


def _page(pages: PilotPages, page: Page) -> Iterator[str]:
    columns = columns_of(pages.form)
    yield f"<section>\n<h1>{escaped(title_of(pages.form))}, page {page.number} of {len(pages.pages)}</h1>\n"
    for line in holder_lines(pages, str):
        yield f"<p>{escaped(line)}</p>\n"
    yield from _head(columns)
    yield "<tbody>\n"
    for entry in page.entries:
        cells = (f"<td{_side(column)}>{escaped(column.cell(entry))}</td>" for column in columns)
        yield f"<tr>{''.join(cells)}</tr>\n"
    if not page.entries:
        yield f'<tr><td colspan="{len(columns)}">No entries.</td></tr>\n'
    yield "</tbody>\n<tfoot>\n"
    for words, of in TOTALS:
        yield _total_row(columns, words, of(page))
    yield "</tfoot>\n</table>\n<p>I certify that the entries in this log are true.</p>\n"
    yield '<div class="sign"><div>Date</div><div>Pilot\'s signature</div></div>\n'
    yield from _foot(pages, page)


def _head(columns: tuple[PageColumn, ...]) -> Iterator[str]:
    yield "<table>\n<thead>\n<tr>"
    for group, members in groupby(columns, key=lambda column: column.group):
        yield f'<th scope="colgroup" colspan="{len(list(members))}">{escaped(group)}</th>'
    yield "</tr>\n<tr>"
    for column in columns:
        yield f'<th scope="col"{_side(column)}>{escaped(column.title)}</th>'
    yield "</tr>\n</thead>\n"


def _total_row(columns: tuple[PageColumn, ...], words: str, sums: Sums) -> str:
    """The words stand before the first column that adds up."""
    first = next(at for at, column in enumerate(columns) if column.total is not None)
    cells = [f'<th scope="row" colspan="{first}">{escaped(words)}</th>']
    for column in columns[first:]:
        text = "" if column.total is None else column.total(sums)
        cells.append(f"<td{_side(column)}>{escaped(text)}</td>")
    return f"<tr>{''.join(cells)}</tr>\n"


def _foot(pages: PilotPages, page: Page) -> Iterator[str]:
    notes = pages.notes if page.number == len(pages.pages) else ()
    states, head = pages.chain
    lines = [*notes, f"Head of the chain of {states} earlier states (SHA-256): {head}"]
    yield f'<div class="foot">{"".join(f"<p>{escaped(line)}</p>" for line in lines)}</div>\n</section>\n'


def _side(column: PageColumn) -> str:
    kind = "right" if column.right else _KINDS.get(column.title, "")
    return f' class="{kind}"' if kind else ""
