"""Who is meant by a name the book does not know: somebody it knows, or a new person, without leaving the flight."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from logbook.errors import LogbookError
from logbook.services.flight_form import PEOPLE
from logbook.services.typed import alike
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.screens.log_flight import LogFlightScreen


def ask_who(screen: LogFlightScreen, name: str) -> None:
    """Asks who is meant by what stands in a field; known names that come near are offered first.

    Args:
        screen: the form.
        name: the field.
    """
    if screen.fields is None or screen.form is None:
        return
    text = screen.fields.by_name[name].text.strip()
    if not any(letter.isalpha() for letter in text):
        return  # a wrong key, not a name
    known = screen.form.people
    picks = [Pick(one, one) for one in alike(known, text)]
    picks.append(Pick(text, f"Add to the book: {text}"))
    box = PickBox(
        f"Nobody in the book is called '{text}'",
        picks,
        hint="Enter takes the first, arrows choose; or type the name anew. Esc leads back to the flight. "
        "Licence number and the like: later, in People.",
        free="Add to the book",
    )
    screen.app.push_screen(box, partial(_take, screen, name))


def _take(screen: LogFlightScreen, name: str, who: str | None) -> None:
    """Adds the person where the book does not know them, and goes on behind the field."""
    if who is None or screen.fields is None or screen.form is None or screen.entry is None:
        return
    if who not in screen.form.people:
        try:
            screen.desk.add("person", {"person": who})
        except LogbookError as error:
            screen.trouble(error, "Not added")
            return
    screen.form = screen.form.knowing(screen.desk.facts.people())
    screen.put({name: (who, "read")})
    screen.fields.by_name[name].restore(who, "read")
    for field in PEOPLE:
        if field in screen.fields.by_name:
            screen.fields.by_name[field].reread()
    screen.look()
    order = [one for one in screen.fields.order() if screen.fields.by_name[one].display]
    screen.go_to(order[min(order.index(name) + 1, len(order) - 1)])
