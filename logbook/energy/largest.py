"""The largest of everything that was ever flown: beyond it a forecast says so."""

from typing import Final

from logbook.energy.amounts import Amounts

HEAVIER: Final = "heavier than any flight recorded"


class Largest:
    """Extremes of the record."""

    def __init__(self) -> None:
        self.drop = self.kft = self.level_min = self.circuits = self.ln_mass = 0.0
        self.coldest, self.hottest = 50.0, -50.0

    def stretch(self, a: Amounts, drop: float) -> None:
        """One more flight, with the largest SOC drop of a pack [points]."""
        self.drop = max(self.drop, drop)
        if not a.blank:
            self.kft, self.level_min = max(self.kft, a.kft), max(self.level_min, a.level_min)
            self.circuits = max(self.circuits, a.circuits)
        self.coldest, self.hottest = min(self.coldest, a.temp + 15), max(self.hottest, a.temp + 15)
        self.ln_mass = max(self.ln_mass, a.ln_mass)

    def beyond(self, a: Amounts, drop: float) -> tuple[str, ...]:
        """What of a demand lies beyond the record, in words."""
        checks = (
            (drop > 1.08 * self.drop + 1, "uses more charge than any flight recorded"),
            (a.kft > 1.1 * self.kft + 0.2, "climbs more than any flight recorded"),
            (a.level_min > 1.1 * self.level_min + 2, "more level minutes than any flight recorded"),
            (a.circuits > self.circuits + 1, "more circuits than any flight recorded"),
            (a.temp + 15 < self.coldest - 3 and a.temp != 0, "colder than any flight recorded"),
            (a.temp + 15 > self.hottest + 3 and a.temp != 0, "hotter than any flight recorded"),
            (a.ln_mass > self.ln_mass + 0.03, HEAVIER),
        )
        return tuple(words for true, words in checks if true)
