"""Commands on energy: rates, capacity, forecasts."""

from __future__ import annotations

import argparse
import sys
import textwrap
from typing import Any

from logbook.cli.common import book_of, command, read_json, say, write_csv, write_json, write_text
from logbook.reports.text_table import Column, write_facts

CAUTION = "Planning aid; the flight manual, the aeroplane's instruments, local rules and the pilot decide."


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    rates = command(commands, "rates", "what flying costs this aeroplane, with the handbook beside it")
    rates.add_argument("aircraft", help="registration")
    rates.set_defaults(run=_rates)

    capacity = command(commands, "capacity", "usable capacity of a pack, as flown, with its history")
    capacity.add_argument("serial", help="serial number")
    capacity.set_defaults(run=_capacity)

    forecasts = command(
        commands,
        "forecasts",
        "how good the forecasts of this aeroplane were",
        formats=("text", "json", "csv"),
    )
    forecasts.add_argument("aircraft", help="registration")
    forecasts.add_argument("--rows", action="store_true", help="every flight and pack")
    forecasts.set_defaults(run=_forecasts)

    plan = command(commands, "plan", "will this flight work, and with what margin? (status 1: does not fit)")
    plan.add_argument("source", metavar="FILE|-", help="the plan as JSON, or - for standard input")
    plan.add_argument("--keep", action="store_true", help="keep the plan and its answer in the book")
    plan.add_argument("--title", help="a name for the kept plan")
    plan.add_argument("--by", help="who plans")
    plan.set_defaults(run=_plan)

    plans = command(commands, "plans", "kept plans beside what came, and how good those forecasts were")
    plans.add_argument("plan", nargs="?", metavar="ID", help="one plan, with what can be learned from it")
    plans.add_argument("--aircraft", help="only this aeroplane")
    plans.set_defaults(run=_plans)


def _plan(options: argparse.Namespace) -> int:
    from logbook.services.liked_units import measures_of
    from logbook.services.plan import keep_plan, plan_flight

    data = read_json(options.source)
    with book_of(options) as book:
        planned, measures = plan_flight(book, data), measures_of(book)
        if options.keep:
            say(f"Kept as plan {keep_plan(book, planned, title=options.title, by=options.by)}.")
    answer = planned.to_json()
    if options.format == "json":
        write_json(answer)
    else:
        from logbook.reports.plan_text import write_plan

        write_plan(sys.stdout, f"Plan for {planned.plan.aircraft}", answer, measures)
    return 1 if answer["verdict"] == "does_not_fit" else 0


def _plans(options: argparse.Namespace) -> int:
    if options.plan is not None:
        return _one_plan(options)
    from logbook.services.plan_kept import kept_plans, score_of

    with book_of(options) as book:
        reviews = kept_plans(book, options.aircraft)
    score = score_of(reviews)
    if options.format == "json":
        write_json({"score": score._asdict(), "plans": [review.to_json() for review in reviews]})
        return 0
    from logbook.reports.plan_review import PLANS_COLUMNS, plans_row, score_words

    write_text(
        PLANS_COLUMNS,
        [plans_row(review.to_json()) for review in reviews],
        "No plan was kept yet: plan --keep.",
    )
    if reviews:
        say(score_words(score._asdict(), len(reviews)))
    return 0


def _one_plan(options: argparse.Namespace) -> int:
    from logbook.measures import told
    from logbook.services.estimates import estimator_of
    from logbook.services.liked_units import measures_of
    from logbook.services.plan_kept import review_of

    with book_of(options) as book:
        review, measures = review_of(book, options.plan, estimator_of), measures_of(book)
    if options.format == "json":
        write_json(review.to_json())
        return 0
    from logbook.reports.plan_review import write_review

    write_review(sys.stdout, told(measures, review.to_json()))
    return 0


def span(values: dict[str, float], digits: int) -> str:
    """Low, mid and high as people read them: 'mid (low to high)'."""
    return f"{values['mid']:.{digits}f} ({values['low']:.{digits}f} to {values['high']:.{digits}f})"


_DIGITS = {"level": 3}


def _rates(options: argparse.Namespace) -> int:
    from logbook.measures import effect_words
    from logbook.services.estimates import rates_of
    from logbook.services.liked_units import measures_of

    with book_of(options) as book:
        found, measures = rates_of(book, options.aircraft), measures_of(book)
    if options.format == "json":
        write_json(found)
        return 0
    rows = [
        {
            "rate": name,
            "unit": rate["unit"],
            "handbook": "" if rate["handbook"] is None else f"{rate['handbook']:.{_DIGITS.get(name, 2)}f}",
            "observed": span(rate["observed"], _DIGITS.get(name, 2)),
            "n": rate["n"],
        }
        for name, rate in found["rates"].items()
    ]
    columns = (
        Column("rate", "rate"),
        Column("handbook", "handbook", right=True),
        Column("observed", "observed (low to high)", right=True),
        Column("unit", "unit"),
        Column("n", "flights", right=True),
    )
    write_text(columns, rows, "No rates.")
    effects = [
        {
            "of": e.get("name") or e.get("person"),
            "percent": span(e["percent"], 1),
            "unit": effect_words(measures, e["unit"]),
            "n": e["n"],
        }
        for e in found["effects"] + found["people"]
    ]
    if effects:
        sys.stdout.write("\n")
        titles = (
            Column("of", "effect of"),
            Column("percent", "% of energy (low to high)", right=True),
            Column("unit", "for"),
            Column("n", "flights", right=True),
        )
        write_text(titles, effects, "")
    sys.stdout.write("\n")
    write_facts(
        sys.stdout,
        [
            (f"scatter, {kind} [% of a flight]", f"{value:.1f}")
            for kind, value in found["scatter_pct"].items()
        ],
    )
    for reason in found["why"]:
        say(f"note: {reason}")
    sys.stdout.write(f"\nLow to high holds the truth nine times in ten. {CAUTION}\n")
    return 0


