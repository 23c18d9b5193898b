"""The figures behind a pack: how it was counted, where its capacity comes from, its cycles by depth, its line of charge."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from logbook.reports.pack_plots import DAYS
from logbook.reports.plan_text import chance
from logbook.reports.plot import day_number
from logbook.ui.screens.pack_fact import fact
from logbook.ui.screens.pack_lines import BLANK
from logbook.ui.widgets.line_list import Line, Span, heading

if TYPE_CHECKING:
    from logbook.services.pack_view import PackView

Row = dict[str, Any]
_BAR: Final = 24
"""Length of the longest bar [cells]."""
_SOURCES: Final = {
    "nominal": "what the maker rates it", "charges": "kWh at the meter against % charged", "flights": "what flights used",
    "soh": "state of health as read", "checks": "measured on the bench",
}  # fmt: skip


def figures(view: PackView) -> list[Line]:
    """All of it, with the readings of the last weeks at the end."""
    blocks = [
        _capacity(view.detail["capacity"]),
        _counted(view),
        _depth(view.detail["cycles"]),
        _heat(view),
    ]
    found: list[Line] = []
    for block in [*blocks, _ledger(view)]:
        found += [BLANK, *block] if found else block
    return found


def _capacity(capacity: Row) -> list[Line]:
    lines = [heading("Usable capacity: where it comes from"), Line(body=capacity["how"])]
    lines += [Line(body=why, tone="warning") for why in capacity["why"]]
    lines += [Line(body=f"Doubtful: {one['words']}.", tone="warning") for one in capacity["doubtful_charges"]]
    for source in sorted(capacity["sources"], key=lambda one: -one["share"]):
        count = f"{source['n']} records" if source["n"] else ""
        said = ", ".join(part for part in (_SOURCES.get(source["name"], ""), count) if part)
        lines.append(fact(f"  {source['name']}", f"{100 * source['share']:5.1f} %  {said}"))
    fade = capacity["fade_per_cycle"]
    if fade:
        low, mid, high = (100 * fade[end] for end in ("low", "mid", "high"))
        lines.append(fact("  change", f"{mid:+.3f} % a cycle ({low:+.3f} to {high:+.3f})"))
    return lines


def _counted(view: PackView) -> list[Line]:
    row = view.row
    by_energy = row["equivalent_cycles_by_energy"]
    out = row["energy_out_kwh"]
    return [
        heading("How it was counted"),
        fact("Hours", row["hours_basis"]),
        fact("Flights, charges", f"{row['flights']}, {row['charges']}"),
        fact("Cycles", row["cycles_basis"]),
        fact("By energy", "unknown" if by_energy is None else f"{by_energy:.1f}"),
        fact("Reference", row["reference_capacity"]),
        fact("The maker's cycle", row["cycle_definition"] or "not stated: cycles cannot be judged"),
        fact("Own counter", view.detail["cycles"]["own_counter_words"]),
        fact("Energy out", row["energy_basis"] if out is None else f"{out:.0f} kWh: {row['energy_basis']}"),
        fact("Usable, SOH scale", row["usable_basis"]),
    ]


def _depth(cycles: Row) -> list[Line]:
    lines = [heading("Cycles by depth (rainflow, ASTM E1049)")]
    most = max((one["cycles"] for one in cycles["by_depth"]), default=0)
    for one in cycles["by_depth"]:
        bar = "━" * round(one["cycles"] / most * _BAR) if most else ""
        label = f"  {one['from_pct']:g} to {one['to_pct']:g} %"
        head = (Span(f"{label:<14}", "grey"), Span(f"{one['cycles']:>7.1f}  "), Span(bar, "accent"))
        lines.append(Line(head))
    return lines


def _heat(view: PackView) -> list[Line]:
    heat = view.detail["temperature"]
    tau = heat["cools_with_tau_min"]
    lines = [heading("Temperature"), fact("Rise in flight", view.measures.sentence(heat["words"]))]
    usual, degrees = heat["usual_flight"], view.measures.say
    if usual:
        high = usual["highest_c"]
        lines.append(
            fact(
                "A usual flight",
                f"reaches {degrees(high['mid'], '°C', 0)} ({degrees(high['low'], '°C', 0)} to "
                f"{degrees(high['high'], '°C', 0)}), from {degrees(usual['before_c'], '°C')}, using {usual['used_kwh']:.1f} kWh",
            )
        )
        if usual["warmest_start_c"] is not None:
            words = (
                f"{degrees(usual['warmest_start_c'], '°C')}, "
                f"to stay below {degrees(usual['warmest_start_below_c'], '°C')}"
            )
            lines.append(fact("Warmest start", words))
        if usual["chance_above_limit"] is not None:
            lines.append(fact("Above the limit", f"{chance(usual['chance_above_limit'])}"))
    cools = f"time constant {tau['mid']:.0f} min ({tau['low']:.0f} to {tau['high']:.0f}): {tau['how']}"
    return [*lines, fact("Cooling", cools)]


def _ledger(view: PackView) -> list[Line]:
    """Readings of the last weeks, newest first; a gap stands above the reading after it."""
    title = heading(f"Line of charge, last {DAYS // 7} weeks of the record")
    if not view.ledger:
        return [title, Line(body="No reading yet.", tone="grey")]
    since = day_number(view.ledger[-1]["at"]) - DAYS
    lines = [title]
    for row in reversed(view.ledger):
        if day_number(row["at"]) < since:
            break
        soc = "not read" if row["soc_pct"] is None else f"{row['soc_pct']:g} %"
        change = "" if row["change_pct"] is None else f"{row['change_pct']:+g}"
        head = (Span(f"{row['at'][:10]} {row['at'][11:16]}  {row['what']:<13}{soc:>8}{change:>8}  "),)
        words = f"gap, {row['gap_cause']}: {row['gap_words']}" if row["gap_cause"] else ""
        kind = view.records.get(row["record_id"], "flight")
        lines.append(Line(head, words, "warning", (kind, row["record_id"])))
    return lines
