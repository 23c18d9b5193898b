"""Fitting, removing and swapping packs, and saying what state one is in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.services.fitting_words import WAYS
from logbook.ui.screens.form import FormScreen
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen


def ask_fitting(screen: BookScreen, serial_no: str = "") -> None:
    """Asks what is to be done, then for the rest.

    Args:
        screen: filled anew afterwards.
        serial_no: the pack it is about; empty: it is asked for.
    """
    picks = [Pick(way, words, about) for way, (words, about) in WAYS.items()]

    def picked(way: str | None) -> None:
        if way is not None:
            _open(screen, way, serial_no)

    screen.app.push_screen(PickBox("What happens to the packs?", picks), picked)


def _open(screen: BookScreen, way: str, serial_no: str) -> None:
    from logbook.services.fitting_against import Contradicted
    from logbook.services.fitting_form import field_of_pack

    desk = screen.desk

    named = {field_of_pack(way): serial_no} if serial_no else {}

    asked: list[dict[str, Any]] = []
    """What flights spoke against, once it was said: saved once more, it is meant so."""

    def save(values: dict[str, Any]) -> str:
        try:
            return desk.do_fitting(way, values | named, sure=values in asked)
        except Contradicted:
            asked.append(values)
            raise

    def done(words: str | None) -> None:
        if words:
            screen.notify(words, markup=False, timeout=8)

    form = FormScreen(desk.fitting_form(way, serial_no), save, section=screen.SECTION, page="fitting")
    screen.app.push_screen(form, done)
