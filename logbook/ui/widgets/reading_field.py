"""One line for one reading: label, box, and beside it what is expected or what was understood.

The expected value never stands in the box as if it had been typed: a prefilled reading is a fabricated one. `=` takes it
over as confirmed, `-` alone says that nobody read the instrument.
"""

from __future__ import annotations

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from logbook.reports.visible import visible
from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_text import (
    NOT_READ_SIGN,
    NOT_TYPED,
    Note,
    Parse,
    Source,
    Understood,
    note_for,
)

TONE_CLASSES = ("grey", "warning", "error")


class ReadingField(Widget):
    """Shows and collects one reading; what a text means is decided by the parse function it is given."""

    DEFAULT_CSS = """
    ReadingField {
        height: auto; width: 1fr; padding: 0 1;
        layout: grid; grid-size: 3; grid-columns: 15 8 1fr; grid-rows: auto;
    }
    ReadingField .label { height: 1; color: $grey; text-wrap: nowrap; text-overflow: ellipsis; }
    ReadingField.-here .label { color: $foreground; text-style: bold; }
    ReadingField .note { height: 1; padding-left: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    ReadingField .more { column-span: 3; height: auto; padding-left: 4; }
    """

    class Changed(Message):
        """What is in the field changed."""

        def __init__(self, field: ReadingField, text: str, source: Source) -> None:
            super().__init__()
            self.field = field
            self.text = text
            """As typed; the expected value where it was confirmed."""
            self.source = source

        @property
        def control(self) -> ReadingField:
            """The field."""
            return self.field

    class Accepted(Message):
        """Enter was pressed on something that can be a value, or on nothing."""

        def __init__(self, field: ReadingField) -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> ReadingField:
            """The field."""
            return self.field

    class Stuck(Message):
        """Enter was pressed on what cannot be a value."""

        def __init__(self, field: ReadingField) -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> ReadingField:
            """The field."""
            return self.field

    def __init__(
        self,
        label: str,
        *,
        parse: Parse,
        unit: str = "",
        expected: str = "",
        width: int = 8,
        label_width: int = 15,
        not_read: bool = True,
        goes_on: bool = False,
        id: str | None = None,  # noqa: A002 - the library's word
    ) -> None:
        """An empty field.

        Args:
            label: in front of it.
            parse: what a typed text means; called at every change, must be quick and must not raise.
            unit: shown in grey while nothing is typed.
            expected: the value that is expected, as it would be typed; empty if there is none.
            width: of the box [cells].
            label_width: of the label [cells].
            not_read: whether `-` alone means that it was not read.
            goes_on: whether `=` leads to the next field, as Enter does.
            id: as everywhere in the library.
        """
        super().__init__(id=id)
        self._parse = parse
        self.words = label
        """The label."""
        self._label = PlainText(label, classes="label")
        self._box = EntryInput(signs="=!")
        self.styles.grid_columns = f"{label_width} {width} 1fr"
        self._note = PlainText("", classes="note")
        self._more: PlainText | None = None
        self.unit = unit
        self._expected = expected
        self._not_read = not_read
        self._goes_on = goes_on
        self._confirmed_text: str | None = None
        self._confirmed_as = Source.CONFIRMED
        self._kept_text: str | None = None  # the improbable text that was confirmed
        self._said: tuple[str, Source] = ("", Source.EMPTY)
        self._problem = ""
        self.understood = Understood()

    def compose(self) -> ComposeResult:
        """Label, box and note on one line; what is too long for it gets a line below, made when it is needed."""
        yield self._label
        yield self._box
        yield self._note

    def on_mount(self) -> None:
        """Says what is expected."""
        self._say()

    # -- content ---------------------------------------------------------------------------------------------------

    @property
    def box(self) -> EntryInput:
        """The box, for a screen that puts the keyboard there."""
        return self._box

    @property
    def text(self) -> str:
        """What stands in the box."""
        return self._box.value

    @property
    def source(self) -> Source:
        """Where it comes from."""
        typed = self._box.value.strip()
        if not typed:
            return Source.EMPTY
        if typed == NOT_READ_SIGN and self._not_read:
            return Source.NOT_READ
        return self._confirmed_as if self._box.value == self._confirmed_text else Source.READ

    @property
    def doubtful(self) -> bool:
        """Whether an improbable value still waits for its confirming key."""
        return bool(self.understood.doubt) and self._box.value != self._kept_text

    @property
    def refused(self) -> bool:
        """Whether what was typed cannot be a value."""
        return bool(self.understood.problem or self._problem)

    @property
    def expected(self) -> str:
        """The value that is expected, as it would be typed."""
        return self._expected

    @expected.setter
    def expected(self, text: str) -> None:
        if text != self._expected:
            self._expected = text
            self._say()

    def restore(self, text: str, source: str, *, kept: bool = True) -> None:
        """Puts back what a draft or a record says.

        Args:
            text: as typed.
            source: where it came from.
            kept: it was accepted once; if improbable, it stays marked and is not asked again.
        """
        self._confirmed_text = text if source in NOT_TYPED else None
        self._confirmed_as = Source(source) if source in NOT_TYPED else Source.CONFIRMED
        self._kept_text = text if kept else None
        self._box.value = text
        self._read()

    def reread(self) -> None:
        """Understands the text anew: what stands in another field gave it another meaning."""
        self._understand()
        self._say()

    def show_problem(self, words: str) -> None:
        """Says what the service found wrong with this field; it stays until the field is changed."""
        self._problem = words
        self._say()

    def focus(self, scroll_visible: bool = True) -> ReadingField:
        """Puts the keyboard into the box."""
        self._box.focus(scroll_visible)
        return self

    # -- keys --------------------------------------------------------------------------------------------------------

    def on_entry_input_sign(self, event: EntryInput.Sign) -> None:
        """`=` takes the expected value into an empty box; `!` keeps an improbable one."""
        event.stop()
        if event.sign == "!":
            self._keep_doubt()
        elif self._expected and self.source not in (Source.READ, Source.RECORDER, Source.TRACK):
            self._confirmed_text, self._confirmed_as = self._expected, Source.CONFIRMED
            self._box.value = self._expected
            self._box.cursor_position = len(self._expected)
            if self._goes_on:
                self.screen.focus_next()
        elif self._expected:
            self._note_now(Note("empty the field first, then =", "grey"))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Reads what is in the box now."""
        event.stop()
        if event.value != self._confirmed_text:
            self._confirmed_text = None
        self._read()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter keeps an improbable value, stays at an impossible one, and else goes on."""
        event.stop()
        if self.doubtful:
            self._keep_doubt()
        elif not self.understood.problem:
            self.post_message(self.Accepted(self))
            self.screen.focus_next()
        else:
            self.post_message(self.Stuck(self))

    def on_entry_input_dropped(self, event: EntryInput.Dropped) -> None:
        """Says that a paste did not fit."""
        event.stop()
        self.call_after_refresh(
            self._note_now, Note(f"only the first of {event.lines + 1} pasted lines", "warning")
        )

    def on_descendant_focus(self) -> None:
        """The label shows where the keyboard is."""
        self.add_class("-here")

    def on_descendant_blur(self) -> None:
        """The label shows where the keyboard is."""
        self.remove_class("-here")

    def on_resize(self, _: events.Resize) -> None:
        """A note may fit now, or no longer."""
        self._say()

    def _keep_doubt(self) -> None:
        if self.doubtful:
            self._kept_text = self._box.value
            self._say()

    # -- what it says ----------------------------------------------------------------------------------------------

    def _read(self) -> None:
        now = (self._box.value, self.source)
        self._understand()
        if self._box.value != self._kept_text:
            self._kept_text = None
        if now != self._said:
            self._said = now
            self._problem = ""
            self.post_message(self.Changed(self, *now))
        self._say()

    def _understand(self) -> None:
        typed = self.source not in (Source.EMPTY, Source.NOT_READ)
        self.understood = self._parse(self._box.value) if typed else Understood()

    def _say(self) -> None:
        understood = self.understood._replace(problem=self.understood.problem or self._problem)
        self._note_now(
            note_for(self.source, understood, self.unit, self._expected, doubt_kept=not self.doubtful)
        )

    def _note_now(self, note: Note) -> None:
        wide, room = cell_len(visible(note.words)), self._note.size.width
        long = note.tone in ("error", "warning") and wide > max(0, room - 1) > 0
        short = note.words.removesuffix(" ?") if wide > room > 0 else note.words  # the = says the same
        self._note.show("" if long else short, layout=False)
        _tint(self._note, note.tone)
        if not long:
            if self._more is not None:
                self._more.remove()
                self._more = None
            return
        if self._more is None:
            self._more = PlainText(note.words, classes="more")
            self.mount(self._more)
            if self.has_focus_within:
                self.call_after_refresh(self.scroll_visible, animate=False)
        self._more.show(note.words)
        _tint(self._more, note.tone)


def _tint(part: PlainText, tone: str) -> None:
    for known in TONE_CLASSES:
        part.set_class(known == tone, known)
