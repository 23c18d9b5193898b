"""What was typed, upon a record that somebody else changed while it was on the form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.services.unfinished import Entry
from logbook.services.versions import label_of

Fields = Mapping[str, tuple[str, str]]
_EMPTY: Final = ("", "empty")


def upon(entry: Entry, was: Fields, now: Fields, shown: Mapping[str, Any]) -> tuple[Entry, list[str]]:
    """The entry upon the record as it is now.

    A field nobody typed into takes what somebody else wrote; a field both changed keeps what was typed here, and says so.

    Args:
        entry: as it was typed, read under `entry.seen`.
        was: the fields as they were read then, as they would be typed.
        now: the fields as they are.
        shown: the record, with `versions` and `token`.

    Returns: The entry, to be saved once more; and a sentence for each field somebody else changed, and who did.
    """
    values, said = dict(entry.values), []
    for name in sorted(was.keys() | now.keys()):
        before, after = was.get(name, _EMPTY), now.get(name, _EMPTY)
        if before[0] == after[0]:
            continue
        mine = values.get(name, _EMPTY)
        words = f"{_label(entry.kind, name)}: it was {before[0] or 'empty'} and is {after[0] or 'empty'} now"
        if mine[0] in (before[0], after[0]):
            values[name] = after
            said.append(f"{words}.")
        else:
            said.append(f"{words}; you typed {mine[0] or 'nothing'}, which F2 writes over it.")
    by = [
        str(one["by_whom"]) for one in shown["versions"] if one["seq"] > (entry.seen or 0) and one["by_whom"]
    ]
    who = [f"By {', '.join(dict.fromkeys(by))}."] if by else []
    return entry._replace(values=values, seen=int(shown["token"])), [*said, *who]


def _label(kind: str, name: str) -> str:
    serial, _, column = name.rpartition(".")
    label = label_of(kind, column)
    words = f"{label} of {serial}" if serial else label
    return words[:1].upper() + words[1:]
