"""People as plain text: totals, recency, a student's history, the table of all students."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TextIO

from logbook.measures import TIME, USUAL, Measures, time_words
from logbook.reports.student_words import below_words, flag_words
from logbook.reports.text_table import Column, write_facts, write_table
from logbook.reports.visible import visible
from logbook.units import down, plain_number

Row = dict[str, Any]

CAUTION = "The rules in force, the licensing authority and the instructor decide; this page counts what was written down."

_SIGNS = {"current": "yes", "lapsed": "NO", "never": "NO", "void": "not needed"}
_STUDENT = (
    Column("date", "date"),
    Column("aircraft", "aircraft"),
    Column("function", "as"),
    Column("minutes", "min", right=True),
    Column("landed", "land %", right=True),
    Column("margin", "spare", right=True),
    Column("own", "guess", right=True),
    Column("error", "off", right=True),
    Column("program", "program", right=True),
    Column("state", "flags"),
)
_STUDENTS = (
    Column("person", "student"),
    Column("last_flight", "last flight"),
    Column("dual", "dual h", right=True),
    Column("solo", "solo h", right=True),
    Column("landings", "landings", right=True),
    Column("open_flags", "flags", right=True),
    Column("to_countersign", "to sign", right=True),
    Column("ends", "runs out"),
)


def write_totals(stream: TextIO, person: str, totals: Mapping[str, Any], measures: Measures = USUAL) -> None:
    """Totals as `services.people.totals_row` gives them."""
    before, with_it = totals["brought_forward"], totals["with_brought_forward"]

    def time(minutes: float) -> str:
        return measures.figure(minutes, TIME)

    stream.write(f"Totals of {visible(person)} ({time_words(measures)}, block time)\n\n")
    facts: list[tuple[str, Any]] = [("flights in this book", totals["flights"])]
    for words, name in (
        ("total", "total_min"),
        ("pilot in command", "pic_min"),
        ("dual", "dual_min"),
        ("instructor", "instructor_min"),
        ("night", "night_min"),
    ):
        facts.append((words, _with_before(with_it[name], before.get(name), time)))
    facts += [
        (f"as {function}", time(minutes)) for function, minutes in sorted(totals["by_function"].items())
    ]
    facts += [(f"class {name}", time(minutes)) for name, minutes in sorted(totals["by_class"].items())]
    facts += [(f"type {name}", time(minutes)) for name, minutes in sorted(totals["by_type"].items())]
    facts += [
        ("single-engine, by the class", time(totals["single_min"])),
        ("multi-engine, by the class", time(totals["multi_min"])),
        ("landings by day", _count_before(with_it["landings_day"], before.get("landings_day"))),
        ("landings by night", _count_before(with_it["landings_night"], before.get("landings_night"))),
        (
            "training devices",
            f"{time(totals['device_min'])} in {totals['device_sessions']} sessions, not in the total",
        ),
        ("last flight", totals["last_flight"]),
    ]
    facts[-2:-2] = [
        (words, time(totals[name]))
        for words, name in (
            ("under IFR, as written down", "ifr_min"),
            ("actual instrument, as written down", "instrument_min"),
            ("simulated instrument, as written down", "simulated_min"),
            ("ground training, not in the total", "ground_min"),
        )
        if totals[name]
    ]
    write_facts(stream, facts)
    if totals["night_recorded"]:
        stream.write(
            f"\nNight is as written down for {totals['night_recorded']} of the flights, and by the Sun for the others.\n"
        )
    if totals["night_unknown"]:
        stream.write(
            f"\nNight is not known for {totals['night_unknown']} flights: their places have no coordinates.\n"
        )


def _with_before(minutes: float, before: float | None, time: Callable[[float], str]) -> str:
    text = time(minutes)
    return f"{text} (of these {time(before)} brought forward)" if before else text


def _count_before(count: float, before: float | None) -> str:
    return (
        f"{plain_number(count)} (of these {plain_number(before)} brought forward)"
        if before
        else plain_number(count)
    )


def write_recency(stream: TextIO, person: str, on: str, standings: Iterable[Mapping[str, Any]]) -> None:
    """How a person stands by each rule on a day."""
    stream.write(f"Recency of {visible(person)} on {on}\n")
    for row in standings:
        scope = f", {row['scope']}" if row["scope"] else ""
        until = f" until {row['valid_until']}" if row["state"] == "current" else ""
        stream.write(
            f"\n{_SIGNS[row['state']]}{until}: {visible(row['title'])}{visible(scope)} [{visible(row['rule'])}]\n"
        )
        stream.writelines(f"  {line}\n" for line in wrapped(row["words"], 76))
    stream.write(f"\n{CAUTION}\n")


def write_student(stream: TextIO, history: Mapping[str, Any], measures: Measures = USUAL) -> None:
    """A student's history as `services.student.student_of` gives it."""
    stream.write(f"Flights of {visible(history['person'])}; the weaker pack speaks\n\n")
    write_table(stream, _STUDENT, [_student_row(row) for row in history["flights"]], empty="No flights yet.")
    stream.write(
        "\nland: charge after stop [%]; spare: over the reserve [points];\n"
        "guess: the pilot's own before start [%]; off: came less guessed [points];\n"
        "program: its forecast from earlier flights only, nine in ten [%]\n"
    )
    stream.writelines(f"{line}\n" for line in ["", *wrapped(f"{below_words(history)}.", 78)])
    said = [row for row in history["flights"] if row["flags"] or next(iter(_said(row, measures)), None)]
    if said:
        stream.write("\nExercises, flags, remarks, debriefs\n")
    for row in said:
        stream.write(f"\n{row['date']} {visible(row['flight_id'])}\n")
        for words in _said(row, measures):
            stream.writelines(f"  {line}\n" for line in wrapped(words, 76))
    stream.write("\nFirst half against second half (nine in ten intervals)\n")
    for words, name in (
        ("size of the error of the own guess [%]", "estimate_error_pct"),
        ("charge over the reserve at landing [%]", "margin_pct"),
    ):
        progress = f"{words}: {progress_words(history['progress'][name])}"
        stream.writelines(f"  {line}\n" for line in wrapped(progress, 76))
    stream.write(
        f"\n{history['open_flags']} flags wait for an answer; {len(history['to_countersign'])} entries wait for a signature.\n"
    )


