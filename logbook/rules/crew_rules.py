"""Rules on people: two in command at once, one person twice. Flags name functions, not people."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.rules.case import FlightCase
from logbook.rules.crew import COMMAND, effective_crew
from logbook.rules.flag import CHECK, Flag
from logbook.rules.thresholds import Thresholds


def two_pics(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Two people in command of one flight, or somebody solo with company.

    An instructor beside a pilot in command is no contradiction (14 CFR 61.51(e)(3) lets both log it).
    """
    flight, crew = case.flight, case.flight.get("crew") or ()
    if not crew and flight.get("second_person") is None:
        return
    functions = sorted(part.function or "" for part in effective_crew(flight, crew))
    commanding = [function for function in functions if function in COMMAND]
    figures = {"functions": functions}
    if len(commanding) > 1:
        words = f"{len(commanding)} people are recorded as in command ({', '.join(commanding)})."
        yield Flag("two_pics", CHECK, words, figures)
    elif "solo" in functions and len(functions) > 1:
        yield Flag("two_pics", CHECK, f"Solo is recorded with {len(functions)} people aboard.", figures)


def person_twice(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """The pilot and the second person, or the safety pilot, are the same."""
    flight = case.flight
    if flight.get("pilot") is not None and flight.get("pilot") == flight.get("second_person"):
        functions = [flight.get("function") or "unknown", flight.get("second_function") or "unknown"]
        words = f"The pilot and the second person are the same ({' and '.join(functions)})."
        yield Flag("person_twice", CHECK, words, {"functions": functions})
    elif flight.get("pilot") is not None and flight.get("pilot") == flight.get("safety_pilot"):
        words = "The pilot and the safety pilot are the same."
        yield Flag("person_twice", CHECK, words, {"functions": ["pilot", "safety pilot"]})
