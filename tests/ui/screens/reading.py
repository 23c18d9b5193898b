"""Reading a screen in a test: its lists as words, and what was said in passing; and filling forms and boxes."""

from logbook.ui.screens.form import FormScreen
from logbook.ui.widgets.line_list import LineList
from logbook.ui.widgets.pick_box import PickBox
from tests.ui.walk import Walker


def told(walker: Walker) -> str:
    """What was said in passing."""
    return " ".join(note.message for note in walker.app._notifications)


def lines(walker: Walker) -> str:
    """The lists of the screen as words, whatever the width broke."""
    return " ".join(" ".join(one.plain_text.split()) for one in walker.app.screen.query(LineList))


async def pick(walker: Walker, words: str) -> None:
    """Takes the possibility that these words find."""
    await walker.until(lambda: isinstance(walker.app.screen, PickBox))
    await walker.type(words)
    await walker.press("enter")


async def fill(walker: Walker, **texts: str) -> None:
    """Puts texts into the fields of a form and saves it."""
    await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
    for name, text in texts.items():
        walker.app.screen._boxes[name].box.value = text
    await walker.pilot.pause()
    await walker.press("f2")
