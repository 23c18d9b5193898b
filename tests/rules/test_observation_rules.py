"""Cells and insulation against what a pack allows: below, at and beyond each limit, and with nothing stated or read."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.rules.flag import CHECK, SERIOUS
from logbook.rules.observation_rules import (
    GROUNDING,
    PASSED,
    RULES,
    SeenFigures,
    SeenLimits,
    cells_apart_mv,
    seen_beyond,
)

ALLOWED = SeenLimits(
    cells_apart_caution_mv=30,
    cells_apart_limit_mv=50,
    cell_limit_min_v=3.1,
    cell_limit_max_v=4.1,
    insulation_limit_mohm=5,
)
CELLS, LOW, HIGH, OHMS = "cells_apart_mv", "cell_min_v", "cell_max_v", "insulation_mohm"


def found(limits: SeenLimits = ALLOWED, **read: Any) -> list[tuple[str, str]]:
    return [(flag.rule, flag.severity) for flag in seen_beyond("LARK-01", SeenFigures(**read), limits)]


def apart(millivolts: float) -> dict[str, float]:
    return {LOW: 3.6, HIGH: round(3.6 + millivolts / 1000, 3)}


@pytest.mark.parametrize(
    ("read", "flags"),
    [
        (apart(29), []),
        (apart(30), [("cells_apart_caution", CHECK)]),  # a caution is reached
        (apart(50), [("cells_apart_caution", CHECK)]),  # a limit is still allowed
        (apart(51), [("cells_apart_limit", SERIOUS)]),
        ({LOW: 3.1}, []),
        ({LOW: 3.099}, [("cell_voltage_low", SERIOUS)]),
        ({HIGH: 3.0}, [("cell_voltage_low", SERIOUS)]),  # then the lowest is lower still
        ({HIGH: 4.1}, []),
        ({HIGH: 4.101}, [("cell_voltage_high", SERIOUS)]),
        ({LOW: 4.2}, [("cell_voltage_high", SERIOUS)]),
        ({OHMS: 5}, []),
        ({OHMS: 4.9}, [("insulation_low", SERIOUS)]),
        ({OHMS: 0}, [("insulation_low", SERIOUS)]),
        ({LOW: 3.6, HIGH: 3.5}, [("cells_exchanged", CHECK)]),
        ({LOW: 4.11, HIGH: 3.0}, [("cells_exchanged", CHECK), ("cell_voltage_low", SERIOUS), ("cell_voltage_high", SERIOUS)]),
        ({}, []),
    ],
)  # fmt: skip
def test_each_limit_on_both_sides_and_at_it(read: dict[str, float], flags: list[tuple[str, str]]) -> None:
    assert found(**read) == flags


BEYOND = {
    "cells_apart_caution_mv": (apart(40), "cells_apart_caution"),
    "cells_apart_limit_mv": (apart(60), "cells_apart_limit"),
    "cell_limit_min_v": ({LOW: 2.0}, "cell_voltage_low"),
    "cell_limit_max_v": ({HIGH: 5.0}, "cell_voltage_high"),
    "insulation_limit_mohm": ({OHMS: 0.1}, "insulation_low"),
}


@pytest.mark.parametrize("limit", SeenLimits._fields)
def test_a_limit_nobody_stated_raises_no_flag(limit: str) -> None:
    read, rule = BEYOND[limit]
    assert rule in [name for name, _ in found(**read)]
    assert rule not in [name for name, _ in found(ALLOWED._replace(**{limit: None}), **read)]
    assert found(SeenLimits(), **read) == []


def test_beyond_the_limit_without_a_limit_is_still_in_caution() -> None:
    assert found(ALLOWED._replace(cells_apart_limit_mv=None), **apart(60)) == [("cells_apart_caution", CHECK)]


def test_a_difference_has_no_crumbs_of_its_arithmetic() -> None:
    assert cells_apart_mv(3.9, 3.92) == 20.0  # 0.02000000000000001 in binary
    assert found(ALLOWED._replace(cells_apart_limit_mv=20), cell_min_v=3.9, cell_max_v=3.92) == []
    assert cells_apart_mv(None, 3.9) is cells_apart_mv(3.9, None) is None


def test_words_name_the_pack_what_was_read_and_what_is_allowed_with_units() -> None:
    read = SeenFigures(2.9, 4.2, 0.5)
    words = {
        flag.rule: (flag.words, flag.figures, flag.serial_no)
        for flag in seen_beyond("LARK-01", read, ALLOWED)
    }
    assert words == {
        "cells_apart_limit": (
            "Cells of pack LARK-01 were 1300 mV apart; 50 mV is the most allowed.",
            {"cells_apart_mv": 1300.0, "limit_mv": 50},
            "LARK-01",
        ),
        "cell_voltage_low": (
            "A cell of pack LARK-01 was at 2.9 V; 3.1 V is the least allowed.",
            {"cell_v": 2.9, "limit_v": 3.1},
            "LARK-01",
        ),
        "cell_voltage_high": (
            "A cell of pack LARK-01 was at 4.2 V; 4.1 V is the most allowed.",
            {"cell_v": 4.2, "limit_v": 4.1},
            "LARK-01",
        ),
        "insulation_low": (
            "Insulation of pack LARK-01 was 0.5 MΩ; 5 MΩ is the least allowed.",
            {"insulation_mohm": 0.5, "limit_mohm": 5},
            "LARK-01",
        ),
    }


def test_what_holds_a_pack_up_is_what_is_serious() -> None:
    raised = {rule: severity for read, _ in BEYOND.values() for rule, severity in found(**read)}
    assert {rule for rule, severity in raised.items() if severity == SERIOUS} == set(GROUNDING)
    assert set(raised) == set(PASSED)
    assert set(PASSED) | {"cells_exchanged"} == set(RULES)
