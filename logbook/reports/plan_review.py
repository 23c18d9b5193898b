"""Kept plans and what came of them, as plain text."""

from __future__ import annotations

from typing import Any, Final, TextIO

from logbook.planning.words import WHOLE_AEROPLANE
from logbook.reports.plan_text import VERDICTS
from logbook.reports.text_table import Column, write_facts, write_table
from logbook.units import down

Row = dict[str, Any]
PLANS_COLUMNS: Final = (
    Column("made", "made (UTC)"),
    Column("aircraft", "aeroplane"),
    Column("title", "plan"),
    Column("verdict", "verdict"),
    Column("forecast", "forecast % (low to high)", right=True),
    Column("came", "came", right=True),
    Column("off", "off", right=True),
    Column("own", "own guess off", right=True),
    Column("plan_id", "id"),
)
_PACKS: Final = (
    Column("serial_no", "pack"),
    Column("departure", "departs", right=True),
    Column("departed", "departed", right=True),
    Column("forecast", "forecast % (low to high)", right=True),
    Column("given", "given what was flown", right=True),
    Column("came", "came", right=True),
    Column("off", "off", right=True),
)


def plans_row(review: Row) -> Row:
    """One kept plan, by its weaker pack.

    Args:
        review: as `PlanReview.to_json` gives it.
    """
    known = [pack for pack in review["packs"] if pack["low"] is not None]
    weaker = min(known, key=lambda pack: pack["low"], default=None)
    row = {
        "made": review["made_at"][:16].replace("T", " "),
        "aircraft": review["aircraft"],
        "title": review["title"],
        "verdict": VERDICTS.get(review["verdict"], "").lower(),
        "own": _signed(review["own_error"]),
        "plan_id": review["plan_id"],
    }
    return row if weaker is None else row | _figures(weaker)


def _figures(pack: Row) -> Row:
    return {
        "forecast": ""
        if pack["mid"] is None
        else f"{pack['mid']:.0f} ({down(pack['low'])} to {pack['high']:.0f})",
        "came": "" if pack["actual"] is None else f"{pack['actual']:g}",
        "off": _signed(pack["error"]) + (" outside" if pack["inside"] is False else ""),
    }


def _signed(value: float | None) -> str:
    return "" if value is None else f"{value:+.0f}"


def write_review(stream: TextIO, review: Row) -> None:
    """One kept plan against the flight flown to it.

    Args:
        stream: where to.
        review: as `PlanReview.to_json` gives it.
    """
    write_facts(
        stream,
        [
            ("plan", review["title"] or review["plan_id"]),
            ("aeroplane", review["aircraft"]),
            ("made (UTC)", review["made_at"]),
            ("verdict", VERDICTS.get(review["verdict"], "")),
            ("flown", review["flown_on"] or "not as far as the book knows"),
            ("flight", review["flight_id"]),
            ("own estimate [%]", review["own_estimate"]),
        ],
    )
    stream.write("\n")
    rows = [
        _figures(pack)
        | {
            "serial_no": pack["serial_no"] or WHOLE_AEROPLANE,
            "departure": "" if pack["departure"] is None else f"{pack['departure']:g}",
            "departed": "" if pack["departed"] is None else f"{pack['departed']:g}",
            "given": "" if pack["given_flown"] is None else f"{pack['given_flown']:.0f}",
        }
        for pack in review["packs"]
    ]
    write_table(stream, _PACKS, rows, empty="No forecast was kept.")
    stream.writelines(f"- {words}\n" for words in review["words"])


def score_words(score: Row, kept: int) -> str:
    """How good the kept forecasts were, in a sentence.

    Args:
        score: as `KeptScore` has it.
        kept: how many plans were kept.
    """
    if not score["plans"]:
        return f"{kept} kept, none flown yet as far as the book knows; a flight that is begun from its plan is put beside it."
    words = (
        f"{score['plans']} of {kept} flown: forecasts off by {score['mae_pct']:.1f} points in the mean, "
        f"{100 * score['inside_90']:.0f} % inside their interval"
    )
    if score["own_plans"]:
        words += f"; the pilot's own guess off by {score['own_mae_pct']:.1f} ({score['own_plans']} flights)"
    return f"{words}. Given before the flight, for what was planned."
