"""Correcting, striking out, restoring and undoing, the same on every screen that shows one record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.errors import ChangedMeanwhile, LogbookError
from logbook.ui.screens.form import FormScreen, Kept
from logbook.ui.widgets.words_box import WordsBox

if TYPE_CHECKING:
    from logbook.services.plain_form import PlainForm
    from logbook.ui.screens.base import BookScreen

    _Base = BookScreen
else:
    _Base = object

MEANWHILE = (
    "It was changed by somebody else since you opened it. It is shown as it is now; look at it and try again."
)


class ChangesRecords(_Base):
    """For a screen with `kind`, `record_id` and `shown`, which it reads anew in `changed`."""

    kind: str
    record_id: str
    shown: dict[str, Any]

    def changed(self) -> None:
        """Shows the record as it is now."""
        self.refill()

    def correction_form(self) -> PlainForm:
        """The form to correct it."""
        return self.desk.correction_form(self.kind, self.shown)

    def action_edit(self) -> None:
        """Corrects the record; the earlier version stays."""
        seen = int(self.shown["token"])

        def save(values: dict[str, Any]) -> str:
            why = values.pop("why", None)
            return self.desk.correct_form(self.kind, self.record_id, values, why=why, seen=seen)

        form = FormScreen(
            self.correction_form(),
            save,
            section=self.SECTION,
            kept=Kept(self.kind, self.record_id, f"correction of {self.heading()}"),
            intro="Beside each field stands what the record says. Type only what is to change; - makes it unknown."
            + self._signed_words(),
            page="correct",
        )
        self.app.push_screen(form, self._said)

    def _signed_words(self) -> str:
        """What a correction does to countersignatures of the record; empty where there are none."""
        names = self.desk.people.signed_by(self.record_id) if self.kind == "flight" else []
        if not names:
            return ""
        return f" Countersigned by {', '.join(names)}: a change will show there; ask for a new signature."

    def action_strike(self) -> None:
        """Strikes the record out, or restores it; both with a reason."""
        restoring = bool(self.shown.get("struck"))
        box = WordsBox(
            "Restore it: why?" if restoring else "Strike it out: why?",
            more="It counts again."
            if restoring
            else f"It stays readable, counts nowhere, and can be restored.{self._signed_words()}",
            needed="A reason is needed; it is kept with the record.",
        )
        self.app.push_screen(box, self._strike)

    def _strike(self, why: str | None) -> None:
        if why is None:
            return
        restoring = bool(self.shown.get("struck"))
        changes = {"struck": 0 if restoring else 1}
        self._do(
            lambda: self.desk.correct(
                self.kind, self.record_id, changes, why=why, seen=int(self.shown["token"])
            ),
            "Restored." if restoring else "Struck out.",
        )

    def action_undo(self) -> None:
        """Takes the last correction back; that is a correction too, and can be undone as well."""
        self._do(
            lambda: self.desk.undo(self.kind, self.record_id, seen=int(self.shown["token"])),
            "The last correction was taken back.",
        )

    def action_copy(self) -> None:
        """Sends the record as text to the terminal's clipboard."""
        from logbook.ui.copying import send_to_terminal

        text = self.desk.text_of(self.kind, self.shown)
        self.notify(send_to_terminal(self.app, text), markup=False)

    def _do(self, work: Any, done: str) -> None:
        try:
            work()
        except ChangedMeanwhile as error:
            self.changed()
            self.trouble(type(error)(MEANWHILE, next_step=""), "Changed meanwhile")
        except LogbookError as error:
            self.trouble(error)
        else:
            self._said(done)

    def _said(self, words: Any) -> None:
        if words:
            self.changed()
            self.notify(str(words), markup=False)
