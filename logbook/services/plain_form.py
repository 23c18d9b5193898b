"""A form of any kind: its fields in order, how each text is read, and what stands in the record now.

Screens draw it without knowing what it is about; `services.record_form` and `services.first_start` make such forms.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from logbook.errors import DataRefused
from logbook.services import typed
from logbook.services.typed import Meaning, Reader

Values = Mapping[str, tuple[str, str]]
"""Field to (text as typed, source: `read`, `confirmed`, `not-read`, `empty`)."""


class FormField(NamedTuple):
    """One field.

    Attributes:
        name: the column.
        label: what stands before it.
        unit: shown in grey while it is empty.
        help: one or two sentences: what it is, what it is good for, and where to look it up.
        part: heading under which it stands.
        expected: what the record says now, as it would be typed; empty where nothing.
        required: nothing can be saved without it.
    """

    name: str
    label: str
    unit: str = ""
    help: str = ""
    part: str = ""
    expected: str = ""
    required: bool = False


class PlainForm(NamedTuple):
    """Fields with their readers.

    Attributes:
        title: what the form is for.
        fields: in the order in which they stand.
        readers: how the text of each is read; a field without one takes any words.
        changing: fields left empty stay as they are, `-` makes them unknown; else empty means unknown.
    """

    title: str
    fields: tuple[FormField, ...]
    readers: Mapping[str, Reader]
    changing: bool = False

    def meaning(self, name: str, text: str) -> Meaning:
        """What a text means in a field."""
        return self.readers.get(name, typed.words)(text)

    def record(self, values: Values) -> dict[str, Any]:
        """The filled fields as values; None for those that were made unknown.

        Raises:
            DataRefused: a field cannot mean anything, or a required one is empty; names the field.
        """
        found: dict[str, Any] = {}
        for field in self.fields:
            text, source = values.get(field.name, ("", "empty"))
            if source == "not-read":
                found[field.name] = None
            elif source != "empty" and text.strip():
                meaning = self.meaning(field.name, text)
                if meaning.problem:
                    raise DataRefused(
                        f"{field.label}: {meaning.problem}.", next_step="Correct the field.", field=field.name
                    )
                found[field.name] = meaning.value
            if field.required and found.get(field.name, field.expected if self.changing else None) in (
                None,
                "",
            ):
                raise DataRefused(f"{field.label} is needed.", next_step="Fill it in.", field=field.name)
        return found
