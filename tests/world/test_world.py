"""The simulated club must be as nasty as real records, and the same for a seed every time."""

import numpy as np
import pytest

from tests.world import World, make_world
from tests.world.aeroplane import climb_fpm, density, draw_aeroplane, level_kw
from tests.world.cells import Pack, draw, fill, open_volt


@pytest.fixture(scope="module")
def world() -> World:
    return make_world(5, 400, days=420)


def test_a_seed_gives_one_world(world: World) -> None:
    again = make_world(5, 400, days=420)
    assert again.flights == world.flights
    assert again.readings == world.readings
    assert again.charges == world.charges
    assert make_world(6, 20).flights != world.flights[:20]


def test_times_run_forward_and_charges_fall(world: World) -> None:
    for flight, following in zip(world.flights, world.flights[1:], strict=False):
        assert (
            flight["off_blocks"]
            < flight["takeoff"]
            < flight["landing"]
            < flight["on_blocks"]
            <= following["off_blocks"]
        )
    for reading in world.readings:
        assert 0 <= reading["soc_landing_pct"] < reading["soc_departure_pct"] <= 100


def test_about_one_flight_in_a_hundred_is_written_down_wrong(world: World) -> None:
    assert 1 <= len(world.mistakes) <= 12
    assert make_world(5, 60, mistakes=False).mistakes == []


def test_landing_charge_is_the_start_of_the_next_charge_in_99_percent(world: World) -> None:
    landed: dict[str, float] = {}
    when = {flight["flight_id"]: flight["on_blocks"] for flight in world.flights}
    events = [(when[r["flight_id"]], 0, r["serial_no"], r["soc_landing_pct"]) for r in world.readings]
    events += [(c["started"], 1, c["serial_no"], c["soc_start_pct"]) for c in world.charges]
    gaps = []
    for _, kind, serial, soc in sorted(events):
        if kind == 0:
            landed[serial] = soc
        elif serial in landed:
            gaps.append(abs(landed.pop(serial) - soc))
    assert np.mean(np.array(gaps) <= 1) > 0.98


def test_one_pack_is_replaced_and_soh_falls_on_a_scale_of_its_own(world: World) -> None:
    assert len(world.packs) == 3
    assert sum(row["removed"] is None for row in world.installations) == 2
    first = [r["soh_pct"] for r in world.readings if r["serial_no"] == world.packs[0]["serial_no"]]
    assert first[0] > first[-1] + 5
    assert 0.4 <= world.pack_type["soh_zero_fraction"] <= 0.5


def test_a_charge_takes_more_than_the_flight_gave(world: World) -> None:
    nominal = world.pack_type["nominal_kwh"]
    own = [
        c["energy_kwh"] / (c["soc_end_pct"] - c["soc_start_pct"]) * 100
        for c in world.charges
        if c["energy_kwh"] and c["soc_end_pct"] - c["soc_start_pct"] > 30
    ]
    if own:
        assert 0.85 * nominal < np.mean(own) < 1.25 * nominal


def test_rows_carry_the_columns_of_the_files(world: World) -> None:
    rows = world.as_package_rows()
    assert rows["flights"][0]["off_blocks"].endswith("Z")
    assert rows["flights"][0]["date"] == rows["flights"][0]["off_blocks"][:10]
    assert rows["aircraft"][0]["positions"] == "F;R"
    assert {"flight_id", "serial_no", "soc_departure_pct", "soc_landing_pct", "soh_pct", "source"} <= set(
        rows["readings"][0]
    )
    assert {"charge_id", "serial_no", "started", "ended", "soc_start_pct", "soc_end_pct"} <= set(
        rows["charges"][0]
    )


def test_physics_points_the_right_way() -> None:
    plane = draw_aeroplane(np.random.default_rng(1))
    rho = density(0, 15)
    assert rho == pytest.approx(1.225, abs=0.002)
    assert level_kw(plane, 80, plane.mass_kg + 60, rho, 0) > level_kw(plane, 80, plane.mass_kg, rho, 0)
    assert level_kw(plane, 80, plane.mass_kg, rho, 1) > level_kw(plane, 80, plane.mass_kg, rho, 0)
    assert climb_fpm(plane, plane.mass_kg + 60, rho, 0) < climb_fpm(plane, plane.mass_kg, rho, 0)
    assert open_volt(1.0) > open_volt(0.5) > open_volt(0.05) > open_volt(0.0)


def test_a_pack_gives_less_per_percent_near_empty_and_takes_more_than_it_gives() -> None:
    pack = Pack("P", 14.0, 0.13, 0.45)
    given = []
    for _ in range(8):
        before, out = pack.soc, pack.out_kwh
        draw([pack], 14.0, 300, None)
        given.append((pack.out_kwh - out) / (before - pack.soc))
    assert given[0] > given[-1] * 1.02
    out = pack.out_kwh
    into, minutes = fill(pack, 1.0, 5.0)
    assert into > 1.01 * out
    assert minutes > 60
