"""Slow questions, asked in a thread on a connection of their own, so that keys are answered meanwhile."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

from textual.message import Message
from textual.message_pump import MessagePump

from logbook.errors import LogbookError

if TYPE_CHECKING:
    from logbook.services.desk import Desk

Answer = TypeVar("Answer")


class Answered(Message, bubble=False):
    """A thread has an answer, or failed."""

    def __init__(self, topic: str, number: int, then: Callable[[Any], None], answer: object) -> None:
        super().__init__()
        self.topic = topic
        self.number = number
        self.then = then
        self.answer = answer


class Failed(Answered, bubble=False):
    """The question could not be answered: `answer` is the error."""


class Asking(MessagePump):
    """Gives a screen `ask`. Of several questions on one topic only the newest is answered; the others are dropped.

    The threads are daemons: leaving the program does not wait for an estimate nobody will read.
    """

    def ask(self, topic: str, question: Callable[[Desk], Answer], then: Callable[[Answer], None]) -> None:
        """Asks a question elsewhere; the answer comes to `then`, on the screen's own thread.

        Args:
            topic: a newer question on the same topic makes an older one stale.
            question: is given a desk on a connection of its own; must not touch widgets.
            then: shows the answer; not called when the answer is stale or the screen is gone.
        """
        asked = self._asked
        asked[topic] = number = asked.get(topic, 0) + 1
        self._open.add((topic, number))
        desk: Desk = self.desk  # type: ignore[attr-defined] # each screen has one

        def work() -> None:
            message: Answered
            try:
                with desk.elsewhere() as mine:
                    message = Answered(topic, number, then, question(mine))
            except Exception as error:  # noqa: BLE001 - handed over whole; the screen decides, see on_failed
                message = Failed(topic, number, then, error)
            self.post_message(message)

        threading.Thread(target=work, name=f"ask {topic}", daemon=True).start()

    @property
    def _asked(self) -> dict[str, int]:
        numbers: dict[str, int] = self.__dict__.setdefault("_asked_numbers", {})
        return numbers

    @property
    def _open(self) -> set[tuple[str, int]]:
        waiting: set[tuple[str, int]] = self.__dict__.setdefault("_open_questions", set())
        return waiting

    @property
    def waiting(self) -> bool:
        """Whether an answer is still to come."""
        return bool(self._open)

    def stop_asking(self, topic: str) -> None:
        """Whatever was asked on a topic is no longer wanted."""
        self._asked[topic] = self._asked.get(topic, 0) + 1

    def on_answered(self, message: Answered) -> None:
        """Shows the answer if it is still wanted."""
        self._open.discard((message.topic, message.number))
        if self._asked.get(message.topic) == message.number:
            message.then(message.answer)

    def on_failed(self, message: Failed) -> None:
        """An error people can act on stays on the screen; any other is a defect and ends in a report."""
        self._open.discard((message.topic, message.number))
        if self._asked.get(message.topic) != message.number:
            return
        error = message.answer
        if isinstance(error, LogbookError):
            self.answer_failed(message.topic, error)
        elif isinstance(error, BaseException):
            raise error

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - screens may tell topics apart
        """What to do with an error people can act on: a box that stays, unless a screen says it elsewhere."""
        self.trouble(error)  # type: ignore[attr-defined] # each screen has it
