"""A small app that shows one widget or one screen, in our looks, with nothing that moves."""

from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from textual.app import ComposeResult
from textual.widget import Widget

from logbook.ui.base_app import BaseApp
from tests.ui.desks import busy_desk, club_desk, empty_desk

__all__ = ["busy_desk", "club_desk", "empty_desk"]


class Show(BaseApp):
    """Shows the widgets that the given function makes, and keeps every message it was asked to keep."""

    def __init__(self, make: Callable[[], Iterable[Widget]], **options) -> None:
        super().__init__(**options)
        self._make = make
        self.seen: list = []

    def compose(self) -> ComposeResult:
        yield from self._make()


@pytest.fixture
def show(tmp_path: Path) -> Callable[..., Show]:
    def build(make: Callable[[], Iterable[Widget]], **options) -> Show:
        app = Show(make, **options)
        app.crash_folder = tmp_path
        return app

    return build


@pytest.fixture(autouse=True)
def _no_foreign_settings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TEXTUAL_ANIMATIONS", "none")
    monkeypatch.setenv("LOGBOOK_STATE", str(tmp_path / "state"))
