"""The signs on the screens are those of the rules, in the same order."""

from logbook.rules import flag
from logbook.ui.theme import SIGNS


def test_a_severity_has_one_sign_everywhere() -> None:
    assert {severity: sign for severity, (sign, _) in SIGNS.items()} == flag.SIGNS
    assert tuple(SIGNS) == flag.ORDER
