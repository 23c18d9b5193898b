"""The fields of the plan form as widgets, under their headings, remembering what was typed when the form changes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets.input import Selection

from logbook.services.plain_form import FormField, Values
from logbook.services.plan_form import PlanForm
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse, Understood

_LABEL, _BOX, _NAME_BOX, _LEG_BOX = 11, 7, 16, 24
_NAMES = frozenset({"out", "diversion", "handled_by", "place_from", "place_to", "date", "kind"})


class PlanFields(VerticalScroll, can_focus=False):
    """One column of fields. What stands in them, and in fields of other ways, is kept in `values`."""

    def __init__(self, changed: Callable[[], None], form: PlanForm | None, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        """Fields of a form that are there as soon as the screen is, so that no key is lost.

        Args:
            changed: called after each change.
            form: the form; None where there is no aeroplane yet.
            id: as everywhere in the library.
        """
        super().__init__(id=id)
        self._changed = changed
        self.form = form
        self.values: dict[str, tuple[str, str]] = {}
        self.boxes: dict[str, ReadingField] = {}
        self._filling = False

    def compose(self) -> ComposeResult:
        """The fields of the first form."""
        if self.form is not None:
            yield from self._widgets(self.form)

    def _widgets(self, form: PlanForm) -> Iterator[Widget]:
        part = ""
        for field in form.fields:
            if field.part != part:
                part = field.part
                yield PlainText(part, classes="part")
            yield self._box(field)

    def expect(self, form: PlanForm) -> bool:
        """Takes what is expected now into the fields that are there; False if the form has other fields."""
        if self.form is None or self.form.names != form.names or self.form.aircraft != form.aircraft:
            return False
        self.form = form
        for field in form.fields:
            if self.boxes[field.name].expected != field.expected:
                self.boxes[field.name].expected = field.expected
        return True

    async def show(self, form: PlanForm, values: Mapping[str, tuple[str, str]] | None = None) -> None:
        """Makes the fields of a form and puts back what was typed.

        Args:
            form: the form.
            values: what is to stand in the fields; absent: what was typed so far.
        """
        if values is not None:
            self.values = dict(values)
        self.form = form
        self._filling = True
        async with self.batch():
            await self.remove_children()
            self.boxes = {}
            await self.mount_all(list(self._widgets(form)))
        for name, box in self.boxes.items():
            if name in self.values:
                box.restore(*self.values[name])
        self._filling = False

    def _box(self, field: FormField) -> ReadingField:
        leg = field.name.startswith("leg.")
        box = ReadingField(
            field.label,
            parse=self._parse(field.name),
            unit=field.unit,
            expected=field.expected,
            width=_LEG_BOX if leg else _NAME_BOX if field.name in _NAMES else _BOX,
            label_width=6 if leg else _LABEL,
            not_read=False,
        )
        self.boxes[field.name] = box
        return box

    def _parse(self, name: str) -> Parse:
        def parse(text: str) -> Understood:
            if self.form is None:
                return Understood()
            meaning = self.form.reader(name, self.values)(text)
            return Understood(meaning.echo, meaning.doubt, meaning.problem)

        return parse

    def on_reading_field_changed(self, event: ReadingField.Changed) -> None:
        """Keeps what was typed and tells whoever shows the answer."""
        event.stop()
        name = self.name_of(event.field)
        if name is None or self._filling:
            return
        if event.text.strip():
            self.values[name] = (event.text, str(event.source))
        else:
            self.values.pop(name, None)
        self._changed()

    def typed(self) -> Values:
        """What stands in the fields of this form."""
        names = self.form.names if self.form else ()
        return {name: self.values[name] for name in names if name in self.values}

    @property
    def kept(self) -> list[str]:
        """Fields whose improbable value was confirmed."""
        return [name for name, box in self.boxes.items() if box.understood.doubt and not box.doubtful]

    def name_of(self, widget: Widget | None) -> str | None:
        """The field in which a widget stands."""
        inside = [] if widget is None else [widget, *widget.ancestors]
        return next((name for name, box in self.boxes.items() if box in inside), None)

    def field(self, name: str) -> FormField | None:
        """A field of the form."""
        return next((field for field in self.form.fields if field.name == name), None) if self.form else None

    def go_to(self, name: str) -> None:
        """Puts the keyboard into a field; what stands there is typed over."""
        box = self.boxes.get(name)
        if box is not None:
            box.focus()

    def type_over_at(self, name: str) -> None:
        """What stands in a field, if the keyboard is in it, is typed over by the next key."""
        box = self.boxes.get(name)
        if (
            box is not None and self.screen.focused is box.box
        ):  # told at once; the box itself hears of it later
            box.box.selection = Selection(0, len(box.text))

    def next_part(self, name: str | None) -> str | None:
        """The first field of the part after the one a field is in."""
        if self.form is None:
            return None
        fields = self.form.fields
        at = next((i for i, field in enumerate(fields) if field.name == name), 0)
        later = [field for field in fields[at:] if field.part != fields[at].part]
        return (later or fields)[0].name

    async def add_leg(self, form: PlanForm) -> None:
        """Takes a form with one leg more; what is being typed is not disturbed."""
        last = f"leg.{len([name for name in form.names if name.startswith('leg.')])}"
        before = self.boxes.get(f"leg.{int(last[4:]) - 1}")
        field = next(field for field in form.fields if field.name == last)
        if before is None or last in self.boxes:
            return
        self.form = form
        await self.mount(self._box(field), after=before)

    # -- legs -------------------------------------------------------------------------------------------------------

    @property
    def legs(self) -> int:
        """Number of the last leg in which something stands."""
        return max((int(name[4:]) for name in self.values if name.startswith("leg.")), default=0)

    def insert_leg(self, name: str) -> bool:
        """Makes room for a leg where one stands; False where that is no leg."""
        if not name.startswith("leg."):
            return False
        at, last = int(name[4:]), self.legs
        for number in range(last, at - 1, -1):
            moved = self.values.pop(f"leg.{number}", None)
            if moved is not None:
                self.values[f"leg.{number + 1}"] = moved
        return True
