r"""The one place where text from people or files is made safe to show.

A remark may hold an escape sequence that moves the cursor, a carriage return that overwrites the figure before it, or a
bidirectional control that makes "12 minutes" read as another text (CVE-2021-42574). Nothing is dropped and nothing is
interpreted: what cannot be seen is written out, so that the reader sees that it is there.

    >>> visible("hot \x1b[2J pack")
    'hot \\x1b[2J pack'

Decoded text is filtered, never bytes: U+009C is a control, but the same byte is half of a letter in UTF-8.
"""

import re

_SHORT = {"\t": r"\t", "\n": r"\n", "\r": r"\r"}

# Sources: control codes C0, DEL and C1 (ISO/IEC 6429, ECMA-48); bidirectional controls (Unicode Standard Annex 9);
# line and paragraph separators, zero-width and other format characters without a shape (Unicode, general category Cf);
# surrogates stand for bytes that could not be decoded and
# cannot be written out as UTF-8; U+FFFE and U+FFFF are no characters at all, and XML forbids them.
_HIDDEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0"
    "\ufff0-\ufffb\ufffe\uffff\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff\ud800-\udfff]"
)
_HIDDEN_BUT_NEWLINE = re.compile(_HIDDEN.pattern.replace("\x00-\x1f", "\x00-\x09\x0b-\x1f"))


def visible(text: str, *, keep_newlines: bool = False) -> str:
    r"""Text with every character that has no shape of its own written as an escape.

    Applying it twice changes nothing more. A backslash stays a backslash, so a text that spells out ``\x1b`` looks like
    one that holds the character; both are harmless.

    Args:
        text: any text, also with lone surrogates.
        keep_newlines: leave line feeds in place, for text that is shown on several lines.
    """
    if text.isascii() and text.isprintable():
        return text  # nearly all there is, on every line of every screen
    pattern = _HIDDEN_BUT_NEWLINE if keep_newlines else _HIDDEN
    return pattern.sub(_escape, text)


def _escape(match: re.Match[str]) -> str:
    character = match.group()
    code = ord(character)
    if character in _SHORT:
        return _SHORT[character]
    if code <= 0xFF:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
