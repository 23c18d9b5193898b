"""Plans by command: answered, kept, listed beside what came, shown, with the temperature where it can be judged."""

import json

import pytest

from logbook.cli.main import run
from tests import club

PLAN = {
    "aircraft": club.WATT,
    "outside_temp_c": 15,
    "packs": [{"serial_no": s, "soc_departure_pct": 90, "temp_departure_c": 20} for s in (club.P1, club.P2)],
    "legs": [{"kind": "circuits", "circuits": 2}],
}


@pytest.fixture
def plan_file(book_path, tmp_path):
    assert book_path.exists()  # the club is in the book that commands open
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(PLAN), encoding="utf-8")
    return str(path)


def test_the_answer_carries_the_temperature_of_each_pack_as_far_as_it_can_be_judged(
    plan_file, capsys
) -> None:
    assert run(["plan", plan_file, "--format", "json"]) in (0, 1)
    answer = json.loads(capsys.readouterr().out)
    assert [row["serial_no"] for row in answer["temperature"]] == [club.P1, club.P2]
    assert "cannot be judged" in answer["temperature"][0]["words"]
    assert {"verdict", "because", "packs", "minutes_left", "legs", "points", "cautions"} <= set(answer)


def test_no_line_of_the_page_is_longer_than_eighty_columns(plan_file, capsys) -> None:
    run(["plan", plan_file])
    assert max(len(line) for line in capsys.readouterr().out.splitlines()) <= 80


def test_a_kept_plan_is_listed_and_shown_beside_what_came(book, plan_file, capsys) -> None:
    run(["plan", plan_file, "--keep", "--title", "two \x1b[2J circuits"])
    capsys.readouterr()
    assert run(["plans"]) == 0
    out, err = capsys.readouterr()
    assert "two \\x1b[2J circuits" in out
    assert "none flown yet" in err
    assert run(["plans", "--format", "json"]) == 0
    plan_id = json.loads(capsys.readouterr().out)["plans"][0]["plan_id"]
    club.put(book, "flight", club.flight("F1", plan_id=plan_id, kind="circuits", circuits=3))
    for command in (["plans", plan_id], ["show", "plan", plan_id]):
        assert run(command) == 0
        assert "Circuits: 2 planned, 3 flown." in capsys.readouterr().out
    assert run(["plans"]) == 0
    assert "1 of 1 flown" in capsys.readouterr().err


@pytest.mark.usefixtures("book_path")
def test_a_plan_nobody_kept_is_refused(capsys) -> None:
    assert run(["plans", "NONE"]) == 3
    assert "no plan 'NONE'" in capsys.readouterr().err
