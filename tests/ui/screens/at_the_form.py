"""The form of a flight with a file beside it, as a person works it: keys, and waiting for what they lead to."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp
from logbook.ui.screens.log_flight import LogFlightScreen
from logbook.ui.screens.take_from import TakeFromScreen
from tests.ui.screen_text import screen_text


class Keys:
    """Presses keys, and waits for what they lead to."""

    def __init__(self, app: LogbookApp, pilot) -> None:
        self.app, self.pilot = app, pilot

    async def __call__(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def until(self, condition) -> None:
        for _ in range(400):
            if condition():
                await self.pilot.pause()
                return
            await self.pilot.pause(0.02)
        raise AssertionError(screen_text(self.app))

    async def read(self, path: Path | str) -> TakeFromScreen:
        """From the form to the file: the path is typed and read."""
        await self("f7")
        await self.until(lambda: isinstance(self.app.screen, TakeFromScreen))
        screen = self.app.screen
        screen.query_one("#path").value = str(path)
        await self("enter")
        return screen

    @property
    def text(self) -> str:
        return screen_text(self.app)


@asynccontextmanager
async def at_the_form(desk: Desk, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Keys]:
    async with asyncio.timeout(60):
        app = LogbookApp(desk)
        async with app.run_test(size=size) as pilot:
            keys = Keys(app, pilot)
            await keys("l")
            await keys.until(lambda: isinstance(app.screen, LogFlightScreen) and app.screen.form is not None)
            yield keys
