"""Keys take effect one after the other, however fast they come.

The library gives a key to whatever has the keyboard at that moment, but moves the keyboard later, when messages have gone
their way. Over a slow line keys arrive in bunches; figures would then go into the field before. So a key waits until the
one before it has done everything it does: a marker follows it along the same way, and once more behind what it set off.

    key -> widget -> ... -> screen -> app (bindings)    marker behind it, twice; then the next key
"""

from __future__ import annotations

import asyncio
from collections import deque
from typing import Final, Generic, TypeVar

from textual import events
from textual.message import Message
from textual.message_pump import MessagePump

from logbook.ui.crash import CrashGuard

Result = TypeVar("Result")
_ROUNDS: Final = 2
"""The first follows the key itself, the second what the key set off: a box that was submitted, a sign."""
_LOST_S: Final = 1.0
"""A marker that is not back by then was lost with its widget [s]."""
_BUSY_S: Final = 3.0
"""A screen that is still being made by then must not hold up the keys any longer [s]."""


class KeyDone(Message):
    """Follows a key."""

    def __init__(self, number: int, target: MessagePump, left: int) -> None:
        super().__init__()
        self.number = number
        """Of the key."""
        self.target = target
        self.left = left
        """Rounds left."""


class KeysInOrder(CrashGuard[Result], Generic[Result]):
    """An app in which no key overtakes the effect of the one before. A screen that is being made says so by `busy`."""

    def __init__(self) -> None:
        super().__init__()
        self._waiting_keys: deque[events.Key] = deque()
        self._key_number = 0
        self._key_done = True
        self._since = 0.0
        self._key_timer: asyncio.TimerHandle | None = None

    async def on_event(self, event: events.Event) -> None:
        """Lets a key wait for the one before."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self._key_done:
            await self._give(event)
        else:
            self._waiting_keys.append(event)

    async def _give(self, event: events.Key) -> None:
        self._key_done = False
        self._key_number += 1
        self._since = asyncio.get_running_loop().time()
        target = self.focused or self.screen
        await super().on_event(event)
        self._follow(KeyDone(self._key_number, target, _ROUNDS - 1))

    def _follow(self, marker: KeyDone) -> None:
        loop = asyncio.get_running_loop()
        if self._key_timer is not None:
            self._key_timer.cancel()
        number = marker.number
        self._key_timer = loop.call_later(_LOST_S, lambda: self.call_later(self._next, number))
        if not marker.target.post_message(marker):
            self.call_later(self._next, number)

    async def on_key_done(self, marker: KeyDone) -> None:
        """The marker went all the way: another round, or the next key."""
        marker.stop()
        if marker.number != self._key_number or self._key_done:
            return
        if marker.left:
            self._follow(KeyDone(marker.number, marker.target, marker.left - 1))
        else:
            await self._next(marker.number)

    async def _next(self, number: int) -> None:
        """The next key, once the screen is ready for it."""
        if number != self._key_number or self._key_done:
            return
        loop = asyncio.get_running_loop()
        if self._key_timer is not None:
            self._key_timer.cancel()
            self._key_timer = None
        if self._waiting_keys and getattr(self.screen, "busy", False) and loop.time() - self._since < _BUSY_S:
            self._key_timer = loop.call_later(0.02, lambda: self.call_later(self._next, number))
            return
        self._key_done = True
        if self._waiting_keys:
            await self._give(self._waiting_keys.popleft())
