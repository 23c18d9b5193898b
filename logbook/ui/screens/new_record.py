"""The form for a new record of any kind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.ui.screens.form import FormScreen, Kept

if TYPE_CHECKING:
    from logbook.ui.app import LogbookApp

INTRO = "What is left empty stays unknown; the line below says what then cannot be told. F2 saves."


def new_record_form(app: LogbookApp, kind: str, given: dict[str, Any]) -> FormScreen:
    """A screen that gives the id of the record that was entered, or None."""
    form = app.desk.record_form(kind, given)

    def save(values: dict[str, Any]) -> str:
        record = {name: value for name, value in values.items() if value is not None}
        return app.desk.add(kind, record)[0].record_id

    return FormScreen(
        form, save, section=app.section_name, kept=Kept(kind, "new", form.title), intro=INTRO, page="form"
    )