def _student_row(row: Row) -> Row:
    waiting = sum(not flag["answered"] for flag in row["flags"])
    low, high = row["program_low_pct"], row["program_high_pct"]
    return row | {
        "landed": _figure(row["landing_soc_pct"]),
        "margin": _signed(row["margin_pct"]),
        "own": _figure(row["own_estimate_pct"]),
        "error": _signed(row["estimate_error_pct"]),
        "program": "" if low is None else f"{down(low)} to {high:.0f}",
        "state": f"{waiting} open" if waiting else "",
    }


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.0f}"


def _signed(value: float | None) -> str:
    return "" if value is None else f"{value:+.0f}"


def _said(row: Row, measures: Measures) -> Iterable[str]:
    if row["device_min"]:
        where = f" in {row['device_text']}" if row["device_text"] else ""
        yield f"training device: {measures.say(row['device_min'], TIME)}{where}"
    if row["ground_min"]:
        yield f"ground training: {measures.say(row['ground_min'], TIME)}"
    if row["night_recorded"]:
        yield f"night, as written down: {measures.say(row['night_min'], TIME)}"
    if row["exercise"]:
        yield f"exercise: {row['exercise']}"
    for flag in row["flags"]:
        yield flag_words(flag, measures)
    if row["remarks"]:
        yield f"remarks: {row['remarks']}"
    if row["debrief"]:
        yield f"debrief: {row['debrief']}"


def progress_words(progress: Mapping[str, Any]) -> str:
    """What can be said about one figure, with counts and intervals, or why nothing can."""
    if progress["state"] == "too few":
        return f"too few flights to say ({progress['flights']}; ten are needed)."
    first, second = (
        f"{half['mid']:.1f} ({half['low']:.1f} to {half['high']:.1f}, n {half['n']})"
        for half in (progress["first"], progress["second"])
    )
    return f"{first}, then {second}: {progress['state']}."


def write_students(stream: TextIO, rows: Sequence[Row], measures: Measures = USUAL) -> None:
    """The instructor's table of all students."""
    lines = [
        row
        | {
            "dual": measures.figure(row["dual_min"], TIME),
            "solo": measures.figure(row["solo_min"], TIME),
            "ends": "; ".join(f"{item['item']} {item['valid_until']}" for item in row["ending"]),
        }
        for row in rows
    ]
    unit = measures.unit(TIME)
    columns = [column._replace(title=column.title.replace(" h", f" {unit}")) for column in _STUDENTS]
    write_table(stream, columns, lines, empty="Nobody has flown dual or solo yet.")


def wrapped(text: str, width: int) -> list[str]:
    """A text in lines of a width, hidden characters shown, line feeds kept."""
    from textwrap import wrap

    lines: list[str] = []
    for line in visible(text, keep_newlines=True).split("\n"):
        lines += wrap(line, width) or [""]
    return lines
