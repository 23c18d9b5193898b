"""What every screen of the book has: sections, head line, keys, help, menu, and a box for what went wrong."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.reactive import Reactive
from textual.screen import Screen
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import SECTIONS
from logbook.ui.asking import Asking
from logbook.ui.base_app import WIDE
from logbook.ui.widgets.head_line import HeadLine
from logbook.ui.widgets.key_line import KeyLine
from logbook.ui.widgets.section_bar import SectionBar

if TYPE_CHECKING:
    from logbook.services.desk import Desk
    from logbook.ui.app import LogbookApp


class BookScreen(Asking, Screen[Any]):
    """A screen on the desk. A new one says `NAME`, `SECTION`, `HEADING`, its `BINDINGS`, its `body` and how to `fill` it.

    `BINDINGS` is always `[*bindings_of(NAME), ...]`, so that keys, key line, help and menu agree; for each action in
    the table there is a method `action_NAME` here or on the screen.
    """

    NAME: ClassVar[str]
    """What the table of actions calls this screen."""
    SECTION: ClassVar[str]
    """The section that stands in brackets at the top."""
    HEADING: ClassVar[str]
    """In the head line."""
    HELP_PAGE: ClassVar[str] = ""
    """Base name of its page in `ui/help`; empty: `NAME`."""

    focused: Reactive[Widget | None] = Reactive(None, repaint=False)
    """The widget that has the keyboard. The library repaints the whole screen for it; the two widgets repaint themselves."""

    def compose(self) -> ComposeResult:
        """Sections, head line, the screen's own part, keys."""
        yield SectionBar(self.SECTION)
        yield HeadLine(self.HEADING)
        yield from self.body()
        yield KeyLine(self.NAME)

    def body(self) -> Iterable[Widget]:
        """The screen's own widgets."""
        return ()

    def fill(self) -> None:
        """Asks the desk and shows the answer; called whenever the screen comes to the front."""

    @property
    def roomy(self) -> bool:
        """Whether a detail stands beside a list; the class `-wide` says the same, but only some time after a resize."""
        return self.app.size.width >= WIDE

    # -- what screens use --------------------------------------------------------------------------------------------

    @property
    def desk(self) -> Desk:
        """Everything that may be asked or done."""
        return self.logbook.desk

    @property
    def logbook(self) -> LogbookApp:
        """The app."""
        return cast("LogbookApp", self.app)

    def heading(self) -> str:
        """The words of the head line; a record's screen names its record."""
        return self.HEADING

    def trouble(self, error: LogbookError, heading: str = "This did not work") -> None:
        """Says what is wrong and what to do, in a box that stays until it is closed."""
        from logbook.ui.widgets.problem_box import ProblemBox

        self.app.push_screen(ProblemBox.of(error, heading=heading))

    def refill(self) -> None:
        """Fills the screen anew, and says so where the book cannot be read."""
        try:
            self.fill()
            self.paint_head()
        except LogbookError as error:
            self.trouble(error, "The book could not be read")

    def paint_head(self) -> None:
        """The head line as of now."""
        desk = self.desk
        now = desk.clock()
        self.query_one(HeadLine).show(
            self.heading(),
            desk.book.path.name,
            desk.operator or "nobody named (b)",
            f"{now[:10]} {now[11:16]} UTC",
        )

    def on_screen_resume(self, _: events.ScreenResume) -> None:
        """What is shown is what the book says now."""
        self.refill()

    def _compositor_refresh(self) -> None:
        """Paints, unless the library would throw it away: while it starts, it paints once into nothing."""
        if not self.app._batch_count:  # noqa: SLF001 - the library has no other word for it
            super()._compositor_refresh()

    # -- actions of every screen ---------------------------------------------------------------------------------------

    def action_help(self) -> None:
        """Explains this screen."""
        from logbook.ui.screens.help import HelpScreen

        self.app.push_screen(HelpScreen(self.HELP_PAGE or self.NAME, self.NAME, self.SECTION))

    def action_open(self) -> None:
        """Opens the line one is on; where that means more, a screen says so itself."""
        select = getattr(self.focused, "action_select", None)
        if select is not None:
            select()

    async def action_menu(self) -> None:
        """Everything that can be done here."""
        from logbook.ui.screens.menu import open_menu

        open_menu(self, self.NAME)

    def action_operator(self) -> None:
        """Says who is at the keys."""
        from logbook.ui.screens.operator import ask_operator

        ask_operator(self)

    def action_quit(self) -> None:
        """Leaves the logbook: entries are saved, unfinished ones are kept as drafts."""
        self.app.exit()

    def action_back(self) -> None:
        """To where one came from; from a section, to Today."""
        if self.NAME in SECTIONS:
            self.logbook.action_go("today")
        else:
            self.app.clear_notifications()  # what is said after leaving, by whoever opened this, stays
            self.dismiss()
