"""What the simulated strands do once or slowly: bedding-in, creep, delayed elastic strain."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from simulated_bench.world import LBF, Truth

#: Load on a strand at which bedding-in is stated [N]
STATED = 12.5 * LBF
#: Kelvin elements: time constant [s] and share of the delayed compliance [-]
KELVIN = ((180.0, 0.3), (1800.0, 0.45), (18000.0, 0.25))
#: Time from which creep is counted [s]
FIRST = 60.0
#: Turns over length by which twist has opened most of what it can [turn/m]
OPENED = 12.0


@dataclass
class Settling:
    """State of the settling of one skein; loads are on one strand [N]."""

    truth: Truth
    highest: float = 0.0
    crept: float = 0.0
    kelvin: list[float] = field(default_factory=lambda: [0.0] * len(KELVIN))
    opened: list[list[float]] = field(default_factory=list[list[float]])
    steepest: float = 0.0

    def hold(self, load: float, seconds: float) -> None:
        """Let a load act for a time."""
        truth = self.truth
        self.highest = max(self.highest, load)
        for pool in self.opened:
            pool[1] = max(pool[1], load)
        strain = truth["delayed"] * load / truth["stiffness"]
        for i, (tau, share) in enumerate(KELVIN):
            goal = share * strain
            self.kelvin[i] = goal + (self.kelvin[i] - goal) * math.exp(-seconds / tau)
        self._creep(load, seconds)

    def _creep(self, load: float, seconds: float) -> None:
        """Creep on from the strain that is there: so much time at this load would have made it."""
        rate = self.truth["creep"] * (load / self.truth.fibre.break_load) ** 1.1
        decades = self.crept / rate if rate > 0.0 else 99.0
        if decades < 12.0:
            self.crept = rate * math.log10(10.0**decades + seconds / FIRST)

    def twist(self, rate: float) -> None:
        """Turns have gone in: a steeper helix than ever opens some bedding-in again."""
        if rate > self.steepest:
            share = math.exp(-self.steepest / OPENED) - math.exp(-rate / OPENED)
            self.opened.append([self.truth["reopening"] * self.truth["bedding"] * share, 0.0])
            self.steepest = rate

    def relax(self) -> None:
        """Rest so long that nothing delayed is left."""
        self.kelvin = [0.0] * len(KELVIN)

    def _progress(self, load: float) -> float:
        half = self.truth["bedding_load"]
        return load / (load + half) * (STATED + half) / STATED

    @property
    def strain(self) -> float:
        """Strain by all of it [-]."""
        bedded = self.truth["bedding"] * self._progress(self.highest)
        again = sum(amount * self._progress(load) for amount, load in self.opened)
        return bedded + again + self.crept + sum(self.kelvin)
