"""Every text can be read on every ground it may stand on."""

import itertools

import pytest
from rich import _palettes
from rich.color import Color, ColorSystem
from rich.color_triplet import ColorTriplet
from rich.palette import Palette as RichPalette
from textual.filter import Monochrome
from textual.widgets import Static

from logbook.ui.theme import DARK, GROUND_ROLES, LIGHT, PALETTES, PLAIN, TEXT_ROLES, Palette, themes

STANDARD: RichPalette = _palettes.STANDARD_PALETTE
CLASSES = ("grey", "success", "warning", "error")  # of the base style sheet
ALL_PAIRS = [
    (name, text, ground) for name in PALETTES for text, ground in itertools.product(TEXT_ROLES, GROUND_ROLES)
]


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, section "Definitions"."""

    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(colour[i : i + 2], 16)) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2: from 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_measure_agrees_with_published_values() -> None:
    # WCAG 2.2: black on white is 21:1. From memory, widely quoted: #767676 on white is the lightest grey that passes AA.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert contrast("#777777", "#ffffff") < 4.5


@pytest.mark.parametrize(("name", "text", "ground"), ALL_PAIRS)
def test_text_is_readable_on_every_ground(name: str, text: str, ground: str) -> None:
    palette = PALETTES[name]
    assert contrast(getattr(palette, text), getattr(palette, ground)) >= 4.5  # WCAG 2.2, 1.4.3 (AA)


@pytest.mark.parametrize("palette", PALETTES.values())
def test_the_line_one_is_on_is_readable_and_stands_out(palette: Palette) -> None:
    assert contrast(palette.cursor_text, palette.cursor) >= 4.5
    assert contrast(palette.text, palette.resting_cursor) >= 4.5
    assert contrast(palette.text, palette.field) >= 4.5
    assert contrast(palette.background, palette.accent) >= 4.5  # the cursor in a field
    assert contrast(palette.accent, palette.background) >= 3  # WCAG 2.2, 1.4.11: what marks the focus


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_states_can_be_told_apart_from_text(palette: Palette) -> None:
    colours = {getattr(palette, role) for role in TEXT_ROLES}
    assert len(colours) == len(TEXT_ROLES)


def test_the_plain_look_survives_sixteen_colours_unchanged() -> None:
    for role, colour in PLAIN._asdict().items():
        reduced = Color.parse(colour).downgrade(ColorSystem.STANDARD)
        assert reduced.number is not None, role
        assert STANDARD[reduced.number] == ColorTriplet(*(int(colour[i : i + 2], 16) for i in (1, 3, 5))), (
            role
        )


@pytest.mark.parametrize("theme", themes(), ids=lambda theme: theme.name)
def test_the_library_uses_our_colours_and_mixes_none_into_text(theme) -> None:
    variables = {**theme.to_color_system().generate(), **theme.variables}
    palette = PALETTES[theme.name]
    assert variables["foreground"].lower() == palette.text
    assert variables["text-muted"] == palette.grey
    for state in ("warning", "error", "success", "accent"):
        assert variables[f"text-{state}"] == getattr(palette, state)


async def test_without_colour_every_text_is_still_readable(show, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = show(lambda: [Static(role, classes=role) for role in ("text", *CLASSES)])
    async with app.run_test(size=(40, 10)):
        (grey_scale,) = [line_filter for line_filter in app._filters if isinstance(line_filter, Monochrome)]
        shown = {}
        for strip in app.screen._compositor.render_strips():
            for segment in grey_scale.apply(list(strip), app.screen.styles.background):
                if segment.text.strip():
                    shown[segment.text.strip()] = segment.style
    assert shown.keys() == {"text", *CLASSES}
    for style in shown.values():
        ink, ground = style.color.triplet, style.bgcolor.triplet
        assert len(set(ink)) == len(set(ground)) == 1  # grey: no colour is left
        assert contrast(ink.hex, ground.hex) >= 4.5
