"""Text from people reaches no terminal as a command."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.reports.visible import visible

ANY_TEXT = st.text(st.characters())  # lone surrogates included

# Explicit bidirectional formatting characters, Unicode Standard Annex 9, table 4, as the interpreter's own data has them.
BIDI_CLASSES = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        # Escape forms of ECMA-48: CSI, OSC (ended by BEL and by ST), the eight-bit CSI; the clipboard sequence OSC 52.
        ("\x1b[2J", r"\x1b[2J"),
        ("\x1b]0;x\x07", r"\x1b]0;x\x07"),
        ("\x1b]52;c;AAAA\x1b\\", "\\x1b]52;c;AAAA\\x1b\\"),
        ("\x9b31m", r"\x9b31m"),
        ("a\rb", r"a\rb"),
        ("a\x00b", r"a\x00b"),
        ("a\x7fb", r"a\x7fb"),
        ("\t=1", r"\t=1"),
        ("one\ntwo", r"one\ntwo"),
        # Bidirectional controls (CVE-2021-42574) and marks without width.
        ("\u202eabc", r"\u202eabc"),
        ("\u2066abc\u2069", r"\u2066abc\u2069"),
        ("\u200e\u200f\u061c", r"\u200e\u200f\u061c"),
        ("no\u200bspace\ufeff", r"no\u200bspace\ufeff"),
        ("\u2028", r"\u2028"),
        ("\U000e0041", r"\U000e0041"),
        # Bytes that could not be decoded.
        ("\udc80", r"\udc80"),
        # Text that must survive: the second byte of a letter in UTF-8 is a C1 code; formulas and markup are only text here.
        ("Ü ü ß Š ő € — ≥ 電池 🛩", "Ü ü ß Š ő € — ≥ 電池 🛩"),
        ("=cmd|' /C calc'!A0", "=cmd|' /C calc'!A0"),
        ("[/] wind [P1] hot", "[/] wind [P1] hot"),
        ("C:\\x1b", "C:\\x1b"),
        ("", ""),
    ],
)
def test_what_has_no_shape_is_written_out_and_the_rest_stays(raw: str, shown: str) -> None:
    assert visible(raw) == shown


def test_lines_stay_lines_where_asked_but_a_carriage_return_does_not() -> None:
    assert visible("one\ntwo\r\nthree\t4", keep_newlines=True) == "one\ntwo\\r\nthree\\t4"


@given(ANY_TEXT, st.booleans())
def test_no_text_keeps_a_control_a_bidi_control_or_a_surrogate(text: str, keep_newlines: bool) -> None:
    shown = visible(text, keep_newlines=keep_newlines)
    rest = shown.replace("\n", "") if keep_newlines else shown
    assert not [c for c in rest if unicodedata.category(c) in {"Cc", "Cs", "Zl", "Zp"}]
    assert not [c for c in rest if unicodedata.bidirectional(c) in BIDI_CLASSES]
    shown.encode("utf-8")  # raises if a surrogate is left


@given(ANY_TEXT)
def test_twice_is_the_same_as_once(text: str) -> None:
    assert visible(visible(text)) == visible(text)


@given(
    st.text(
        st.characters(categories=["L", "N", "P", "S", "Zs"], exclude_characters="\u115f\u1160\u3164\uffa0")
    )
)
def test_ordinary_text_is_never_changed(text: str) -> None:
    assert visible(text) == text


def test_every_control_of_every_kind_is_covered() -> None:
    hidden = [c for c in map(chr, range(0x110000)) if unicodedata.category(c) in {"Cc", "Cs", "Zl", "Zp"}]
    assert len(hidden) > 2000
    assert all(visible(c) != c for c in hidden)
