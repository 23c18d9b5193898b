"""May it be charged now? Asked with what is read at the charger; the answer stands in the place of the one from the record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.ui.screens.form import FormScreen

if TYPE_CHECKING:
    from logbook.ui.screens.pack import PackScreen

INTRO = (
    "Type what you read now; nothing of it is recorded. What is empty is taken from the record. F2 answers."
)


def ask_charging(screen: PackScreen, serial_no: str) -> None:
    """Opens the form; the answer comes from a thread."""

    def asked(values: dict[str, Any] | None) -> None:
        if values is not None:
            screen.ask(
                "charging", lambda desk: desk.packs.may_charge(serial_no, values), screen.show_charging
            )

    form = screen.desk.packs.charge_form(serial_no)
    screen.app.push_screen(
        FormScreen(form, lambda values: values, section=screen.SECTION, intro=INTRO, page="charge-now"), asked
    )
