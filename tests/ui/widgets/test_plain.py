"""Any text fits its cells exactly and is only text."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import PlainText, fit, plain, wrap
from tests.ui.screen_text import screen_text

ANY_TEXT = st.text(st.characters())


@given(ANY_TEXT, st.integers(0, 40), st.booleans())
def test_a_text_takes_exactly_its_cells(text: str, width: int, right: bool) -> None:
    assert cell_len(fit(text, width, right=right)) == width


def test_wide_letters_are_counted_as_two_cells() -> None:
    assert fit("電池電池", 5) == "電池…"
    assert fit("電池", 6) == "電池  "


def test_a_figure_is_shown_whole_or_not_at_all() -> None:
    assert fit("1234", 6, right=True) == "  1234"
    assert fit("1234", 3, right=True) == "  …"


@given(ANY_TEXT, st.integers(2, 40))
def test_broken_lines_fit_and_lose_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert all(cell_len(line) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == visible(text).replace(" ", "")


@given(ANY_TEXT)
def test_brackets_are_brackets(text: str) -> None:
    assert plain(text).spans == []
    assert plain(f"[b]{text}[/] [@click=quit]").plain.startswith("[b]")


async def test_markup_from_people_is_shown_as_they_wrote_it(show) -> None:
    app = show(lambda: [PlainText("[/] wind [P1] hot [b]x[/b] \x1b[2J\nsecond")])
    async with app.run_test(size=(60, 5)):
        text = screen_text(app)
    assert "[/] wind [P1] hot [b]x[/b] \\x1b[2J\nsecond" in text
