"""The answer beside the plan form: verdict, the figure that decides, landing charges, cautions, profile and legs."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll

from logbook.services.plan_desk import PlanView
from logbook.ui.screens import plan_lines
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView
from logbook.ui.widgets.said import SaidLines

_ALL_TONES = ("success", "error", "warning", "grey")


class PlanAnswerPane(VerticalScroll, can_focus=False):
    """Follows each key. While something is lacking it says what, and shows no figures that belong to another plan."""

    def compose(self) -> ComposeResult:
        """Words first, then figures, then pictures."""
        from logbook.reports.plot import Axis, Plot

        yield PlainText("", id="verdict")
        yield PlainText("", id="because")
        yield PlainText("", id="first-caution")
        yield PlainText("", id="packs")
        yield SaidLines(id="figures")
        with Container(id="way-flown"):
            yield PlainText("", id="legs")
            yield PlotView(
                Plot("Charge along the plan", Axis("time", "min"), Axis("charge", "%")), id="profile"
            )
        yield PlainText("", id="cautions")

    def show(self, view: PlanView) -> None:
        """Shows an answer, or what is lacking for one."""
        shown = view.shown
        if not shown:
            self._say("", view.lacking, "grey" if not view.field or "?" in view.lacking else "warning")
            return
        self._say(
            plan_lines.SIGNS[shown["verdict"]], plan_lines.because(shown), plan_lines.TONES[shown["verdict"]]
        )
        self.query_one("#first-caution", PlainText).show(plan_lines.first_caution(shown))
        self.query_one("#packs", PlainText).show(plan_lines.pack_table(shown))
        self.query_one("#figures", SaidLines).show(plan_lines.figures(shown, view.measures))
        self.query_one("#cautions", PlainText).show(plan_lines.cautions(shown))
        self.query_one("#legs", PlainText).show(plan_lines.legs(shown))
        self.set_class(True, "-answered")
        if self.screen.has_class("-tall"):
            self._draw(view)

    def working(self, words: str) -> None:
        """Says that the answer is being worked out."""
        self._say("", words, "grey")

    def _say(self, verdict: str, words: str, tone: str) -> None:
        head, why = self.query_one("#verdict", PlainText), self.query_one("#because", PlainText)
        head.show(verdict)
        why.show(words)
        for one in _ALL_TONES:
            head.set_class(one == tone and bool(verdict), one)
            why.set_class(one == tone and not verdict, one)
        head.display = bool(verdict)
        self.set_class(False, "-answered")

    def _draw(self, view: PlanView) -> None:
        from logbook.reports.plan_plot import plan_profile

        self.query_one("#profile", PlotView).show(plan_profile(view.shown))
