"""A plan's answer on one page of plain text, eighty columns: the verdict first, turn-back charges large, cautions last."""

from __future__ import annotations

import textwrap
from typing import Any, TextIO

from logbook.reports.text_table import Column, write_facts, write_table
from logbook.reports.visible import visible

_WIDTH = 80
VERDICTS = {"fits": "FITS", "does_not_fit": "DOES NOT FIT", "cannot_tell": "CANNOT TELL"}

Row = dict[str, Any]


def write_plan(stream: TextIO, title: str, answer: Row) -> None:
    """Writes the answer to a plan.

    Args:
        stream: where to.
        title: what was planned, in a few words.
        answer: as `PlanAnswer.to_json` gives it.
    """
    stream.write(f"{visible(title)}\n\n{VERDICTS[answer['verdict']]}\n")
    _paragraph(stream, answer["because"])
    concerns = [text for text in answer["cautions"] if text]
    stream.write("\nLanding charge of each pack [%], meant to hold nine times in ten\n")
    write_table(stream, _PACKS, [_pack_row(pack) for pack in answer["packs"]], empty="No packs.")
    stream.write("\n")
    write_facts(stream, _facts(answer))
    if answer["legs"]:
        stream.write(
            "\nLeg by leg (charge of the weaker pack; turn back with less than the turn-back charge)\n"
        )
        write_table(stream, _LEGS, [_leg_row(leg) for leg in answer["legs"]], empty="")
    _points(stream, answer.get("points") or {})
    for key, heading in (("would_fit", "What would make it fit"),):
        rows = answer.get(key) or []
        if rows:
            stream.write(f"\n{heading}\n")
            for row in rows:
                _paragraph(stream, "- " + str(row["words"]), indent="  ")
    _handbook(stream, answer.get("handbook") or {})
    if concerns:
        stream.write("\nCautions\n")
        for text in concerns:
            _paragraph(stream, "- " + text, indent="  ")


_PACKS = (
    Column("pack", "pack"),
    Column("departure", "departure", right=True),
    Column("landing", "landing (low to high)", right=True),
    Column("needed", "needed", right=True),
    Column("margin", "margin at low", right=True),
    Column("chance", "chance below reserve", right=True),
)

_LEGS = (
    Column("name", "leg"),
    Column("minutes", "min", right=True),
    Column("total", "total", right=True),
    Column("kwh", "kWh", right=True),
    Column("soc", "charge at end % (low to high)", right=True),
    Column("turn_back", "TURN BACK %", right=True),
)


def _paragraph(stream: TextIO, text: str, indent: str = "") -> None:
    for line in textwrap.wrap(visible(text), _WIDTH, subsequent_indent=indent) or [""]:
        stream.write(line + "\n")


def _one(value: float | None, digits: int = 0) -> str:
    return "" if value is None else f"{value:.{digits}f}"


def _span(estimate: Row | None, digits: int = 0) -> str:
    if estimate is None:
        return "unknown"
    low, mid, high = (f"{estimate[name]:.{digits}f}" for name in ("low", "mid", "high"))
    return f"{mid} ({low} to {high})"


def _chance(value: float | None) -> str:
    if value is None:
        return ""
    return "under 1 %" if value < 0.01 else f"{100 * value:.0f} %"


def _pack_row(pack: Row) -> Row:
    return {
        "pack": f"{pack['serial_no']} {pack['position']}".strip(),
        "departure": _one(pack["soc_departure_pct"]),
        "landing": _span(pack["landing_soc_pct"]),
        "needed": _one(pack["needed_soc_pct"]),
        "margin": "" if pack["margin_pct"] is None else f"{pack['margin_pct']:+.0f}",
        "chance": _chance(pack["chance_below_reserve"]),
    }


def _facts(answer: Row) -> list[tuple[str, Any]]:
    left = answer["minutes_left"]
    go_around = answer.get("go_around")
    return [
        ("energy [kWh]", _span(answer.get("energy_kwh"), 1) if answer.get("energy_kwh") else None),
        ("block time [min]", _one(answer.get("block_min"))),
        ("minutes left after landing", _span(left) if left else None),
        ("final reserve", answer["final_reserve_rule"] or "none entered for this aeroplane"),
        ("chance of landing below reserve", _chance(answer["chance_below_reserve"])),
        (
            "one go-around and one more circuit",
            None if not go_around else ("fits" if go_around["fits"] else "DOES NOT FIT"),
        ),
        ("circuits that fit", answer.get("circuits_that_fit")),
    ]


def _leg_row(leg: Row) -> Row:
    weaker = next((pack for pack in leg["packs"] if pack["serial_no"] == leg["weaker_pack"]), leg["packs"][0])
    return {
        "name": leg["name"],
        "minutes": _one(leg["minutes"]),
        "total": _one(leg["total_min"]),
        "kwh": _one(leg["energy_kwh"]["mid"], 1),
        "soc": _span(weaker["soc_pct"]),
        "turn_back": _one(
            max((p["turn_back_pct"] for p in leg["packs"] if p["turn_back_pct"] is not None), default=None)
        ),
    }


def _points(stream: TextIO, points: Row) -> None:
    lines = [
        (name, points[key]["words"])
        for key, name in (
            ("no_return", "no return"),
            ("equal_time", "equal time"),
            ("no_return_more_wind", "no return, more wind"),
            ("equal_time_more_wind", "equal time, more wind"),
        )
        if points.get(key)
    ]
    if lines:
        stream.write("\nPoints, by energy, on the pessimistic forecast with the reserve kept\n")
        write_facts(
            stream, [*lines, ("wind assumed", points.get("wind")), ("more wind", points.get("more_wind"))]
        )


def _handbook(stream: TextIO, handbook: Row) -> None:
    if handbook:
        stream.write(f"\nThe handbook alone says: {VERDICTS[handbook['verdict']].lower()}\n")
        for text in handbook.get("why") or ():
            _paragraph(stream, "- " + text, indent="  ")
