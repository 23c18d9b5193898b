"""A plan's answer on one page of plain text, eighty columns: the verdict first, turn-back charges large, cautions last."""

from __future__ import annotations

import textwrap
from math import floor
from typing import Any, Final, TextIO

from logbook.measures import USUAL, Measures, told
from logbook.planning.words import WHOLE_AEROPLANE
from logbook.reports.text_table import Column, write_table
from logbook.reports.visible import visible
from logbook.units import down, up

_WIDTH: Final = 77
"""A page is read on a screen of 80 cells too, beside its margins and the bar."""
VERDICTS: Final = {"fits": "FITS", "does_not_fit": "DOES NOT FIT", "cannot_tell": "CANNOT TELL"}
POINTS: Final = "Points, by energy, on the pessimistic forecast with the reserve kept"

Row = dict[str, Any]


def write_plan(stream: TextIO, title: str, answer: Row, measures: Measures = USUAL) -> None:
    """Writes the answer to a plan.

    Args:
        stream: where to.
        title: what was planned, in a few words.
        answer: as `Planned.to_json` gives it.
        measures: the units figures are shown in.
    """
    answer = told(measures, answer)
    _paragraph(stream, title)
    stream.write(f"\n{VERDICTS[answer['verdict']]}\n")
    _paragraph(stream, answer["because"])
    stream.write(f"\n{landing_heading(answer)}\n")
    write_table(stream, PACK_COLUMNS, [pack_row(pack) for pack in answer["packs"]], empty="No packs.")
    stream.write("\n")
    _facts(stream, facts(answer))
    if answer["legs"]:
        stream.write(f"\n{legs_heading(answer)}\n")
        write_table(stream, LEG_COLUMNS, [leg_row(leg) for leg in answer["legs"]], empty="")
    if found := points(answer):
        stream.write(f"\n{POINTS}\n")
        _facts(stream, found)
    for heading, lines in paragraphs(answer):
        stream.write(f"\n{heading}\n")
        for text in lines:
            _paragraph(stream, f"- {text}", indent="  ")


def landing_heading(answer: Row) -> str:
    """What stands above the landing charges; with one gauge there are no packs to tell apart."""
    return (
        f"Landing charge{'' if _one_gauge(answer) else ' of each pack'} [%], meant to hold nine times in ten"
    )


def legs_heading(answer: Row) -> str:
    """What stands above the legs."""
    whose = "one gauge" if _one_gauge(answer) else "weaker pack"
    return f"Leg by leg, {whose}; below the turn-back charge one must go home"


def _one_gauge(answer: Row) -> bool:
    return [pack["serial_no"] for pack in answer["packs"]] == [""]


PACK_COLUMNS: Final = (
    Column("pack", "pack"),
    Column("departure", "departs", right=True),
    Column("landing", "lands (low to high)", right=True),
    Column("needed", "needed", right=True),
    Column("margin", "margin", right=True),
    Column("chance", "below reserve", right=True),
)
LEG_COLUMNS: Final = (
    Column("name", "leg"),
    Column("minutes", "min", right=True),
    Column("total", "total", right=True),
    Column("kwh", "kWh", right=True),
    Column("soc", "charge % (lo to hi)", right=True),
    Column("turn_back", "TURN BACK %", right=True),
)


def _paragraph(stream: TextIO, text: str, indent: str = "") -> None:
    stream.writelines(
        line + "\n" for line in textwrap.wrap(visible(text), _WIDTH, subsequent_indent=indent) or [""]
    )


def _facts(stream: TextIO, pairs: list[tuple[str, Any]]) -> None:
    """Labels and values, values under each other; what is unknown is left out, what is long is broken."""
    known = [(label, visible(str(value))) for label, value in pairs if value is not None]
    width = max(len(label) for label, _ in known) + 2
    for label, value in known:
        lines = textwrap.wrap(value, _WIDTH - width) or [""]
        stream.writelines(
            f"{label if number == 0 else '':<{width}}{line}\n" for number, line in enumerate(lines)
        )


def _one(value: float | None, digits: int = 0) -> str:
    return "" if value is None else f"{value:.{digits}f}"


def span(estimate: Row | None, digits: int = 0) -> str:
    """Low, mid and high as people read them: 'mid (low to high)'; whole figures never show a low end better than it is."""
    if estimate is None:
        return "unknown"
    low, mid, high = (f"{estimate[name]:.{digits}f}" for name in ("low", "mid", "high"))
    return f"{mid} ({low if digits else down(estimate['low'])} to {high})"


