"""The letters of the font that PDF pages are set in, and what becomes of those it lacks.

The font comes with the library that writes PDF (Bitstream Vera): Western Europe and some letters of Central Europe and
Turkish. A letter it lacks is shown by its base letter, else as a question mark, and the page says which.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib.util import find_spec
from typing import Final

from logbook.errors import UsageError
from logbook.reports.visible import visible

PLAIN: Final = "Vera"
BOLD: Final = "VeraBd"
_MOST_NAMED: Final = 12


def has_pdf() -> bool:
    """Whether the extra that writes PDF is installed; nothing is loaded."""
    return find_spec("reportlab") is not None


def need_pdf() -> None:
    """Makes sure that the extra that writes PDF is there.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import reportlab.platypus  # type: ignore[import-untyped]  # noqa: F401 - only whether it is there
    except ImportError:
        raise UsageError(
            "Writing PDF needs the extra 'pdf', which is not installed.",
            next_step="Install it, or write the page as HTML and print that.",
        ) from None


@cache
def _letters_of_font() -> frozenset[int]:
    """The code points both faces have; makes them known to the library when first asked."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped]
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped]

    faces = [TTFont(name, f"{name}.ttf") for name in (PLAIN, BOLD)]
    for face in faces:
        pdfmetrics.registerFont(face)
    return frozenset.intersection(*(frozenset(face.face.charToGlyph) for face in faces))


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a text stands [pt]; letters as `letters` gives them."""
    _letters_of_font()
    from reportlab.pdfbase.pdfmetrics import stringWidth  # type: ignore[import-untyped]

    return float(stringWidth(text, BOLD if bold else PLAIN, size))


def letters(text: str) -> str:
    """The text as the font can write it."""
    return "".join(map(_shown, unicodedata.normalize("NFC", visible(text))))


def _shown(letter: str) -> str:
    known = _letters_of_font()
    if ord(letter) in known:
        return letter
    base = unicodedata.normalize("NFKD", letter)[0]
    return base if base != letter and ord(base) in known else "?"


def lost(texts: Iterable[str]) -> str:
    """A sentence on the letters that cannot be written, by code point; empty where there are none."""
    found = {
        letter
        for text in texts
        for letter in unicodedata.normalize("NFC", visible(text))
        if _shown(letter) != letter
    }
    if not found:
        return ""
    named = [f"U+{ord(letter):04X} as {_shown(letter)}" for letter in sorted(found)]
    more = f" and {len(named) - _MOST_NAMED} more" if len(named) > _MOST_NAMED else ""
    return (
        f"Letters that the font of this paper does not have are shown otherwise: {', '.join(named[:_MOST_NAMED])}{more}; "
        "the HTML page has them all."
    )
