"""Two in command, and company on a solo flight."""

from __future__ import annotations

from tests.club import ADA, BEN, CLEO
from tests.rules.cases import flight_case, found


def crew(*rows):
    return flight_case(
        flight={"crew": [{"person": person, "function": function} for person, function in rows]}
    )


def test_crew_rows_are_looked_at_too():
    assert "two_pics" in found(crew((ADA, "pic"), (BEN, "solo")))
    assert "two_pics" not in found(crew((ADA, "pic"), (BEN, "picus"), (CLEO, "copilot")))


def test_solo_with_company_is_flagged_and_alone_is_not():
    assert "two_pics" in found(flight_case(flight={"function": "solo", "second_person": BEN}))
    assert "two_pics" not in found(flight_case(flight={"function": "solo"}))


def test_the_flag_names_functions_and_no_people():
    flag = found(crew((ADA, "pic"), (BEN, "pic")))["two_pics"]
    assert flag.words == "2 people are recorded as in command (pic, pic)."
    assert not any(name in flag.fingerprint for name in (ADA, BEN))


def test_a_pilot_cannot_look_out_for_themselves():
    assert "person_twice" in found(flight_case(flight={"safety_pilot": ADA}))
    assert "person_twice" not in found(flight_case(flight={"safety_pilot": BEN}))
