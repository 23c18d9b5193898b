"""How often the ledger names the true cause of a made-up mistake: `python -m tests.bench.ledger_causes`."""
# ruff: noqa: T201, S311 -- a bench prints, and repeatable chance is wanted here

import random
from collections import Counter

from logbook.energy.ledger import find_gaps
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, LANDING, Event

DAY = 1440
PACKS = ("P1", "P2")


def book(flights: int, seed: int) -> tuple[dict[str, list[Event]], dict[str, str]]:
    """Two packs that fly together, with about three mistakes in a hundred flights, and where those are."""
    draw = random.Random(seed)
    lines: dict[str, list[Event]] = {pack: [] for pack in PACKS}
    truth: dict[str, str] = {}
    soc = dict.fromkeys(PACKS, 100.0)
    for i in range(flights):
        mistake = (
            draw.choice(["exchanged", "mistyped", "charge missing", "flight missing"])
            if draw.random() < 0.03
            else ""
        )
        used = draw.uniform(15, 60)
        start = {p: soc[p] for p in PACKS}
        end = {p: max(soc[p] - used + draw.uniform(-4, 4), 5.0) for p in PACKS}
        shown = {p: round(end[p]) for p in PACKS}
        if mistake == "exchanged" and abs(shown["P1"] - shown["P2"]) > 2:
            shown = {"P1": shown["P2"], "P2": shown["P1"]}
        elif mistake == "mistyped":
            ten, one = divmod(shown["P1"], 10)
            shown["P1"] = draw.choice([10 * one + ten, 10 * ((ten + draw.randint(1, 8)) % 10) + one])
            mistake = mistake if abs(shown["P1"] - end["P1"]) > 3 else ""
        elif mistake == "exchanged":
            mistake = ""
        if mistake:
            truth[f"{i}"] = mistake
        charged = draw.random() < 0.9 or end["P1"] < 60
        for p in PACKS:
            at = i * 3 * DAY
            if mistake != "flight missing":
                lines[p] += [
                    Event(at, DEPARTURE, round(start[p]), f"F{i}"),
                    Event(at + 45, LANDING, shown[p], f"F{i}"),
                ]
            soc[p] = end[p]
            if charged:
                if mistake != "charge missing":
                    lines[p].append(Event(at + 90, CHARGE_START, round(end[p] + draw.gauss(0, 0.4)), f"C{i}"))
                    lines[p].append(Event(at + 180, CHARGE_END, 100, f"C{i}"))
                soc[p] = draw.choice([100.0, 100.0, 99.0])
    return lines, truth


def main() -> None:
    named: Counter[tuple[str, str]] = Counter()
    false_alarms = 0
    for seed in range(10):
        lines, truth = book(1000, seed)
        found = {}
        for gap in find_gaps(lines):
            for event in (gap.before, gap.after):
                found.setdefault(event.record_id[1:], gap.cause)
            if not any(
                str(int(e.record_id[1:]) + d) in truth for e in (gap.before, gap.after) for d in (-1, 0, 1)
            ):
                false_alarms += 1
        for place, mistake in truth.items():
            near = [found.get(str(int(place) + d)) for d in (0, 1, -1)]
            named[mistake, next((cause for cause in near if cause), "not found")] += 1
    for (mistake, cause), times in sorted(named.items()):
        print(f"{mistake:16} named {cause:16} {times:4}")
    print(f"false alarms in 20,000 pack flights: {false_alarms}")


if __name__ == "__main__":
    main()
