"""A reading is what somebody typed or confirmed; nothing is filled in for them."""

import pytest
from textual import events

from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Note, Source, Understood, note_for
from logbook.units import parse_number, plain_number
from tests.ui.screen_text import screen_text


def percent(text: str) -> Understood:
    """A stand-in for the units layer: 0 to 100, and below 20 is improbable."""
    try:
        value = parse_number(text)
    except ValueError:
        return Understood(problem="Not a number: write it as 7.4.")
    if not 0 <= value <= 100:
        return Understood(problem="A charge is 0 to 100 %.")
    echo = f"{plain_number(value)} %"
    return Understood(echo, doubt="lower than any landing so far." if value < 20 else "")


class Field(ReadingField):
    """Keeps what it told."""

    def __init__(self, label: str = "SOC before", **options) -> None:
        super().__init__(label, **({"parse": percent, "unit": "%", "expected": "92"} | options))
        self.told: list[tuple[str, str]] = []

    def post_message(self, message) -> bool:
        if isinstance(message, ReadingField.Changed):
            self.told.append((message.text, str(message.source)))
        return super().post_message(message)


def line(app, number: int = 0) -> str:
    return screen_text(app).splitlines()[number]


async def test_what_is_expected_stands_beside_the_box_and_is_not_a_reading(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(80, 24)):
        field = app.query_one(Field)
        assert line(app).split() == ["SOC", "before", "%", "=", "92", "?"]
        assert (field.text, field.source) == ("", Source.EMPTY)
        assert field.told == []


@pytest.mark.parametrize(
    ("width", "beside"), [(41, "= Nils Orban ?"), (40, "= Nils Orban"), (37, "= Nils Or…")]
)
async def test_an_expected_name_loses_its_question_mark_before_a_letter(
    show, width: int, beside: str
) -> None:
    app = show(lambda: [Field("Pilot", unit="", expected="Nils Orban", width=13, label_width=11)])
    async with app.run_test(size=(width, 24)):
        assert line(app).rstrip().endswith(beside)


async def test_a_decimal_comma_is_read_and_echoed_with_its_unit(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"87,5")
        assert line(app).split() == ["SOC", "before", "87,5", "87.5", "%"]
        assert app.query_one(Field).told[-1] == ("87,5", "read")


