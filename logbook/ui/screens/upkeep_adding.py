"""Defects and maintenance entries from any screen, and what is to be asked after them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from logbook.errors import LogbookError
from logbook.services.upkeep_words import STARTS_ANEW, WORK
from logbook.ui.screens.form import FormScreen, Kept
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.services.drafts import Draft
    from logbook.ui.screens.base import BookScreen

Row = dict[str, Any]
DEFECT: Final = "upkeep-defect"
ENTRY: Final = "upkeep-entry"
"""What the drafts of these forms are kept under."""
ANYTHING: Final = "*"
"""In the place of a thing where the form asks for it."""
INTRO: Final = (
    "F2 saves. Kind of work stays as it stands there unless you type another; the rest may stay empty."
)


def go_on(screen: BookScreen, draft: Draft) -> bool:
    """Goes on with a defect or an entry that was begun and not saved. False if the draft is of something else."""
    kind = draft.kind.removeprefix("form:")
    if kind == DEFECT:
        ask_defect(screen, draft.record_id.replace(ANYTHING, ""))
    elif kind == ENTRY:
        work, of, defect = draft.record_id.split("\t")
        _ask_entry(screen, work, of, defect)
    else:
        return False
    return True


def told(screen: BookScreen, words: str) -> Callable[[object], None]:
    """Says so once a form gave something."""

    def done(given: object) -> None:
        if given:
            screen.notify(words, markup=False)

    return done


def ask_defect(screen: BookScreen, of: str = "") -> None:
    """Opens the form for a defect, of a thing if one is named."""
    form = screen.desk.upkeep.defect_form(of)
    shown = FormScreen(
        form,
        lambda values: screen.desk.upkeep.add_defect(values, of),
        section=screen.SECTION,
        kept=Kept(DEFECT, of or ANYTHING, form.title),
        intro="Inspect first: yes grounds it until a maintenance entry closes the defect. No silent answer is taken.",
        page="defect",
    )
    screen.app.push_screen(shown, _said(screen))


def ask_deferral(screen: BookScreen, defect: Row) -> None:
    """Opens the form that puts a defect off."""
    intro = "It stays in sight as deferred until that day, and is shown as no longer valid after it."
    if defect["needs_inspection"]:
        intro = "This one says INSPECTION BEFORE NEXT USE: deferring it lifts that. Only who may decide it, may write it."
    form = FormScreen(
        screen.desk.upkeep.defer_form(defect),
        lambda values: screen.desk.upkeep.defer(defect, values),
        section=screen.SECTION,
        intro=intro,
        page="defect",
    )
    screen.app.push_screen(form, _said(screen))


def ask_work(screen: BookScreen, of: str = "", defect: str = "") -> None:
    """Asks which kind of work was done, then for the entry.

    Args:
        screen: is filled anew when it comes back.
        of: the aeroplane or pack; empty: it is asked for.
        defect: the id of the defect that the entry closes.
    """
    picks = [Pick(work, name, about) for work, (name, about) in WORK.items()]

    def picked(work: str | None) -> None:
        if work is not None:
            _ask_entry(screen, work, of, defect)

    screen.app.push_screen(PickBox("What was done?", picks), picked)


def _ask_entry(screen: BookScreen, work: str, of: str, defect: str) -> None:
    def save(values: Row) -> tuple[Row, str]:
        return screen.desk.upkeep.add_entry(work, values, of, defect)

    def done(given: tuple[Row, str] | None) -> None:
        if given is None:
            return
        entry, words = given
        screen.notify(words, markup=False, timeout=8)
        if work in STARTS_ANEW and entry.get("serial_no"):
            _offer_break(screen, entry)
        elif work == "capacity check" and entry.get("serial_no"):
            check = {"serial_no": entry["serial_no"], "at": entry["completed"]}
            screen.logbook.new_record("capacity-check", check, told(screen, "Capacity check recorded."))

    form = screen.desk.upkeep.entry_form(work, of, defect)
    kept = Kept(ENTRY, f"{work}\t{of}\t{defect}", form.title)
    screen.app.push_screen(
        FormScreen(form, save, section=screen.SECTION, kept=kept, intro=INTRO, page="entry"), done
    )


def _offer_break(screen: BookScreen, entry: Row) -> None:
    """Offers to let the estimates of the pack start anew."""
    picks = [
        Pick("yes", "Yes, it starts anew", "capacity and SOH before this work say nothing about it now"),
        Pick("no", "No, it goes on", "the pack is what it was"),
    ]

    def picked(answer: str | None) -> None:
        if answer != "yes":
            return
        try:
            words = screen.desk.upkeep.start_anew(entry)
        except LogbookError as error:
            screen.trouble(error, "Not recorded")
        else:
            screen.refill()
            screen.notify(words, markup=False, timeout=8)

    screen.app.push_screen(PickBox(f"Do the estimates of {entry['serial_no']} start anew?", picks), picked)


def _said(screen: BookScreen) -> Callable[[str | None], None]:
    def done(words: str | None) -> None:
        if words:
            screen.notify(words, markup=False, timeout=8)

    return done