def at_power(answer: Row) -> str:
    """The power at which minutes left are counted; a plan kept before it was kept does not say."""
    power_kw = answer.get("minutes_left_at_kw") or answer["final_reserve_kw"]
    return f" at {power_kw:g} kW" if power_kw else ""


def chance(value: float | None) -> str:
    """A chance in percent; a tiny one is not more than small, whatever the arithmetic says."""
    if value is None:
        return ""
    if value > 0.99:
        return "over 99 %"
    return "under 1 %" if value < 0.01 else f"{100 * value:.0f} %"


def pack_row(pack: Row) -> Row:
    """One pack as a row of `PACK_COLUMNS`."""
    name = f"{pack['serial_no']} {pack['position']}".strip() or WHOLE_AEROPLANE
    return {
        "pack": name if len(name) <= 22 else f"{name[:21]}…",
        "departure": _one(pack["soc_departure_pct"]),
        "landing": span(pack["landing_soc_pct"]),
        "needed": "" if pack["needed_soc_pct"] is None else up(pack["needed_soc_pct"]),
        "margin": "" if pack["margin_pct"] is None else f"{floor(pack['margin_pct'] + 1e-9):+d}",
        "chance": chance(pack["chance_below_reserve"]),
    }


def facts(answer: Row) -> list[tuple[str, Any]]:
    """The figures of the whole aeroplane, label and value; what is unknown is None."""
    left = answer["minutes_left"]
    rows: list[tuple[str, Any]] = [
        ("energy [kWh]", span(answer["energy_kwh"], 1) if answer.get("energy_kwh") else None),
        ("block time [min]", _one(answer.get("block_min")) or None),
        ("minutes left after landing", span(left) + at_power(answer) if left else None),
        ("final reserve", answer["final_reserve_rule"] or "none entered for this aeroplane"),
        ("chance of landing below reserve", chance(answer["chance_below_reserve"]) or None),
    ]
    for key, label in (
        ("go_around", "go-around and one more circuit"),
        ("diversion", "diversion"),
        ("more_wind", "1.4 times the wind"),
    ):
        found = answer.get(key)
        if found:
            rows.append((label, "fits" if found["fits"] else "DOES NOT FIT"))
    rows.append(("circuits that fit in all", answer.get("circuits_that_fit")))
    altitude = answer.get("density_altitude_ft")
    return [*rows, ("density altitude [ft]", None if altitude is None else f"{altitude:.0f}")]


def leg_row(leg: Row) -> Row:
    """One leg as a row of `LEG_COLUMNS`, by the weaker pack."""
    weaker = next((pack for pack in leg["packs"] if pack["serial_no"] == leg["weaker_pack"]), leg["packs"][0])
    back = max((p["turn_back_pct"] for p in leg["packs"] if p["turn_back_pct"] is not None), default=None)
    name = str(leg["name"])
    return {
        "name": name if len(name) <= 24 else f"{name[:23]}…",
        "minutes": _one(leg["minutes"]),
        "total": _one(leg["total_min"]),
        "kwh": _one(leg["energy_kwh"]["mid"], 1),
        "soc": span(weaker["soc_pct"]),
        "turn_back": "" if back is None else "not even full" if back > 100 else up(back),
    }


def points(answer: Row) -> list[tuple[str, Any]]:
    """Points of no return and of equal time, with the wind assumed; empty where there are none."""
    found = answer.get("points") or {}
    lines: list[tuple[str, Any]] = [
        (name, found[key]["words"])
        for key, name in (
            ("no_return", "no return"),
            ("equal_time", "equal time"),
            ("no_return_more_wind", "no return, more wind"),
            ("equal_time_more_wind", "equal time, more wind"),
        )
        if found.get(key)
    ]
    if not lines:
        return []
    return [*lines, ("wind assumed", found.get("wind")), ("more wind", found.get("more_wind") or None)]


def paragraphs(answer: Row) -> list[tuple[str, list[str]]]:
    """What is said in sentences: what would make it fit, temperature, handbook, what is assumed, cautions last."""
    handbook = answer.get("handbook") or {}
    said = VERDICTS[handbook["verdict"]].lower() if handbook else ""
    found = [
        ("What would make it fit", [row["words"] for row in answer.get("would_fit") or ()]),
        ("Temperature", [row["words"] for row in answer.get("temperature") or () if not row["warns"]]),
        (f"The handbook alone says: {said}", list(handbook.get("why") or ())),
        ("Taken for granted", list(answer.get("assumptions") or ())),
        ("Cautions", [text for text in answer["cautions"] if text]),
    ]
    return [(heading, lines) for heading, lines in found if lines]
