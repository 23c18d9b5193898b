"""The looks: dark, light, and a plain one for terminals with sixteen colours.

Few colours with fixed duties: text, grey (units, expectations, labels), one accent (where you are, what you can press),
and three states. A state is always a word or a sign as well, so that nothing is lost where colours are.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from textual.theme import Theme

TEXT_ROLES: Final = ("text", "grey", "accent", "success", "warning", "error")
GROUND_ROLES: Final = ("background", "surface", "panel")

SIGNS: Final = {"serious": ("‼", "error"), "check": ("!", "warning"), "note": ("·", "grey")}
"""Severity of a flag to sign and role, the gravest first. The signs are those of `rules.flag`, which Today need not load; a
test holds the two together."""


class Palette(NamedTuple):
    """The colours of one look, by duty. Every text colour is readable on every ground."""

    background: str
    """Behind everything."""
    surface: str
    """Behind what can be typed into or moved through."""
    panel: str
    """Behind bars and headings."""
    text: str
    grey: str
    """Units, labels, expected values: beside the figure, never instead of it."""
    accent: str
    success: str
    warning: str
    error: str
    cursor: str
    """Behind the line one is on; carries only `cursor_text`."""
    cursor_text: str
    resting_cursor: str
    """Behind the line one was on, while another part has the keyboard."""
    field: str
    """Behind a box one can type into; carries only `text`."""


DARK: Final = Palette(
    background="#11161b",
    surface="#182027",
    panel="#1f2932",
    text="#dbe2e8",
    grey="#92a0ad",
    accent="#6fc1d8",
    success="#8cc98f",
    warning="#e6b75f",
    error="#f2907f",
    cursor="#23536a",
    cursor_text="#f4f8fa",
    resting_cursor="#263542",
    field="#1c2830",
)
LIGHT: Final = Palette(
    background="#f7f5f0",
    surface="#fdfcf9",
    panel="#e9e6dd",
    text="#20262c",
    grey="#565f68",
    accent="#0b5c78",
    success="#24622a",
    warning="#744c00",
    error="#a0231a",
    cursor="#1c6580",
    cursor_text="#ffffff",
    resting_cursor="#d8e3e6",
    field="#ebeef0",
)
# Only values of the sixteen-colour palette as Rich maps it, so that reducing the colours changes nothing.
PLAIN: Final = Palette(
    background="#000000",
    surface="#000000",
    panel="#000000",
    text="#ffffff",
    grey="#aaaaaa",
    accent="#55ffff",
    success="#55ff55",
    warning="#ffff55",
    error="#ff5555",
    cursor="#ffffff",
    cursor_text="#000000",
    resting_cursor="#555555",
    field="#000000",
)
PALETTES: Final = {"logbook-dark": DARK, "logbook-light": LIGHT, "logbook-plain": PLAIN}
DEFAULT_THEME: Final = "logbook-dark"


def themes() -> list[Theme]:
    """All looks, ready to be registered by the app."""
    return [_theme(name, palette) for name, palette in PALETTES.items()]


def _theme(name: str, palette: Palette) -> Theme:
    return Theme(
        name=name,
        primary=palette.accent,
        secondary=palette.accent,
        accent=palette.accent,
        warning=palette.warning,
        error=palette.error,
        success=palette.success,
        foreground=palette.text,
        background=palette.background,
        surface=palette.surface,
        panel=palette.panel,
        boost=palette.surface,
        dark=name != "logbook-light",
        variables=_variables(palette),
    )


def _variables(palette: Palette) -> dict[str, str]:
    """Style sheet variables; the library would mix these from the colours above, with less contrast."""
    return {
        "grey": palette.grey,
        "text": palette.text,
        "text-muted": palette.grey,
        "text-disabled": palette.grey,
        "text-accent": palette.accent,
        "text-primary": palette.accent,
        "text-secondary": palette.accent,
        "text-success": palette.success,
        "text-warning": palette.warning,
        "text-error": palette.error,
        "foreground-muted": palette.grey,
        "foreground-disabled": palette.grey,
        "cursor": palette.cursor,
        "cursor-text": palette.cursor_text,
        "resting-cursor": palette.resting_cursor,
        "field": palette.field,
        "block-cursor-background": palette.cursor,
        "block-cursor-foreground": palette.cursor_text,
        "block-cursor-blurred-background": palette.resting_cursor,
        "block-cursor-blurred-foreground": palette.text,
        "block-hover-background": palette.resting_cursor,
        "border": palette.accent,
        "border-blurred": palette.grey,
        "footer-background": palette.panel,
        "footer-key-foreground": palette.accent,
        "input-cursor-background": palette.accent,
        "input-cursor-foreground": palette.background,
        "input-selection-background": palette.cursor,
        "input-selection-foreground": palette.cursor_text,
        "screen-selection-background": palette.cursor,
        "screen-selection-foreground": palette.cursor_text,
        "scrollbar": palette.grey,
        "scrollbar-hover": palette.accent,
        "scrollbar-active": palette.accent,
        "scrollbar-background": palette.panel,
        "scrollbar-background-hover": palette.panel,
        "scrollbar-background-active": palette.panel,
        "scrollbar-corner-color": palette.background,
        "button-foreground": palette.text,
        "button-color-foreground": palette.background,
    }


# Other themes do not know these names; a style sheet that uses them must still load.
VARIABLE_DEFAULTS: Final = {
    "grey": DARK.grey,
    "cursor": DARK.cursor,
    "cursor-text": DARK.cursor_text,
    "resting-cursor": DARK.resting_cursor,
    "field": DARK.field,
}
