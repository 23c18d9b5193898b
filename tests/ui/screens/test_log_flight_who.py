"""A name the book does not know never ends a flight's entry: it is added, or the one that was meant is taken, in the form."""

from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.widgets.pick_box import PickBox
from tests.ui.screens.test_log_flight import at_the_keys, desk, ids, value

__all__ = ["desk"]
MOST_KEYS = 2
"""Beyond the name: Enter on it, Enter in the box."""


def boxed(keys) -> bool:
    return isinstance(keys.app.screen, PickBox)


async def test_an_unknown_second_pilot_is_added_from_within_the_form(desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys("f5")
        screen.go_to("second_person")
        await keys.put(P101__soc_departure_pct="98")
        await keys("Pia Hald")
        assert (
            screen.fields.by_name["second_person"].understood.problem
            == "no person of that name; Enter adds one"
        )
        assert "! no person of that name" in keys.text
        before = keys.count
        await keys("enter")
        await keys.until(lambda: boxed(keys))
        assert "Nobody in the book is called 'Pia Hald'" in keys.text
        assert "Pia Hald" not in desk.facts.people()  # nothing is added before somebody said so
        await keys("enter")
        assert keys.count - before == MOST_KEYS
        await keys.until(lambda: keys.app.screen is screen)
        await keys("3")
        assert value(screen, "second_person") == ("Pia Hald", "read")
        assert value(screen, "second_function") == ("3", "read")  # the keyboard went on behind the name
        assert value(screen, "P-101.soc_departure_pct") == ("98", "read")
        assert "Pia Hald" in desk.facts.people()
        await keys.put(off_blocks="0935", on_blocks="1027")
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    (flight,) = [f for f in (desk.show("flight", i) for i in ids(desk)) if f["flight_id"] != "last"]
    assert (flight["second_person"], flight["second_function"]) == ("Pia Hald", "instructor")


async def test_a_slip_of_a_gloved_finger_finds_the_name_that_was_meant(desk) -> None:
    people = list(desk.facts.people())
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("pilot")
        await keys("Ana Lins", "enter")
        await keys.until(lambda: boxed(keys))
        await keys("enter")
        await keys.until(lambda: keys.app.screen is screen)
        assert value(screen, "pilot") == ("Ana Lind", "read")
    assert list(desk.facts.people()) == people


async def test_escape_in_the_box_changes_nothing(desk) -> None:
    people = list(desk.facts.people())
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("second_person")
        await keys("Pia", "enter")
        await keys.until(lambda: boxed(keys))
        await keys("escape")
        await keys.until(lambda: keys.app.screen is screen)
        assert value(screen, "second_person") == ("Pia", "read")
        assert screen.focused is screen.fields.by_name["second_person"].box
    assert list(desk.facts.people()) == people


async def test_a_name_typed_anew_in_the_box_is_the_one_that_is_added(desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("second_person")
        await keys("pia", "enter")
        await keys.until(lambda: boxed(keys))
        await keys("Pia [b]Hald", "enter")
        await keys.until(lambda: keys.app.screen is screen)
        assert value(screen, "second_person") == ("Pia [b]Hald", "read")
        assert "Pia [b]Hald" in keys.text
    assert "Pia [b]Hald" in desk.facts.people()
    assert "pia" not in desk.facts.people()
