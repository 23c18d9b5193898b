"""Blocks of facts under headings, one below the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical

from logbook.ui.widgets.facts import Fact, Facts
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.flight_sheet import Block


class BlockView(Vertical):
    """One block: its heading, and its facts or its words."""

    DEFAULT_CSS = """
    BlockView { height: auto; margin: 0 0 1 0; }
    BlockView .block-heading { color: $accent; text-style: bold; height: auto; padding: 0 1; }
    BlockView .block-words { height: auto; padding: 0 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id)
        self._heading = PlainText("", classes="block-heading")
        self._facts = Facts()
        self._words = PlainText("", classes="block-words")

    def compose(self) -> ComposeResult:
        """Heading, facts, words."""
        yield self._heading
        yield self._facts
        yield self._words

    def show(self, block: Block) -> None:
        """Another block."""
        self._heading.show(block.heading)
        self._facts.show([Fact(*line) for line in block.lines])
        self._facts.display = bool(block.lines)
        self._words.show(block.words)
        self._words.display = bool(block.words)


class Sheet(Vertical):
    """Shows blocks; widgets are used again, so that moving along a list does not build new ones."""

    DEFAULT_CSS = """
    Sheet { height: auto; }
    """

    async def show(self, blocks: Sequence[Block]) -> None:
        """Replaces the blocks."""
        views = list(self.query(BlockView))
        missing = [BlockView() for _ in range(len(blocks) - len(views))]
        if missing:
            await self.mount_all(missing)
        for number, view in enumerate([*views, *missing]):
            view.display = number < len(blocks)
            if number < len(blocks):
                view.show(blocks[number])