def _capacity(options: argparse.Namespace) -> int:
    from logbook.services.estimates import capacity_of

    with book_of(options) as book:
        found = capacity_of(book, options.serial)
    if options.format == "json":
        write_json(found)
        return 0
    facts: list[tuple[str, Any]] = [
        ("pack", found["serial_no"]),
        ("as of", found["as_of"] or "no flight yet"),
        ("usable capacity, as flown [kWh]", span(found["usable_kwh"], 2)),
        ("records", found["n"]),
        ("made from", found["how"]),
    ]
    facts += [
        (f"share of {source['name']}", f"{100 * source['share']:.0f} % ({source['n']} records)")
        for source in found["sources"]
    ]
    write_facts(sys.stdout, facts)
    for reason in found["why"]:
        say(f"note: {reason}")
    for charge in found["doubtful_charges"]:
        say(f"doubtful: {charge['words']} ({charge['charge_id']})")
    return 0


_SCORE_WORDS = """Each flight forecast from earlier records only, given what was flown.
error: mean, in points of landing charge; bias: positive when more was left than
forecast; inside %: landings within their 90 % interval; width: of that interval
[points]; handbook, average: error of the handbook alone and of a plain average
per minute."""


def _forecasts(options: argparse.Namespace) -> int:
    from logbook.services.estimates import forecasts_of

    with book_of(options) as book:
        found = forecasts_of(book, options.aircraft, rows=options.rows or options.format == "csv")
    if options.format == "json":
        write_json(found)
        return 0
    if options.format == "csv":
        write_csv(("flight_id", "serial_no", "low", "mid", "high", "actual"), found["rows"])
        return 0
    groups = {"all": found, "last 50 flights": found["last_50"]} | found["by_kind"] | found["by_person"]
    rows = [
        _scored(name, score)
        | {
            "handbook": f"{score['handbook_mae_pct']:.2f}",
            "average": f"{score['average_mae_pct']:.2f}",
        }
        for name, score in groups.items()
        if score["flights"]
    ]
    columns = (
        *_score_columns("flights of"),
        Column("handbook", "handbook", right=True),
        Column("average", "average", right=True),
    )
    write_text(columns, rows, "No flight with both charges yet.")
    if found["flights"]:
        sys.stdout.write(f"\n{_SCORE_WORDS}\n")
    _say_tenths(found.get("energy_by_decile"))
    for suspect in found["suspects"]:
        say(
            f"suspect: flight {suspect['flight_id']}, {suspect['field']} {suspect['serial_no']} recorded "
            f"{suspect['recorded']:g}, {suspect['fits']:g} would fit ({suspect['z']:.1f} sd): {suspect['why']}"
        )
    if options.rows:
        sys.stdout.write("\n")
        digits = [
            row | {"low": f"{row['low']:.1f}", "mid": f"{row['mid']:.1f}", "high": f"{row['high']:.1f}"}
            for row in found["rows"]
        ]
        names = ("flight_id", "serial_no", "low", "mid", "high", "actual")
        write_text(
            [Column(name, name, right=name not in ("flight_id", "serial_no")) for name in names], digits, ""
        )
    return 0


def _score_columns(what: str) -> tuple[Column, ...]:
    """The columns of `_scored` rows; the first is named by what they are apart in."""
    return (
        Column("group", what),
        Column("flights", "n", right=True),
        Column("error", "error", right=True),
        Column("bias", "bias", right=True),
        Column("inside", "inside %", right=True),
        Column("width", "width", right=True),
    )


def _scored(name: str, score: dict[str, Any]) -> dict[str, Any]:
    """How good the forecasts of one group were, as a row."""
    return {
        "group": name,
        "flights": score["flights"],
        "error": f"{score['mae_pct']:.2f}",
        "bias": f"{score['bias_pct']:+.2f}",
        "inside": f"{100 * score['inside_90']:.0f}",
        "width": f"{score['mean_width_pct']:.1f}",
    }


def _say_tenths(tenths: dict[str, Any] | None) -> None:
    """Forecasts with and without the stated energy by tenths of charge."""
    if tenths is None:
        return
    rows = [
        _scored(name, score)
        for name, score in (
            ("with, as stated", tenths["given"]),
            ("without", tenths["without"]),
            ("each % the same", tenths["constant"]),
        )
    ]
    sys.stdout.write("\n")
    write_text(_score_columns("energy by tenths"), rows, "")
    sys.stdout.write(textwrap.fill(tenths["words"], 79) + "\n")
