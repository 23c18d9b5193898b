"""What is read from a simulated recording is what the simulated packs really gave, within the noise that was put in."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from logbook.exchange.recording_findings import Findings, findings_of
from logbook.exchange.recording_trace import read_trace
from tests.world.recording import NOISE_KW, Recorded, mapping_for, simulate, write

SIGMAS = 5
"""So many standard deviations of what was put in are allowed: one in two million by chance."""
EDGE_S = 10.0
"""The reader may see a change of phase so much early or late: it looks at half a minute of altitude [s]."""
SHORT_S = 30.0
"""A stretch that is shorter may be counted to its neighbour [s]."""
KINDS = ("local", "cross-country", "ferry", "circuits")


def found(path: Path, flight: Recorded) -> Findings:
    mapping = mapping_for(flight)
    return findings_of(read_trace(path, mapping), mapping, {serial: serial for serial in flight.serials})


def flight_of(kind: str, seed: int) -> Recorded:
    """A flight of that kind that is not mixed: one that ends with circuits is told by another rule."""
    tries = (simulate(1000 * seed + n, kind) for n in range(50))
    return next(one for one in tries if bool(one.flown.circuits) == (kind == "circuits"))


def noise(flight: Recorded, pack: int, every_s: float) -> float:
    return SIGMAS * flight.noise_kwh(pack, every_s) + 0.0002  # figures have four decimals


def edges(flight: Recorded, pack: int) -> dict[str, float]:
    """For each phase, by how much it may differ as its ends are seen early or late [kWh]."""
    groups = flight.merged()
    most: dict[str, float] = {}
    for one, other in pairwise(groups):
        moved = max(one[-1].kw[pack], other[0].kw[pack]) * EDGE_S / 3600
        for phase in (one[0].phase, other[0].phase):
            most[phase] = most.get(phase, 0.0) + moved
    for before, group, after in zip(groups, groups[1:], groups[2:], strict=False):
        if sum(part.seconds for part in group) < SHORT_S:
            moved = sum(part.energy(pack) for part in group)
            for phase in {before[0].phase, group[0].phase, after[0].phase}:
                most[phase] += moved
    return most


def by_phase(findings: Findings, serial: str) -> dict[str, float]:
    told: dict[str, float] = {}
    for phase in findings.phases:
        told[phase["phase"]] = told.get(phase["phase"], 0.0) + phase["packs"][serial]["energy_kwh"]
    return told


@pytest.mark.parametrize("every_s", [1.0, 4.0])
@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize("kind", KINDS)
def test_energy_of_each_pack_and_phase_is_the_truth(
    tmp_path: Path, kind: str, seed: int, every_s: float
) -> None:
    flight = flight_of(kind, seed)
    findings = found(write(tmp_path / "card.csv", flight, every_s=every_s, seed=seed), flight)
    assert (findings.at_least, findings.without_data_min) == (False, 0)
    total = 0.0
    for pack, told in enumerate(findings.packs):
        serial, most = flight.serials[pack], noise(flight, pack, every_s)
        truth = flight.energy(pack)
        assert told["energy_kwh"] - told["energy_back_kwh"] == pytest.approx(truth, abs=most)
        assert most < 0.03 * truth  # else the check would say nothing
        phases, real = by_phase(findings, serial), flight.by_phase(pack)
        assert set(phases) == set(real)
        for phase, most_edge in edges(flight, pack).items():
            assert phases[phase] == pytest.approx(real[phase], abs=most + most_edge), phase
        assert sum(phases.values()) == pytest.approx(told["energy_kwh"], abs=0.001)
        total += truth
    assert findings.energy_kwh == pytest.approx(total, abs=0.02 * total)


@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize("kind", KINDS)
def test_charge_and_counts_are_the_truth(tmp_path: Path, kind: str, seed: int) -> None:
    flight = flight_of(kind, seed)
    findings = found(write(tmp_path / "card.csv", flight, every_s=1.0, seed=seed), flight)
    for pack, told in enumerate(findings.packs):
        first, last = flight.stretches[0].soc[pack][0], flight.stretches[-1].soc[pack][1]
        assert told["soc_departure_pct"] == pytest.approx(100 * first, abs=1)  # it shows whole percents
        assert told["soc_landing_pct"] == pytest.approx(100 * last, abs=1)
    assert findings.flown["circuits"] == (flight.flown.circuits if flight.flown.circuits > 1 else 0)
    assert findings.flown["highest_ft"] == pytest.approx(flight.flown.highest_ft, abs=5 * 3)


@pytest.mark.parametrize("seed", range(1, 7))
@pytest.mark.parametrize("kind", KINDS)
def test_with_gaps_it_says_at_least_and_lacks_just_what_was_lost(
    tmp_path: Path, kind: str, seed: int
) -> None:
    flight = flight_of(kind, seed)
    gaps = lost_rows(flight, seed)
    path = write(tmp_path / "card.csv", flight, every_s=1.0, seed=seed, gaps=gaps)
    findings = found(path, flight)
    assert findings.at_least
    assert findings.without_data_min * 60 == pytest.approx(
        sum(b - a for a, b in gaps), abs=0.6 + 2 * len(gaps)
    )
    for pack, told in enumerate(findings.packs):
        most, truth = noise(flight, pack, 1.0), flight.energy(pack)
        lost = sum(flight.energy(pack, start, end) for start, end in gaps)
        assert told["energy_kwh"] <= truth + most
        # a gap begins and ends on a row: up to a second at each end is lost with it
        ends = sum(2 * max(one.kw[pack] for one in flight.stretches) / 3600 for _ in gaps)
        assert truth - lost - ends - most <= told["energy_kwh"] <= truth - lost + ends + most
        assert lost > 3 * (most + ends)  # else a reader that fills gaps would pass
        for phase, told_kwh in by_phase(findings, flight.serials[pack]).items():
            limit = flight.by_phase(pack).get(phase, 0.0) + edges(flight, pack).get(phase, 0.0)
            assert (
                told_kwh <= limit + most + lost
            )  # a stretch seen from both sides of a gap may be told otherwise


def lost_rows(flight: Recorded, seed: int) -> list[tuple[float, float]]:
    """Three gaps well inside the flight in the air [s]."""
    rng = np.random.default_rng(seed)
    air = [one for one in flight.stretches if one.phase != "ground"]
    start, end = air[0].start + 60, air[-1].end - 60
    third = (end - start) / 3
    return [
        (float(at), float(at + rng.uniform(0.25, 0.4) * third))
        for at in (start + n * third + rng.uniform(0, 0.5) * third for n in range(3))
    ]


def test_the_noise_that_was_put_in_is_there(tmp_path: Path) -> None:
    flight = simulate(7, "local")
    one, other = (
        found(write(tmp_path / f"{seed}.csv", flight, every_s=1.0, seed=seed), flight) for seed in (1, 2)
    )
    assert NOISE_KW > 0
    assert one.packs[0]["energy_kwh"] != other.packs[0]["energy_kwh"]
