"""Nothing is chosen for anybody; what is chosen is seen without colour."""

from logbook.ui.widgets.choice_field import Choice, ChoiceField
from tests.ui.screen_text import screen_text

KINDS = [Choice(value, words) for value, words in (("circuits", "circuits"), ("local", "local"), ("cross-country", "cross-country"), ("check", "check"))]  # fmt: skip


class Kind(ChoiceField):
    """Keeps what it told."""

    def __init__(self, **options) -> None:
        super().__init__("Kind", **({"choices": KINDS} | options))
        self.told: list[str] = []

    def post_message(self, message) -> bool:
        if isinstance(message, ChoiceField.Changed):
            self.told.append(message.value)
        return super().post_message(message)


def line(app) -> str:
    return screen_text(app).splitlines()[0]


async def test_nothing_is_chosen_until_somebody_chooses(show) -> None:
    app = show(lambda: [Kind()])
    async with app.run_test(size=(80, 5)) as pilot:
        field = app.query_one(Kind)
        assert (field.value, field.told) == ("", [])
        assert "[" not in line(app)
        await pilot.press("right")
        assert "[circuits] local  cross-country  check" in line(app)
        await pilot.press("left")
        assert field.value == "check"
        await pilot.press("backspace")
        assert field.told == ["circuits", "check", ""]


async def test_a_letter_goes_to_the_next_that_begins_with_it(show) -> None:
    app = show(lambda: [Kind()])
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.press("c", "c", "l", "c", "x")
        assert app.query_one(Kind).told == ["circuits", "cross-country", "local", "cross-country"]


async def test_enter_and_arrows_move_between_fields(show) -> None:
    app = show(lambda: [Kind(), Kind(), Kind()])
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.press("enter", "down", "l", "up", "c")
        assert [field.value for field in app.query(Kind)] == ["", "circuits", "local"]


async def test_in_a_narrow_window_the_chosen_one_is_still_whole(show) -> None:
    app = show(lambda: [Kind()])
    async with app.run_test(size=(45, 5)) as pilot:
        assert "one of 4" in line(app)
        await pilot.press("c", "c")
        assert "[cross-country] 3 of 4" in line(app)


async def test_the_mouse_chooses(show) -> None:
    app = show(lambda: [Kind()])
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.click(Kind, offset=(line(app).index("local"), 0))
        assert app.query_one(Kind).value == "local"


async def test_other_choices_keep_what_was_chosen_if_it_is_still_there(show) -> None:
    app = show(lambda: [Kind(value="local")])
    async with app.run_test(size=(80, 5)) as pilot:
        field = app.query_one(Kind)
        field.show(KINDS[1:])
        assert (field.value, field.told) == ("local", [])
        field.show(KINDS[:1])
        await pilot.pause()
        assert (field.value, field.told) == ("", [""])
        field.show([Choice("x", "[b]hot[/] \x1b[2J")])
        await pilot.press("right")
        assert "[[b]hot[/] \\x1b[2J]" in line(app)
