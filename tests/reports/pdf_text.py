"""Reads the text out of a PDF as a viewer does when it copies: by the table of each font that says which letter a code is.

Written from the format (ISO 32000-1: 7.5 file structure, 9.4 text, 9.10.3 ToUnicode), for the few parts of it that occur in
our files; it shares no code with what writes them.
"""

from __future__ import annotations

import base64
import re
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\s*(.*?)\s*endobj", re.DOTALL)
_STREAM = re.compile(rb"/Length (\d+).*?stream\r?\n", re.DOTALL)
_PIECE = re.compile(rb"/(F[\d+]+) [\d.]+ Tf|\(((?:\\.|[^\\()])*)\) Tj", re.DOTALL)


def sheets_of(data: bytes) -> list[str]:
    """The text of each sheet, pieces joined by blanks in the order in which they are drawn."""
    objects = {int(number): body for number, body in _OBJECT.findall(data)}
    root = next(body for body in objects.values() if b"/Type /Pages" in body)
    kids = re.search(rb"/Kids \[(.*?)\]", root)
    assert kids is not None
    fonts = _fonts(objects)
    found = []
    for number in re.findall(rb"(\d+) 0 R", kids[1]):
        (contents,) = re.findall(rb"/Contents (\d+) 0 R", objects[int(number)])
        found.append(_text(_unpacked(objects[int(contents)]), fonts))
    return found


def text_of(data: bytes) -> str:
    """The text of all sheets, white space single."""
    return " ".join(" ".join(sheets_of(data)).split())


def _fonts(objects: dict[int, bytes]) -> dict[bytes, dict[int, str]]:
    found: dict[bytes, dict[int, str]] = {}
    for body in objects.values():
        table = re.search(rb"/ToUnicode (\d+) 0 R", body)
        if table is not None:
            (name,) = re.findall(rb"/Name /(\S+)", body)
            found[name] = _letters(_unpacked(objects[int(table[1])]))
    return found


def _letters(table: bytes) -> dict[int, str]:
    """Codes and letters of a ToUnicode table: pairs between `beginbfchar` and `endbfchar`."""
    letters = {}
    for part in re.findall(rb"beginbfchar\s(.*?)endbfchar", table, re.DOTALL):
        for code, meant in re.findall(rb"<(\w+)>\s*<(\w+)>", part):
            letters[int(code, 16)] = bytes.fromhex(meant.decode()).decode("utf-16-be")
    assert letters, table[:200]
    return letters


def _unpacked(body: bytes) -> bytes:
    stream = _STREAM.search(body)
    assert stream is not None
    packed = body[stream.end() : stream.end() + int(stream[1])]
    if b"/ASCII85Decode" in body:
        packed = base64.a85decode(packed.strip().removesuffix(b"~>"))
    return zlib.decompress(packed) if b"/FlateDecode" in body else packed


def _text(drawn: bytes, fonts: dict[bytes, dict[int, str]]) -> str:
    pieces, font = [], b""
    for name, text in _PIECE.findall(drawn):
        if name:
            font = name
        else:
            pieces.append("".join(fonts[font][code] for code in _bytes(text)))
    return " ".join(pieces)


def _bytes(text: bytes) -> bytes:
    """A literal string: three octal digits, or a backslash before what would end it."""

    def meant(match: re.Match[bytes]) -> bytes:
        code = match[1]
        names = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
        return bytes([int(code, 8)]) if code.isdigit() else names.get(code, code)

    return re.sub(rb"\\([0-7]{1,3}|.)", meant, text, flags=re.DOTALL)
