"""A card with several flights is cut where the aeroplane stood, and nowhere else."""

from math import nan
from pathlib import Path

import pytest

from logbook.exchange.recording_parts import parts_of
from tests.recorder import findings, flight_rows, out_kwh, traced


def later(rows: list[tuple[object, ...]], seconds: float) -> list[tuple[object, ...]]:
    return [(float(str(row[0])) + seconds, *row[1:]) for row in rows]


def test_a_single_flight_stays_whole(tmp_path: Path) -> None:
    trace = traced(tmp_path / "one.csv", flight_rows())
    assert parts_of(trace, over_ground=True) == [trace]


@pytest.mark.parametrize("pause", [2401.0, 2460.0, 6000.0], ids=["stands", "a minute off", "an hour off"])
def test_two_flights_are_cut_and_their_energy_adds_up(tmp_path: Path, pause: float) -> None:
    # by hand: 2 min on blocks at the end of the first and 5 at the beginning of the second make at least 7 of standing
    trace = traced(tmp_path / "two.csv", [*flight_rows(), *later(flight_rows(), pause)])
    first, second = parts_of(trace, over_ground=True)
    one, other = findings(first), findings(second)
    assert one.times["on_blocks"] == "2031-05-08T16:38Z"
    assert other.energy_kwh == pytest.approx(one.energy_kwh, abs=0.001)
    assert out_kwh(first) + out_kwh(second) == pytest.approx(out_kwh(trace), abs=0.01)
    assert trace.at[-1] - trace.at[0] == 2400 + pause  # the whole is left as it was


def test_a_short_stop_is_no_end_of_the_flight(tmp_path: Path) -> None:
    rows = [row for row in flight_rows() if float(str(row[0])) <= 2340]
    again = later(
        [row for row in flight_rows() if float(str(row[0])) >= 240], 2160
    )  # stands for 2 min in all
    trace = traced(tmp_path / "stop.csv", [*rows, *again])
    assert len(parts_of(trace, over_ground=True)) == 1


def test_a_speed_through_the_air_tells_only_that_the_recorder_was_off(tmp_path: Path) -> None:
    stands = traced(tmp_path / "stands.csv", [*flight_rows(), *later(flight_rows(), 2401)])
    off = traced(tmp_path / "off.csv", [*flight_rows(), *later(flight_rows(), 3000)])
    assert len(parts_of(stands, over_ground=False)) == 1
    assert len(parts_of(off, over_ground=False)) == 2


def test_a_recording_without_speed_stays_whole(tmp_path: Path) -> None:
    trace = traced(tmp_path / "two.csv", [*flight_rows(), *later(flight_rows(), 3000)])
    for here in range(len(trace.speed_kt)):
        trace.speed_kt[here] = nan
    assert len(parts_of(trace, over_ground=True)) == 1
