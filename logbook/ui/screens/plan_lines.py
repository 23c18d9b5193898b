"""The answer to a plan as lines for the screen: words, figures and tones. Nothing is worked out here."""

from __future__ import annotations

from typing import Any, Final

from logbook.measures import USUAL, Measures
from logbook.planning.words import WHOLE_AEROPLANE
from logbook.reports.plan_text import at_power, chance
from logbook.ui.widgets.said import Said
from logbook.units import down, up

Row = dict[str, Any]
SIGNS: Final = {"fits": "✓ FITS", "does_not_fit": "! DOES NOT FIT", "cannot_tell": "? CANNOT TELL"}
TONES: Final = {"fits": "success", "does_not_fit": "error", "cannot_tell": "warning"}
AID: Final = "Planning aid; flight manual, instruments, local rules and the pilot decide."


def because(shown: Row) -> str:
    """The figure that decides, without the verdict, which stands above it."""
    text = str(shown["because"])
    head, _, rest = text.partition(": ")
    if head in ("Fits", "Does not fit", "Cannot tell") and rest:
        return rest[:1].upper() + rest[1:]
    return text


def pack_table(shown: Row) -> str:
    """Landing charge of each pack in columns that fit beside the form."""
    rows = [["lands with [%]", "low", "mid", "high", "needs"]]
    for pack in shown["packs"]:
        landing, needed = pack["landing_soc_pct"], pack["needed_soc_pct"]
        ends = ["?"] * 3
        if landing is not None:
            ends = [down(landing["low"]), f"{landing['mid']:.0f}", f"{landing['high']:.0f}"]
        rows.append([str(pack["serial_no"]) or WHOLE_AEROPLANE, *ends, "" if needed is None else up(needed)])
    widths = (3, 3, 4, 5)
    lines = []
    for name, *cells in rows:
        short = name if len(name) <= 16 else f"{name[:15]}…"
        figures = (cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
        lines.append(f"{short:<16} {' '.join(figures)}")
    return "\n".join(lines)


def figures(shown: Row, measures: Measures = USUAL) -> list[Said]:
    """The figures of the whole aeroplane in words, most important first."""
    found = []
    left, final = shown["minutes_left"], shown["final_reserve_min"]
    if left is not None:
        words = f"{left['mid']:.0f} left after landing ({down(left['low'])} to {left['high']:.0f})"
        words += at_power(shown) if final is None else f"; {final:.0f} needed{at_power(shown)}"
        found.append(Said("Minutes", words))
    if shown["chance_below_reserve"] is not None:
        found.append(Said("Chance", f"{chance(shown['chance_below_reserve'])} of landing below reserve"))
    for key, label, what in (
        ("go_around", "Go-around", "and one more circuit"),
        ("diversion", "Diversion", ""),
        ("more_wind", "More wind", "1.4 times"),
    ):
        if shown.get(key):
            found.append(_more(label, what, shown[key]))
    if shown["circuits_that_fit"] is not None:
        most = shown["circuits_that_fit"] or "none"
        found.append(
            Said("Circuits", f"{most} fit{'' if most != 'none' else 's'} in all, all else as planned")
        )
    found += [
        Said("Would fit" if number == 0 else "or", str(remedy["words"]))
        for number, remedy in enumerate(shown["would_fit"])
    ]
    return found + _back(shown) + _beside(shown, measures)


def _more(label: str, what: str, more: Row) -> Said:
    verdict = "fits" if more["fits"] else "DOES NOT FIT"
    words = f"{what} {verdict}: {more['serial_no'] or WHOLE_AEROPLANE} {down(more['landing_low_pct'])} %, needs {up(more['needed_pct'])}"
    return Said(label, words.strip(), "" if more["fits"] else "error")


def _back(shown: Row) -> list[Said]:
    """The highest turn-back charge on the way, and the point of no return."""
    backs = [
        (pack["turn_back_pct"], leg["name"])
        for leg in shown["legs"]
        for pack in leg["packs"]
        if pack["turn_back_pct"] is not None and (leg["home_nm"] or 0) > 1
    ]
    found = []
    if backs:
        most, where = max(backs)
        value = "not even a full pack is enough" if most > 100 else f"{up(most)} % or less"
        found.append(Said("Turn back", f"with {value} after {where}", "warning" if most > 100 else ""))
    point = (shown["points"] or {}).get("no_return")
    if point:
        found.append(Said("No return", f"{point['words']} (wind {shown['points']['wind']})"))
    return found


def _beside(shown: Row, measures: Measures) -> list[Said]:
    """Energy, time, temperature, and the handbook beside the record."""
    found = []
    energy = shown.get("energy_kwh")
    if energy:
        found.append(Said("Energy", f"{energy['mid']:.1f} kWh ({energy['low']:.1f} to {energy['high']:.1f})"))
    if shown["block_min"] is not None:
        found.append(Said("Time", f"{shown['block_min']:.0f} min"))
    found += [
        Said("Warmest", _heat(heat, measures)) for heat in shown.get("temperature") or () if heat["highest_c"]
    ]
    handbook = shown["handbook"]
    if handbook:
        low = min((pack["landing_soc_pct"]["low"] for pack in handbook["packs"]), default=None)
        verdict = SIGNS[handbook["verdict"]].split(" ", 1)[1].lower()
        found.append(Said("Handbook", verdict if low is None else f"alone: {verdict}, {down(low)} % or more"))
    return found


def _heat(heat: Row, measures: Measures) -> str:
    low, mid, high = (measures.figure(heat["highest_c"][end], "°C", 0) for end in ("low", "mid", "high"))
    return f"{heat['serial_no']} {mid} {measures.unit('°C')} ({low} to {high})"


def first_caution(shown: Row) -> str:
    """The most serious caution, and how many there are; all of them stand below."""
    texts = _cautions(shown)
    more = f" 1 of {len(texts)}:" if len(texts) > 1 else ""  # in front: a very long end may be cut
    return f"!{more} {texts[0]}" if texts else ""


def _cautions(shown: Row) -> list[str]:
    return [text for text in shown["cautions"] if not text.startswith("This is a planning aid")]


def cautions(shown: Row) -> str:
    """All cautions but the one that always stands at the bottom, the most serious first."""
    return "\n".join(f"! {text}" for text in _cautions(shown))


def legs(shown: Row) -> str:
    """The legs in narrow columns: minutes, charge of the weaker pack, turn-back charge."""
    if not shown["legs"]:
        return ""
    lines = [f"{'after leg':<18}{'min':>4} {'charge %':>13} {'turn back':>9}"]
    for leg in shown["legs"]:
        weaker = next((p for p in leg["packs"] if p["serial_no"] == leg["weaker_pack"]), leg["packs"][0])
        soc = weaker["soc_pct"]
        backs = [p["turn_back_pct"] for p in leg["packs"] if p["turn_back_pct"] is not None]
        back = "" if not backs else "not full" if max(backs) > 100 else up(max(backs))
        minutes = "?" if leg["total_min"] is None else f"{leg['total_min']:.0f}"
        name = str(leg["name"]) if len(str(leg["name"])) <= 17 else f"{str(leg['name'])[:16]}…"
        charge = f"{soc['mid']:.0f} ({down(soc['low'])}-{soc['high']:.0f})"
        lines.append(f"{name:<18}{minutes:>4} {charge:>13} {back:>9}")
    return "\n".join(lines)
