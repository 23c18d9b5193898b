"""What is typed in a plan survives the program, however it ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.services.plan_form import CIRCUITS, PlanForm
from logbook.ui.widgets.choice_field import ChoiceField

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen
    from logbook.ui.screens.plan_fields import PlanFields

    _Base = BookScreen
else:
    _Base = object


class KeepsTyped(_Base):
    """For the screen that plans."""

    _restored = False
    _told = False

    @property
    def fields(self) -> PlanFields:
        """The fields."""
        raise NotImplementedError

    def restore(self, fleet: list[str]) -> bool:
        """Puts back, once, what was typed when the program ended; False where there is nothing."""
        if self._restored:
            return False
        self._restored = True
        draft = self.desk.planning.draft()
        if draft is None or self.fields.values:
            return False
        about = {name: text for name, (text, source) in draft.values.items() if source == "form"}
        with self.prevent(ChoiceField.Changed):
            if about.get("@aircraft") in fleet:
                self.query_one("#aircraft", ChoiceField).value = about["@aircraft"]
            self.query_one("#way", ChoiceField).value = about.get("@way", CIRCUITS)
        self.fields.values = {name: value for name, value in draft.values.items() if name not in about}
        self.notify("What was typed before is here again; F5 begins anew.", markup=False)
        return True

    def keep_typed(self, form: PlanForm) -> None:
        """Every key survives the program; trouble with that is told once and stops nothing."""
        if not self._restored:
            return
        try:
            self.desk.planning.keep_draft(form.aircraft, form.way, self.fields.values)
        except OSError as error:
            if not self._told:
                self._told = True
                self.notify(
                    f"What you type cannot be kept ({error.strerror}).", severity="warning", markup=False
                )
