"""What can be written down about a pack, each with its form."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from logbook.ui.screens.upkeep_adding import ask_defect, ask_work, told
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen

_PICKS: Final = (
    Pick("observation", "Observation", "cell voltages, insulation, counters, software"),
    Pick("capacity-check", "Capacity check", "energy measured on the bench"),
    Pick("defect", "Defect", "what is wrong; may ground the pack: inspection before next use"),
    Pick("entry", "Maintenance entry", "what was done; closes a defect, ends a quarantine"),
)


def ask_addition(screen: BookScreen, serial_no: str, *, new_pack: bool = False) -> None:
    """Asks what is to be written down, then opens its form.

    Args:
        screen: is filled anew when it comes back.
        serial_no: the pack it is about; empty: only a new pack can be added.
        new_pack: offers a new pack too.
    """
    picks = list(_PICKS) if serial_no else []
    if new_pack:
        picks.append(Pick("pack", "Another pack", "a new serial number"))

    def picked(what: str | None) -> None:
        if what == "defect":
            ask_defect(screen, serial_no)
        elif what == "entry":
            ask_work(screen, serial_no)
        elif what is not None:
            given = {} if what == "pack" else {"serial_no": serial_no}
            screen.logbook.new_record(what, given, told(screen, "Recorded."))

    screen.app.push_screen(
        PickBox(f"What is to be written down of {serial_no}?" if serial_no else "Add", picks), picked
    )
