"""The form for a new record of any kind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from logbook.ui.screens.form import FormScreen, Kept

if TYPE_CHECKING:
    from logbook.ui.app import LogbookApp

SUBJECTS: Final = ("serial_no", "aircraft", "person")
"""Columns that say whose record it is."""
INTRO = "What is left empty stays unknown; the line below says what then cannot be told. F2 saves."


def new_record_form(app: LogbookApp, kind: str, given: dict[str, Any]) -> FormScreen:
    """A screen that gives the id of the record that was entered, or None.

    Whose record it is, where that is given, is not asked for again; what was typed of one is never offered for another.
    """
    form = app.desk.record_form(kind, given)
    about = {
        name: value
        for name, value in given.items()
        if name in SUBJECTS and not form.meaning(name, value).problem
    }
    if about:
        fields = tuple(field for field in form.fields if field.name not in about)
        form = form._replace(title=f"{form.title} of {', '.join(about.values())}", fields=fields)

    def save(values: dict[str, Any]) -> str:
        record = about | {name: value for name, value in values.items() if value is not None}
        return app.desk.add(kind, record)[0].record_id

    kept = Kept(kind, draft_id(about), form.title)
    return FormScreen(form, save, section=app.section_name, kept=kept, intro=INTRO, page="form")


def draft_id(about: dict[str, str]) -> str:
    """Under what the draft of a new record is kept: `new`, and whose record it is."""
    return "\t".join(["new", *(part for pair in sorted(about.items()) for part in pair)])


def given_of(record_id: str) -> dict[str, Any] | None:
    """Whose new record a draft is of; None where it is of no new record."""
    new, *parts = record_id.split("\t")
    return dict(zip(parts[::2], parts[1::2], strict=True)) if new == "new" else None
