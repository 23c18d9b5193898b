"""Two years of one aeroplane: days, weather, flights, charges, and the book they leave."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tests.world.aeroplane import Aeroplane, climb_fpm, density, draw_aeroplane, level_kw
from tests.world.cells import Pack, energy_by_tenths, fill, indicate
from tests.world.flying import Air, Flown, Outing, Sky, fly
from tests.world.mistakes import plant
from tests.world.package import package_rows
from tests.world.pilots import KINDS, Pilot, draw_pilots

START = 28_400_000 - 28_400_000 % 1440  # midnight UTC, early in 2024 [POSIX minutes]
Row = dict[str, Any]


@dataclass
class World:
    """What two years left in the book, and the truth behind it (``truth_*``: for judging only)."""

    aircraft: Row
    pack_type: Row
    packs: list[Row]
    installations: list[Row]
    people: list[Row]
    flights: list[Row] = field(default_factory=list)
    readings: list[Row] = field(default_factory=list)
    charges: list[Row] = field(default_factory=list)
    mistakes: list[Row] = field(default_factory=list)
    """Planted wrong entries: flight_id, field, serial_no, recorded, right."""
    truth_tenths: list[float] = field(default_factory=list)
    """Energy in each tenth of charge of the first pack at 10 kW [kWh], full to empty: what a capacity check finds."""
    truth_usable: list[tuple[int, str, float]] = field(default_factory=list)
    """(instant, serial number, kWh per % × 100 as flown)."""

    def as_package_rows(self) -> dict[str, list[Row]]:
        """Rows by file of a data package, with the columns of its files."""
        return package_rows(self)


@dataclass
class _Club:
    rng: np.random.Generator
    plane: Aeroplane
    people: list[Pilot]
    packs: list[Pack]
    shares: list[float] | None
    world: World
    field_ft: float
    full_to: float
    charger_kw: float
    charger_loss: float
    own_meter: bool
    writes_power: bool
    """Whether this club notes the level power."""
    now: int = START
    spare: list[Pack] = field(default_factory=list)


def make_world(
    seed: int,
    flights: int = 700,
    *,
    days: int = 730,
    mistakes: bool = True,
    replace: bool = True,
    registration: str = "X-TEST",
    bend: float = 0.0,
    own_inverters: bool = False,
) -> World:
    """Simulate the aeroplane of one seed.

    Args:
        seed: Everything random follows from it.
        flights: How many flights the book holds.
        days: Over how many days.
        mistakes: Whether about one entry in a hundred is written down wrong.
        replace: Whether the older pack is replaced in the middle of it.
        registration: What the aeroplane is called in the book.
        bend: By what fraction the voltage of its packs is lower once they are half empty.
        own_inverters: Each pack carries its own share whatever its voltage; else the seed says.
    """
    club = _found(seed, flights, registration, bend)
    if own_inverters:
        club.shares = club.shares or [0.5, 0.5]
    swap_at = int(flights * club.rng.uniform(0.45, 0.62))
    per_day = flights / days
    day = 0.0
    done = 0
    while done < flights:
        day += 1.0
        wanted = int(club.rng.poisson(per_day * 1.55)) if club.rng.random() < 0.66 else 0
        wanted = min(wanted, 5, flights - done)
        if wanted == 0:
            for pack in club.packs:
                pack.age_days(1.0)
            continue
        _fly_day(club, int(START + day * 1440), wanted, done, day)
        if done < swap_at <= done + wanted and club.spare and replace:
            _replace(club)
        done += wanted
    club.world.people = [{"person": p.name, "role_text": p.role, "licence_no": ""} for p in club.people]
    if mistakes:
        club.world.mistakes = plant(club.world, np.random.default_rng(seed + 7919))
    return club.world


def _found(seed: int, flights: int, registration: str, bend: float = 0.0) -> _Club:
    rng = np.random.default_rng(seed)
    plane = draw_aeroplane(rng)
    zero = rng.uniform(0.40, 0.50)
    nominal = rng.uniform(13.0, 17.0)
    ohm = rng.uniform(0.11, 0.17) * 14 / nominal
    rate = rng.uniform(0.00045, 0.0007) * min(700 / flights, 1.0)

    def pack(number: int, fresh: float, cycles: float) -> Pack:
        made = Pack(
            serial_no=f"P{100 * (seed % 9 + 1) + number}",
            nominal_kwh=nominal,
            ohm=ohm * rng.uniform(0.94, 1.06),
            zero=zero,
            fresh=fresh,
            fade_per_cycle=rate * rng.uniform(0.9, 1.15),
            cycles=cycles,
            days=cycles,
            bend=bend,
            rng=np.random.default_rng(seed * 31 + number),
        )
        made.belief = made.fraction() + rng.normal(0, 0.012)
        return made

    packs = [
        pack(1, rng.uniform(0.99, 1.03), rng.uniform(5, 60)),
        pack(2, rng.uniform(0.97, 1.02), rng.uniform(40, 160)),
    ]
    spare = [pack(3, rng.uniform(0.98, 1.03), rng.uniform(0, 10))]
    tenths = energy_by_tenths(packs[0], 10.0)
    lean = rng.normal(0, 0.008)
    shares = None if rng.random() < 0.6 else [0.5 + lean, 0.5 - lean]
    aircraft = _handbook(plane, rng, registration)
    nominal_said = round(nominal, 1)
    world = World(
        aircraft=aircraft,
        pack_type={
            "part_no": "PT-1",
            "nominal_kwh": nominal_said,
            "soh_zero_fraction": round(zero, 2),
            "soh_full_fraction": 1.0,
            "unusable_soc_pct": 5,
        },
        packs=[
            {"serial_no": p.serial_no, "part_no": "PT-1", "nominal_kwh": nominal_said, "state": "fitted"}
            for p in packs
        ],
        installations=[
            {
                "serial_no": p.serial_no,
                "aircraft": registration,
                "position": pos,
                "fitted": START - 1440,
                "removed": None,
                "reason": "",
            }
            for p, pos in zip(packs, ("F", "R"), strict=True)
        ],
        people=[],
        truth_tenths=tenths,
    )
    return _Club(
        rng,
        plane,
        draw_pilots(rng),
        packs,
        shares,
        world,
        field_ft=float(rng.choice([120, 480, 900])),
        full_to=float(rng.choice([1.0, 1.0, 0.95])),
        charger_kw=rng.uniform(8, 13),
        charger_loss=rng.uniform(0.06, 0.10),
        own_meter=bool(rng.random() < 0.6),
        writes_power=bool(rng.random() < 0.3),
        spare=spare,
    )


def _handbook(plane: Aeroplane, rng: np.random.Generator, registration: str) -> Row:
    """What the handbook says: the truth of a calm standard day, some 10 % off, each rate in its own way."""
    rho = density(1000, 15)
    fpm = climb_fpm(plane, plane.mass_kg, rho, 0)
    level = level_kw(plane, plane.cruise_kt, plane.mass_kg, rho, 0)
    climb_1000 = plane.climb_kw * 1000 / fpm / 60
    circuit = (
        plane.climb_kw * 1.05 * 0.35 / 60
        + plane.climb_kw * plane.circuit_ft / fpm / 60
        + 0.88 * level * plane.circuit_level_min / 60
        + plane.circuit_ft / 550 * plane.cruise_kt * 0.055 / 60
    )
    common = rng.normal(0, 0.05)

    def off() -> float:
        return float(np.exp(common + rng.normal(0, 0.07)))

    return {
        "registration": registration,
        "type": "invented trainer",
        "class": "SEP",
        "positions": ["F", "R"],
        "base": "HOME",
        "reserve_soc_pct": 30,
        "minimum_departure_soc_pct": 60,
        "climb_rate_fpm": round(fpm / 10) * 10,
        "cruise_power_kw": round(level, 1),
        "cruise_tas_kt": round(plane.cruise_kt),
        "ceiling_ft": 9000,
        "empty_mass_kg": round(plane.empty_kg),
        "handbook_mass_kg": round(plane.mass_kg),
        "handbook_ground_kwh": round((plane.taxi_kw * 9 / 60) * off(), 2),
        "handbook_climb_kwh_per_1000ft": round(climb_1000 * off(), 2),
        "handbook_level_kwh_per_min": round(level / 60 * off(), 3),
        "handbook_circuit_kwh": round(circuit * off(), 2),
        "handbook_departure_kwh": round((plane.climb_kw * 1.05 * 0.35 / 60 + level * 1.2 / 60) * off(), 2),
    }


def _weather(club: _Club, day: float) -> Air:
    rng = club.rng
    season = np.sin(2 * np.pi * (day - 80) / 365)
    return Air(
        temp_c=float(10 + 10 * season + rng.normal(0, 4)),
        wind_dir=float(rng.integers(0, 36) * 10),
        wind_kt=float(rng.gamma(3.0, 2.6)),
        gust=float(rng.gamma(2.0, 0.22)),
    )


def _fly_day(club: _Club, midnight: int, wanted: int, done: int, day: float) -> None:
    rng = club.rng
    morning = _weather(club, day)
    club.now = max(club.now, midnight + int(rng.uniform(6 * 60, 9 * 60)))
    for pack in club.packs:
        pack.age_days(1.0)
        pack.temp_c = 0.4 * 15 + 0.6 * morning.temp_c
    for n in range(wanted):
        kt = max(morning.wind_kt + float(rng.normal(0, 2)), 0)
        gust = max(0.0, 0.6 * morning.gust + 0.03 * kt + float(rng.normal(0, 0.12)))
        air = morning._replace(temp_c=morning.temp_c + 1.5 * n, wind_kt=kt, gust=gust)
        _one_flight(club, done + n + 1, air)
        again = n + 1 < wanted and min(p.shown for p in club.packs) > 68 and rng.random() < 0.6
        if not again:
            _charge(club, full=rng.random() < 0.85)
        club.now += int(rng.uniform(15, 50))


def _one_flight(club: _Club, number: int, air: Air) -> None:
    rng = club.rng
    pilot = club.people[int(rng.choice(len(club.people), p=[0.20, 0.05, 0.05, 0.16, 0.15, 0.12, 0.09, 0.18]))]
    kind = KINDS[int(rng.choice(len(KINDS), p=pilot.weights))]
    outing = Outing(pilot, kind, *_who(club, pilot, kind), air)
    pilot.flights += 1
    before = [(p.soc, p.shown, p.soh(), p.temp_c) for p in club.packs]
    given = [p.out_kwh for p in club.packs]
    sky = Sky(club.plane, club.packs, club.shares, outing, field_ft=club.field_ft, rng=rng)
    flown = fly(sky, cut_at=0.30 + 0.05 * rng.random())
    for pack, (soc, *_rest) in zip(club.packs, before, strict=True):
        indicate(pack, soc)
        pack.learn()
    flight_id = f"F{number:05d}"
    _write_flight(club, flight_id, outing, flown)
    for pack, (soc, shown, soh, temp), out in zip(club.packs, before, given, strict=True):
        club.world.readings.append(
            {
                "flight_id": flight_id,
                "serial_no": pack.serial_no,
                "soc_departure_pct": round(shown),
                "soc_landing_pct": round(pack.shown),
                "soh_pct": round(soh),
                "temp_departure_c": round(temp),
                "temp_landing_c": round(pack.temp_c),
                "source": "read",
            }
        )
        if soc - pack.soc > 0.05:
            club.world.truth_usable.append(
                (club.now, pack.serial_no, (pack.out_kwh - out) / (soc - pack.soc))
            )


def _who(club: _Club, pilot: Pilot, kind: str) -> tuple[float, int]:
    rng = club.rng
    second = 0.0
    if pilot.role == "student":
        if pilot.flights < 25 or kind == "check" or rng.random() < 0.35:
            second = club.people[int(rng.integers(1, 3))].mass_kg
    elif pilot.role == "instructor":
        second = float(rng.uniform(55, 100)) if rng.random() < 0.8 else 0.0
    elif rng.random() < 0.35:
        second = float(rng.uniform(50, 95))
    mass = club.plane.empty_kg + pilot.mass_kg + second + (float(rng.uniform(0, 15)) if second else 4.0)
    return mass, 2 if second else 1


def _write_flight(club: _Club, flight_id: str, outing: Outing, flown: Flown) -> None:
    pilot, kind, mass, aboard, air = outing
    rng = club.rng
    off = club.now
    takeoff = off + flown.taxi_out_min
    landing = takeoff + flown.air_min
    on = landing + flown.taxi_in_min
    club.now = round(on)
    feet = max(round((flown.climb_ft + rng.normal(0, 50)) / 50) * 50, 0) if flown.climb_ft else 0
    level = max(round(flown.level_min + rng.normal(0, 0.8)), 0) if flown.level_min else 0
    away = kind in ("cross-country", "ferry")
    club.world.flights.append(
        {
            "flight_id": flight_id,
            "aircraft": club.world.aircraft["registration"],
            "state": "closed",
            "outcome": "flown",
            "off_blocks": off,
            "takeoff": round(takeoff),
            "landing": round(landing),
            "on_blocks": round(on),
            "place_from": "HOME",
            "place_to": "HOME" if not away or rng.random() < 0.6 else "AWAY",
            "pilot": pilot.name,
            "function": "dual" if pilot.role == "student" and aboard == 2 else "pic",
            "handled_by": pilot.name,
            "kind": kind,
            "landings_day": flown.circuits + (0 if kind == "circuits" else 1),
            "circuits": flown.circuits,
            "climb_ft": feet,
            "highest_ft": round(flown.highest_ft / 100) * 100,
            "level_min": level,
            "level_kw": round(flown.level_kw + rng.normal(0, 1.0)) if club.writes_power and level else None,
            "aboard": aboard,
            "mass_kg": round(mass + rng.normal(0, 3)) if rng.random() < 0.8 else None,
            "outside_temp_c": round(air.temp_c),
            "wind_dir": int(air.wind_dir),
            "wind_kt": round(air.wind_kt),
        }
    )


def _charge(club: _Club, *, full: bool) -> None:
    rng = club.rng
    club.now += int(rng.uniform(8, 40))
    target = club.full_to if full else float(rng.uniform(0.78, 0.93))
    rows, total, longest = [], 0.0, 0.0
    for pack in club.packs:
        pack.soc -= rng.uniform(0, 0.003)
        pack.shown = max(pack.shown - rng.uniform(0, 0.35), 0)
        start = round(pack.shown)
        into, minutes = fill(pack, target, club.charger_kw / 2)
        drawn = into / (1 - club.charger_loss) + 0.12 + 0.2 * minutes / 60
        pack.shown = 100.0 * target + float(rng.normal(0, 0.25)) * (target < 0.999)
        pack.temp_c += 2.0
        total += drawn
        longest = max(longest, minutes)
        rows.append((pack, start, round(pack.shown), drawn))
    ended = club.now + round(longest) + 2
    missing = rng.random() < 0.15
    for pack, start, end, drawn in rows:
        club.world.charges.append(
            {
                "charge_id": f"C{len(club.world.charges) + 1:05d}",
                "serial_no": pack.serial_no,
                "started": club.now,
                "ended": ended,
                "place": "HOME",
                "charger": "hangar",
                "purpose": "full" if full else "top-up",
                "soc_start_pct": start,
                "soc_end_pct": end,
                "energy_kwh": round(drawn, 1) if club.own_meter and not missing else None,
                "shared_energy_kwh": round(total, 1) if not club.own_meter and not missing else None,
            }
        )
    club.now = ended


def _replace(club: _Club) -> None:
    """The older pack leaves, a new one comes."""
    old, new = club.packs[1], club.spare.pop()
    at = club.now + 30
    club.packs[1] = new
    new.soc, new.shown = club.packs[0].soc, club.packs[0].shown
    club.world.packs.append(
        {
            "serial_no": new.serial_no,
            "part_no": "PT-1",
            "nominal_kwh": club.world.pack_type["nominal_kwh"],
            "state": "fitted",
        }
    )
    for pack in club.world.packs:
        if pack["serial_no"] == old.serial_no:
            pack["state"] = "store"
    for row in club.world.installations:
        if row["serial_no"] == old.serial_no:
            row["removed"], row["reason"] = at, "worn"
    club.world.installations.append(
        {
            "serial_no": new.serial_no,
            "aircraft": club.world.aircraft["registration"],
            "position": "R",
            "fitted": at,
            "removed": None,
            "reason": "",
        }
    )
    club.now = at + 60
