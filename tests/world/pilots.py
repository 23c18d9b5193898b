"""People with habits: how they climb, cruise, fly circuits and taxi; students learn."""

from dataclasses import dataclass

import numpy as np

KINDS = ("circuits", "local", "cross-country", "ferry", "check")


@dataclass
class Pilot:
    """One person's habits, as factors on what the handbook would do."""

    name: str
    role: str
    """owner, instructor, student or member."""
    mass_kg: float
    climb: float
    """Factor on energy wasted in the climb (speed off, slip)."""
    level: dict[str, float]
    """Factor on level power, by kind of flight."""
    circuit: float
    """Factor on the length of the level part of a circuit."""
    taxi_min: float
    spread: float
    """Scatter of how evenly flights are flown (1 usual)."""
    weights: tuple[float, ...]
    """How often each kind of flight."""
    flights: int = 0

    def skill(self) -> float:
        """Extra cost of inexperience, dying away with flights (students only)."""
        return 0.05 * float(np.exp(-self.flights / 40)) if self.role == "student" else 0.0


def draw_pilots(rng: np.random.Generator) -> list[Pilot]:
    """Owner, two instructors, four students, one member."""
    roles = ["owner", "instructor", "instructor", "student", "student", "student", "student", "member"]
    names = [
        "Ada Brink",
        "Otto Velmar",
        "Ines Korda",
        "Jun Parel",
        "Mira Solt",
        "Teo Lund",
        "Lea Quist",
        "Nils Orban",
    ]
    mean = {"owner": 0.0, "instructor": -0.035, "student": 0.03, "member": 0.01}
    mix = {
        "owner": (0.25, 0.40, 0.28, 0.04, 0.03),
        "instructor": (0.35, 0.40, 0.15, 0.03, 0.07),
        "student": (0.58, 0.30, 0.12, 0.0, 0.0),
        "member": (0.2, 0.45, 0.35, 0.0, 0.0),
    }
    people = []
    for name, role in zip(names, roles, strict=True):
        base = mean[role]
        people.append(
            Pilot(
                name=name,
                role=role,
                mass_kg=float(rng.uniform(62, 98)),
                climb=1 + base + rng.normal(0, 0.025),
                level={k: 1 + base + rng.normal(0, 0.02) + rng.normal(0, 0.025) for k in KINDS},
                circuit=1 + 2 * base + rng.normal(0, 0.06),
                taxi_min=float(np.clip(rng.normal(6, 1.2), 3.5, 9)),
                spread=float({"student": 1.15, "instructor": 0.85}.get(role, 1.0) * rng.uniform(0.9, 1.1)),
                weights=mix[role],
            )
        )
    return people
