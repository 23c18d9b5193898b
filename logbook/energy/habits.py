"""What is usual here: averages that stand in for what was not written down."""


class RunningMean:
    """Mean and variance with a prior worth some observations, older ones fading."""

    __slots__ = ("mean", "square", "weight")

    def __init__(self, mean: float, sd: float, prior_weight: float = 2.0) -> None:
        self.mean, self.square, self.weight = mean, sd * sd, prior_weight

    def add(self, value: float) -> None:
        """One more observation; what lies far outside counts little."""
        off = value - self.mean
        if off * off > 16 * self.square:
            off = 4 * self.square**0.5 * (1 if off > 0 else -1)
        self.weight = min(self.weight + 1, 100.0)
        self.mean += off / self.weight
        self.square += (off * off - self.square) / self.weight

    @property
    def sd(self) -> float:
        """Spread of one observation."""
        return float(self.square**0.5)


class Habits:
    """Usual feet and minutes by kind, taxi times, mass by people aboard."""

    def __init__(self, reference_kg: float | None, empty_kg: float | None) -> None:
        self.reference_kg = reference_kg
        self.empty_kg = empty_kg
        self.kft: dict[str, RunningMean] = {}
        self.level: dict[str, RunningMean] = {}
        self.climb_of_height = RunningMean(0.9, 0.3, 4.0)
        """Thousands of feet climbed for each thousand of highest altitude."""
        self.taxi_out = RunningMean(7.0, 3.0, 4.0)
        self.taxi_in = RunningMean(4.0, 2.0, 4.0)
        self.mass: dict[tuple[str | None, int | None], RunningMean] = {}

    def usual(self, table: dict[str, RunningMean], kind: str, mean: float, sd: float) -> RunningMean:
        """The running mean of a kind, begun with a generic value."""
        found = table.get(kind)
        if found is None:
            found = table[kind] = RunningMean(mean, sd)
        return found

    def mass_kg(self, handler: str | None, aboard: int | None) -> tuple[float, float] | None:
        """Usual take-off mass and its spread [kg], for who flies and how many are aboard."""
        for key in ((handler, aboard), (None, aboard)):
            found = self.mass.get(key)
            if found is not None:
                return found.mean, max(found.sd, 8.0)
        if self.empty_kg is not None and aboard:
            return self.empty_kg + 82.0 * aboard, 18.0
        return None

    def learn_mass(self, handler: str | None, aboard: int | None, mass_kg: float) -> None:
        """One flight with its mass."""
        for key in ((handler, aboard), (None, aboard)):
            found = self.mass.get(key)
            if found is None:
                self.mass[key] = RunningMean(mass_kg, 18.0, 1.0)
            else:
                found.add(mass_kg)
