"""Blank slips as one page of HTML to print: a sheet for each, boxes with room for a pencil."""

from __future__ import annotations

import base64
import hashlib
import html
from collections.abc import Iterator, Sequence
from typing import Final, TextIO

from logbook.reports.html_page import escaped
from logbook.reports.slips import LEAVE_EMPTY, Group, Slip

STYLE: Final = """
@page { size: auto; margin: 14mm; }
body { font: 10pt/1.25 "Liberation Sans", Arial, sans-serif; color: #000; background: #fff; max-width: 185mm; margin: 1em auto; }
section { break-after: page; } section:last-child { break-after: auto; }
h1 { font-size: 15pt; margin: 0; } h2 { font-size: 11pt; margin: .9em 0 .2em; break-after: avoid; }
.boxes { display: grid; grid-template-columns: repeat(4, 1fr); gap: 1.5mm; break-inside: avoid; }
.box { border: .6pt solid #000; min-height: 11mm; padding: .5mm 1mm; position: relative; } .long { grid-column: 1 / -1; min-height: 20mm; }
.label { font-size: 7.5pt; } .unit { position: absolute; right: 1mm; bottom: .5mm; font-size: 8pt; } .choices { font-size: 6.5pt; display: block; }
p { margin: .2em 0; font-size: 8.5pt; }
"""
"""Black on white; four boxes in a row fit A4 and letter paper."""

_DIGEST: Final = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
_POLICY: Final = f"default-src 'none'; style-src 'sha256-{_DIGEST}'; base-uri 'none'; form-action 'none'"


def write_slips_html(stream: TextIO, slips: Sequence[Slip]) -> None:
    """Writes slips as one HTML page without script, on which nothing is fetched."""
    title = escaped("; ".join(slip.title for slip in slips))
    stream.write(
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{html.escape(_POLICY, quote=True)}">\n'
        f"<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
    )
    for slip in slips:
        stream.write(f"<section>\n<h1>{escaped(slip.title)}</h1>\n")
        stream.write(f"<p>{escaped(slip.hint)} {LEAVE_EMPTY}</p>\n")
        for group in slip.groups:
            stream.writelines(_group(group))
        stream.write("</section>\n")
    stream.write("</body>\n</html>\n")


def _group(group: Group) -> Iterator[str]:
    yield f'<h2>{escaped(group.heading)}</h2>\n<div class="boxes">\n'
    for box in group.boxes:
        kind = "box long" if box.long else "box"
        unit = f'<span class="unit">{escaped(box.unit)}</span>' if box.unit else ""
        choices = f'<span class="choices">{escaped(" · ".join(box.choices))}</span>' if box.choices else ""
        yield f'<div class="{kind}"><span class="label">{escaped(box.label)}</span>{choices}{unit}</div>\n'
    yield "</div>\n"
