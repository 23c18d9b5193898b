"""Walking through the screens in a test: press keys, wait for words, read the screen as text."""

import asyncio
import re
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Any

from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp
from tests.ui.screen_text import screen_text

LIMIT_S = 60


class Walker:
    """A running app with somebody at its keys."""

    def __init__(self, app: LogbookApp, pilot: Any) -> None:
        self.app, self.pilot = app, pilot

    @property
    def text(self) -> str:
        return screen_text(self.app)

    @property
    def flat(self) -> str:
        """The screen as one line of words, whatever the width broke; edges of boxes and marks of scroll bars left out."""
        return " ".join(re.sub(r"▌|[▁-▇]$", " ", self.text, flags=re.MULTILINE).split())

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def painted(self) -> None:
        """Waits until the screen is laid out and drawn as it now is; a pause waits for the whole machine to be idle."""
        done = asyncio.Event()
        self.app.screen.call_after_refresh(done.set)
        await done.wait()

    async def until(self, condition: str | Callable[[], object]) -> None:
        """Waits for words on the screen, or for something to be so."""
        for _ in range(150):
            if condition in self.flat if isinstance(condition, str) else condition():
                await self.pilot.pause()
                return
            await self.pilot.pause(0.02)
        raise AssertionError(f"{condition} never came:\n{self.text}")

    async def type(self, text: str) -> None:
        """Puts text into the box one is in."""
        box = self.app.screen.focused
        box.value = text
        await self.pilot.pause()


@asynccontextmanager
async def walk(desk: Desk, size: tuple[int, int] = (80, 24), **options: Any) -> AsyncIterator[Walker]:
    """Opens the app on a desk; the first screen is there when it begins."""
    app = LogbookApp(desk, **options)
    async with asyncio.timeout(LIMIT_S), app.run_test(size=size, notifications=True) as pilot:
        await pilot.pause()
        yield Walker(app, pilot)
