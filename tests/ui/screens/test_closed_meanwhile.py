"""Closing a flight that somebody else changed since it was put on the form: it is said, and nothing is written over."""

from logbook.ui.screens.log_flight import LogFlightScreen
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.widgets.problem_box import ProblemBox
from tests.ui.walk import walk


async def test_what_somebody_else_wrote_into_an_open_flight_is_shown_before_it_is_closed(busy_desk) -> None:
    async with walk(busy_desk, (80, 24)) as walker:
        walker.app.close_flight("OUT")
        await walker.until(
            lambda: isinstance(walker.app.screen, LogFlightScreen) and walker.app.screen.form is not None
        )
        form = walker.app.screen
        await walker.until(lambda: not form.busy)
        busy_desk.correct("flight", "OUT", {"remarks": "battery warm"}, why="by radio")
        on_blocks = {"on_blocks": ("1150", "read")}
        off = {} if form.entry.values.get("off_blocks") else {"off_blocks": ("1100", "read")}
        form.put(off | on_blocks)
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, ProblemBox))
        assert "changed meanwhile" in walker.flat
        assert "it was empty and is battery warm now" in walker.flat
        assert busy_desk.show("flight", "OUT")["state"] == "open"
        await walker.press("escape")
        await walker.until(lambda: walker.app.screen is form and not form.busy)
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, SavedBox))
    flight = busy_desk.show("flight", "OUT")
    assert (flight["state"], flight["remarks"]) == ("closed", "battery warm")