async def test_one_key_confirms_what_was_expected_and_says_so(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("=")
        assert app.query_one(Field).told == [("92", "confirmed")]
        assert "92 % confirmed" in line(app)
        await pilot.press("backspace", "2")
        assert app.query_one(Field).told[-1] == ("92", "read")  # typed by hand: a reading of its own


async def test_the_confirming_key_never_overwrites_what_was_typed(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("5", "0", "=")
        assert app.query_one(Field).text == "50"
        assert "empty the field first" in line(app)


async def test_without_an_expected_value_the_confirming_key_does_nothing(show) -> None:
    app = show(lambda: [Field(expected="")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("=")
        assert app.query_one(Field).told == []


async def test_a_dash_alone_says_that_it_was_not_read_and_a_dash_before_a_figure_does_not(show) -> None:
    app = show(lambda: [Field(parse=lambda text: Understood(f"{parse_number(text):g} °C"))])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("-")
        assert app.query_one(Field).told == [("-", "not-read")]
        assert "not read" in line(app)
        await pilot.press("5")
        assert app.query_one(Field).told[-1] == ("-5", "read")
        assert "-5 °C" in line(app)


async def test_a_field_that_must_be_filled_takes_the_dash_as_text(show) -> None:
    app = show(lambda: [Field(not_read=False)])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("-")
        assert app.query_one(Field).told == [("-", "read")]


async def test_an_impossible_value_is_told_in_the_field_and_stays_in_it(show) -> None:
    app = show(lambda: [Field(), Field("SOC after")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"7x", "enter")
        assert "! Not a number: write it as 7.4." in line(app)
        first, second = app.query(Field)
        assert first.text == "7x"
        assert first.refused
        assert app.focused in first.query(EntryInput)  # Enter stays where something is wrong
        await pilot.press("tab")
        assert app.focused in second.query(EntryInput)
        assert "! Not a number" in line(app)


@pytest.mark.parametrize("keeping", ["enter", "!"])
async def test_an_improbable_value_is_kept_by_a_second_key_and_stays_marked(show, keeping: str) -> None:
    app = show(lambda: [Field(), Field("SOC after")])
    async with app.run_test(size=(80, 24)) as pilot:
        first, second = app.query(Field)
        await pilot.press("7")
        assert first.doubtful
        assert "? 7 %: lower than any landing so far." in screen_text(app)
        await pilot.press(keeping)
        assert not first.doubtful
        assert "! 7 %, kept" in line(app)
        assert first.text == "7"
        await pilot.press("enter")
        assert app.focused in second.query(EntryInput)
        await pilot.press("up", "backspace", "8")
        assert first.doubtful  # another value is another question


async def test_usual_entry_needs_figures_and_enter_only(show) -> None:
    app = show(lambda: [Field("one"), Field("two"), Field("three")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"92", "enter", *"45", "enter", "enter")
        assert [field.text for field in app.query(Field)] == ["92", "45", ""]
        await pilot.press("up", "up")
        assert app.focused in app.query(Field)[1].query(EntryInput)
        await pilot.press("down", *"50")
        assert app.query(Field)[2].text == "50"


async def test_words_too_long_for_the_line_are_shown_whole_below_it(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(44, 24)) as pilot:
        await pilot.press(*"101")
        text = " ".join(screen_text(app).split())
        assert "! A charge is 0 to 100 %." in text
        await pilot.press("backspace")
        assert "10 %" in screen_text(app)


async def test_a_draft_comes_back_as_it_was_left(show) -> None:
    app = show(lambda: [Field("a"), Field("b"), Field("c"), Field("d")])
    async with app.run_test(size=(80, 24)) as pilot:
        for field, (text, source) in zip(
            app.query(Field),
            [("92", "confirmed"), ("-", "not-read"), ("7", "read"), ("7x", "read")],
            strict=True,
        ):
            field.restore(text, source)
        await pilot.pause()
        assert [str(field.source) for field in app.query(Field)] == ["confirmed", "not-read", "read", "read"]
        assert [field.text for field in app.query(Field)] == ["92", "-", "7", "7x"]
        assert "! 7 %, kept" in line(app, 2)
        assert app.query(Field)[3].refused


async def test_what_the_service_refused_is_told_until_the_field_changes(show) -> None:
    app = show(lambda: [Field()])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"80")
        app.query_one(Field).show_problem("Higher than the departure charge.")
        await pilot.pause()
        assert "! Higher than the departure charge." in line(app)
        await pilot.press("backspace")
        assert "Higher" not in screen_text(app)


async def test_a_paste_keeps_its_first_line_without_hidden_characters_and_says_what_it_left(show) -> None:
    app = show(lambda: [Field(parse=Understood, width=20)])
    async with app.run_test(size=(80, 24)) as pilot:
        app.focused.post_message(events.Paste("\n 55\x1b[2J \nsecond\nthird"))
        await pilot.pause()
        await pilot.pause()
        assert app.query_one(Field).text == "55\\x1b[2J"
        assert "only the first of 3 pasted lines" in line(app)


async def test_an_expected_value_may_come_later(show) -> None:
    app = show(lambda: [Field(expected="")])
    async with app.run_test(size=(80, 24)) as pilot:
        app.query_one(Field).expected = "88"
        await pilot.pause()
        assert "= 88 ?" in line(app)


async def test_twenty_fields_fit_in_two_columns_at_80x24(show) -> None:
    from textual.containers import Horizontal, Vertical

    def form():
        columns = [Vertical(*[Field(f"Reading {n}") for n in range(10 * c, 10 * c + 10)]) for c in range(2)]
        yield Horizontal(*columns, classes="columns")

    app = show(form)
    async with app.run_test(size=(80, 24)) as pilot:
        lines = screen_text(app).splitlines()
        assert [lines[n].count("= 92 ?") for n in range(10)] == [2] * 10
        await pilot.press(*(["enter"] * 10), *"44")
        assert app.query(Field)[10].text == "44"  # down one column, then the next


@pytest.mark.parametrize(
    ("source", "understood", "kept", "expected"),
    [
        (Source.EMPTY, Understood(), False, Note("kWh  = 7.9 ?", "grey")),
        (Source.READ, Understood("7.4 kWh"), False, Note("7.4 kWh")),
        (Source.CONFIRMED, Understood("7.9 kWh"), False, Note("7.9 kWh confirmed")),
        (Source.NOT_READ, Understood(), False, Note("not read", "grey")),
        (
            Source.READ,
            Understood("70 kWh", "too much."),
            False,
            Note("? 70 kWh: too much. Enter or ! keeps it.", "warning"),
        ),
        (Source.READ, Understood("70 kWh", "too much."), True, Note("! 70 kWh, kept", "warning")),
        (Source.READ, Understood(problem="No."), True, Note("! No.", "error")),
    ],
)
def test_every_state_has_words_or_a_sign(
    source: Source, understood: Understood, kept: bool, expected: Note
) -> None:
    assert note_for(source, understood, "kWh", "7.9", doubt_kept=kept) == expected
