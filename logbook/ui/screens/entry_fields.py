"""The fields of a form as widgets: parts under headings, two columns where there is room, packs side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Protocol

from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from logbook.services.flight_fields import AFTER, BEFORE, MORE, Field, Slot
from logbook.services.flight_form import owner_of
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse
from logbook.ui.widgets.words_field import WordsField

EntryField = ReadingField | WordsField
_LABEL, _BOX, _WORDS_BOX = 11, 7, 13
_WITH_WORDS = frozenset(
    {
        "pilot",
        "function",
        "second_person",
        "second_function",
        "kind",
        "place_from",
        "place_to",
        "handled_by",
        "safety_pilot",
        "device_text",
        "charger",
        "place",
        "purpose",
        "ended_because",
    }
)
_AFTER_PACKS = ("expected_back", "pilot_estimate_soc_pct")
HEADINGS = {
    BEFORE: "Before start (F6 leads on)",
    AFTER: "After landing (F6 leads on)",
    MORE: "More (F6): night, whose landings, instruments, wind, exercise, debrief",
}


def part_id(part: str) -> str:
    """The id of the widget that holds a part."""
    return f"part-{part.replace(' ', '-')}"


class AnyForm(Protocol):
    """A form with fields of its own and of packs: of a flight or of a charge."""

    @property
    def fields(self) -> tuple[Field, ...]:
        """In the order of the work."""

    @property
    def packs(self) -> tuple[Slot, ...]:
        """In the order of their positions."""


class FormFields:
    """Makes the widgets of a form and knows them by name."""

    def __init__(
        self, form: AnyForm, parse: Callable[[str], Parse], headings: Mapping[str, str] = HEADINGS
    ) -> None:
        """The fields, not made yet.

        Args:
            form: what is asked for.
            parse: gives for a field's name what its text means.
            headings: the parts of the form and what stands above each; empty: nothing.
        """
        self.form = form
        self._parse = parse
        self._headings = headings
        self.by_name: dict[str, EntryField] = {}

    def parts(self) -> Iterator[Widget]:
        """Each part: heading, the flight's own fields, the packs, sentences."""
        for part, heading in self._headings.items():
            fields = [field for field in self.form.fields if field.part == part]
            if not fields:
                continue
            body = [*self._own(fields), *self._sentences(fields)]
            inside = Vertical(*body, classes="form-part", id=f"{part_id(part)}-fields")
            inside.display = part != MORE
            above = [PlainText(heading, classes="part")] if heading else []
            yield Vertical(*above, inside, classes="form-part", id=part_id(part))

    def _own(self, fields: Sequence[Field]) -> list[Widget]:
        """In two columns: the flight's own fields, the packs' below them, one column each, and what is told after those."""
        own = [field for field in fields if owner_of(field.name) is None and not field.long]
        late = [field for field in own if field.name in _AFTER_PACKS]
        own = [field for field in own if field not in late]
        half = (len(own) + 1) // 2
        found = self._row([own[:half], own[half:]]) if own else []
        packs = [
            (slot, [f for f in fields if owner_of(f.name) == slot.serial_no]) for slot in self.form.packs
        ]
        for at in range(0, len(packs), 2):
            if packs[at][1]:
                found.append(_columns([self._pack(slot, mine) for slot, mine in packs[at : at + 2]]))
        found += self._row([[field] for field in fields if owner_of(field.name) == ""])
        return found + self._row([[field] for field in late])

    def _row(self, columns: Sequence[Sequence[Field]]) -> list[Widget]:
        return [_columns([[self._make(field) for field in column] for column in columns])] if columns else []

    def _pack(self, slot: Slot, fields: Sequence[Field]) -> list[Widget]:
        name = f"{slot.position}  {slot.serial_no}" if slot.position else slot.serial_no
        words = f"{name}  ! {slot.grounded}" if slot.grounded else name
        return [PlainText(words, classes="pack"), *(self._make(field) for field in fields)]

    def _sentences(self, fields: Sequence[Field]) -> list[Widget]:
        return [self._make(field) for field in fields if field.long]

    def _make(self, field: Field) -> EntryField:
        made: EntryField
        if field.long:
            made = WordsField(field.label, label_width=_LABEL)
        else:
            made = ReadingField(
                field.label,
                parse=self._parse(field.name),
                unit=field.unit,
                expected=field.expected,
                width=_WORDS_BOX if field.name in _WITH_WORDS else _BOX,
                label_width=_LABEL,
                goes_on=True,
            )
        self.by_name[field.name] = made
        return made

    def field_of(self, widget: Widget | None) -> Field | None:
        """The field in which a widget stands."""
        inside = [] if widget is None else [widget, *widget.ancestors]
        return next((field for field in self.form.fields if self.by_name[field.name] in inside), None)

    def order(self) -> list[str]:
        """Names in the order in which Enter leads through them."""
        return list(self.by_name)

    def name_of(self, widget: Widget) -> str | None:
        """The name of a field of this form; None for one of a form that was left."""
        return next((name for name, field in self.by_name.items() if field is widget), None)


def _columns(columns: Sequence[Sequence[Widget]]) -> Widget:
    return Horizontal(*(Vertical(*column) for column in columns), classes="columns")
