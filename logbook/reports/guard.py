"""Keeps a spreadsheet from running text: the rule of `docs/interface.md`, both ways.

Source of the risk: CWE-1236; the OWASP page on CSV injection names the first characters = + - @ tab CR LF,
ASVS 5.0 requirement 1.2.10 adds NUL. Only text is guarded; numbers stay numbers.
"""

from __future__ import annotations

import re
from typing import Final

_RISKY: Final = re.compile(r"'*[=+\-@\t\r\n\0]")


def guarded(text: str) -> str:
    """The text with one apostrophe in front where a spreadsheet could run it, or where `bared` would bare it."""
    return "'" + text if _RISKY.match(text) else text


def bared(text: str) -> str:
    """The text as it was before `guarded`."""
    return text[1:] if text.startswith("'") and _RISKY.match(text[1:]) else text
