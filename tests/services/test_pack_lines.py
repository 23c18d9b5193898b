"""The limit that comes first, short enough for a list: never without its interval, and loud once it is reached."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.energy.life import NOT_WITHIN
from logbook.services.pack_lines import PackLine, pack_lines
from logbook.store.book_facts import LastReading
from tests.club import NOW, P1, pack, put


def line(words: str, **expected: str | None) -> PackLine:
    row: dict[str, Any] = {"first_limit": words, "serial_no": P1, "grounded": ""}
    for name in ("hours", "cycles", "date", "soh"):
        row |= {f"{name}_expected_{end}": None for end in ("low", "mid", "high")}
    return PackLine(row | expected, LastReading(), "")


FIRST = (
    "First to come: cycles, about February 2042 (between January 2036 and May 2052), after 772 h of flying."
)


@pytest.mark.parametrize(
    ("words", "expected", "short"),
    [
        (FIRST, {"cycles_expected_low": "2036-01-05", "cycles_expected_mid": "2042-02-15", "cycles_expected_high": "2052-05-07"}, "cycles 2036-2052"),
        (FIRST, {"cycles_expected_low": "2036-01-05", "cycles_expected_mid": "2042-02-15"}, "cycles 2036 or on"),
        (FIRST.replace("cycles", "SOH"), {}, f"SOH {NOT_WITHIN}"),
        ("First to come: date, on 31 May 2033.", {"date_expected_low": "2033-05-31", "date_expected_mid": "2033-05-31", "date_expected_high": "2033-05-31"}, "date 2033-05"),
        ("Limit reached: hours, cycles. Nothing can be said of: SOH.", {}, "REACHED: hours, cycles"),
        ("No limit is set for this pack.", {}, "none stated"),
        ("No limit can be dated. Nothing can be said of: cycles.", {}, "no date yet"),
    ],
)  # fmt: skip
def test_the_first_limit_in_a_few_letters(words, expected, short) -> None:
    assert line(words, **expected).first_limit_short == short
    assert line(words, **expected).limit_reached == words.startswith("Limit reached")


def test_a_pack_past_its_hours_says_so_in_the_list(book) -> None:
    put(book, "pack", pack("OLD-1", limit_hours=100, hours_brought_forward=100.5))
    (old,) = [one for one in pack_lines(book, NOW, {}) if one.serial_no == "OLD-1"]
    assert (old.first_limit_short, old.limit_reached) == ("REACHED: hours", True)
