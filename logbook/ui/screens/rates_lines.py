"""Rates and their quality as lines for the screen. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from logbook.measures import USUAL, Measures, effect_words
from logbook.services.rates_view import RATE_WORDS, RatesView
from logbook.ui.widgets.estimate_bar import EstimateLine

Row = dict[str, Any]
_DIGITS: Final = {"level": 3}
_LABELS: Final = {"outside temperature": "Outside temp.", "cold pack": "Cold pack"}
_TITLES: Final = ("flights of", "n", "error", "bias", "inside", "width", "handbook", "average")


def rate_lines(rates: Row) -> Iterator[EstimateLine]:
    """Handbook beside observed."""
    for name, rate in rates["rates"].items():
        seen, digits = rate["observed"], _DIGITS.get(name, 2)
        if rate["handbook"] == 0 and seen["high"] == 0:
            yield EstimateLine(RATE_WORDS[name], rate["unit"], because="none, by the handbook")
            continue
        yield EstimateLine(
            RATE_WORDS[name],
            rate["unit"],
            seen["low"],
            seen["mid"],
            seen["high"],
            rate["n"],
            rate["handbook"],
            digits,
        )


def effect_lines(rates: Row, measures: Measures = USUAL) -> Iterator[EstimateLine]:
    """What changes the energy of a flight, beside nothing."""
    for effect in rates["effects"]:
        yield _percent(
            _LABELS.get(effect["name"], effect["name"].capitalize()),
            effect,
            f"% {effect_words(measures, effect['unit'])}",
        )


def people_lines(rates: Row) -> Iterator[EstimateLine]:
    """Who flies, beside the usual pilot."""
    for effect in rates["people"]:
        yield _percent(effect["person"], effect, "%")


def _percent(label: str, effect: Row, unit: str) -> EstimateLine:
    seen = effect["percent"]
    return EstimateLine(label, unit, seen["low"], seen["mid"], seen["high"], effect["n"], 0.0, 1, beside="")


def scatter(rates: Row) -> str:
    """How much flights of a kind differ that look alike on paper."""
    parts = [f"{kind} {value:.1f} %" for kind, value in rates["scatter_pct"].items()]
    return (
        f"Flights that look alike on paper differ by (one standard deviation): {', '.join(parts)}."
        if parts
        else ""
    )


def quality_table(view: RatesView) -> str:
    """Error, bias, share inside and width of each group, beside the handbook alone and the plain average."""
    rows = [list(_TITLES)]
    for group in view.graded:
        if group.score["flights"]:
            both = (f"{group.score[name]:.1f}" for name in ("handbook_mae_pct", "average_mae_pct"))
            rows.append([*_scored(group.name, group.score), *both])
    if len(rows) == 1:
        return "No flight with both charges yet: nothing to judge the forecasts by."
    return _in_columns(rows)


def tenths_table(tenths: Row) -> str:
    """The same flights with and without the stated energy by tenths of charge."""
    rows = [list(_TITLES[:6])]
    rows[0][0] = "energy by tenths"
    names = (("with, as stated", "given"), ("without", "without"), ("each % the same", "constant"))
    rows += [_scored(name, tenths[way]) for name, way in names]
    return _in_columns(rows)


def _scored(name: str, score: Row) -> list[str]:
    return [
        name if len(name) <= 18 else f"{name[:17]}…",
        str(score["flights"]),
        f"{score['mae_pct']:.1f}",
        f"{round(score['bias_pct'], 1) + 0.0:+.1f}",
        f"{100 * score['inside_90']:.0f} %",
        f"{score['mean_width_pct']:.1f}",
    ]


def _in_columns(rows: list[list[str]]) -> str:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return "\n".join(
        " ".join(
            [
                row[0].ljust(widths[0]),
                *(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)),
            ]
        )
        for row in rows
    )
