"""Plain letters take the room of the signs they stand for, and leave what people write alone."""

import pytest
from rich.cells import cell_len
from rich.segment import ControlType, Segment
from textual.color import Color

from logbook.ui.plain_letters import PlainLetters, plain_letter

ALL = [chr(code) for code in range(0x20, 0x3000) if chr(code).isprintable()]


def test_every_sign_keeps_its_room() -> None:
    assert [sign for sign in ALL if cell_len(plain_letter(sign)) != cell_len(sign) == 1] == []


@pytest.mark.parametrize("text", ["Skarholm", "Ærø", "Łódź", "Ωmega", "18 °C ± 2", "日本", "מטוס"])
def test_letters_of_any_alphabet_stay(text: str) -> None:
    assert "".join(map(plain_letter, text)) == text


@pytest.mark.parametrize(
    ("drawn", "plain"),
    [("┌─┬─┐", "+-+-+"), ("│ ┆ ║", "| | |"), ("━━──", "==--"), ("▌▏▐", "|||"), ("▅▂", "  "), ("⣿⠁", "??"), ("‼ ! ·", "# ! |")],
)  # fmt: skip
def test_lines_blocks_and_signs_become_letters(drawn: str, plain: str) -> None:
    assert "".join(map(plain_letter, drawn)) == plain


def test_codes_for_the_terminal_pass_untouched() -> None:
    code = Segment("\x1b[1;1H…", None, [(ControlType.CURSOR_MOVE_TO, 1, 1)])
    text, style = Segment("a…"), Color(0, 0, 0)
    assert PlainLetters().apply([code, text], style) == [code, Segment("a~")]
