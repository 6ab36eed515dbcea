"""Lines that settle by a law of their own, not the one that is fitted: for coverage and decisions.

Bedding-in is a sum of two exponentials of the shots, creep a power of the time, and a steady flow
comes on top; readings have normal errors, and a few are slips of the tape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.settling import Prior

Floats = NDArray[np.float64]
DAY = 86400.0
YEAR = 365.0 * DAY
#: A string of HMPE 1.45 m long, stretched on the bench and twisted since.
PRIOR = Prior(
    offset=0.0, offset_u=3e-4, amplitude=8e-4, amplitude_u=0.9, shots_scale=35.0,
    shots_scale_u=0.5, shape=0.8, shape_u=0.25, creep=1.5e-4, creep_u=0.8, steady=3e-4 / YEAR,
    steady_u=1.2, start=3600.0, law=0.25,
)  # fmt: skip
#: Standard uncertainty of a reading, over the length [-]
READING = 2e-4


@dataclass(frozen=True)
class Line:
    """One line with a law of its own."""

    offset: float
    bedded: float
    share: float
    quick: float
    slow: float
    crept: float
    power: float
    flow: float
    pace: float

    def at(self, shots: Floats, time: Floats) -> Floats:
        """Give its true elongation."""
        n, t = np.asarray(shots, dtype=float), np.asarray(time, dtype=float)
        quick = self.share * -np.expm1(-n / self.quick)
        slow = (1.0 - self.share) * -np.expm1(-n / self.slow)
        # The power law brings in ten times the start as much as the logarithm would.
        hours = t / 3600.0
        crept = self.crept * ((1.0 + hours) ** self.power - 1.0) / (11.0**self.power - 1.0)
        return self.offset + self.bedded * (quick + slow) + crept + self.flow * t

    def later(self, shots: float, time: float, more: float, longer: float) -> float:
        """Give what it gets longer from a moment on."""
        both = self.at(np.array([shots, shots + more]), np.array([time, time + longer]))
        return float(both[1] - both[0])


def a_line(rng: np.random.Generator) -> Line:
    """Draw a line."""
    z = rng.standard_normal(4)
    return Line(
        offset=3e-4 * z[0],
        bedded=8e-4 * np.exp(0.7 * z[1]),
        share=rng.uniform(0.3, 0.7),
        quick=rng.uniform(5.0, 25.0),
        slow=rng.uniform(30.0, 120.0),
        crept=1.5e-4 * np.exp(0.6 * z[2]),
        power=rng.uniform(0.05, 0.2),
        flow=3e-4 / YEAR * np.exp(1.0 * z[3]),
        pace=rng.uniform(8.0, 60.0),
    )


def looks(
    line: Line, rng: np.random.Generator, slips: float = 0.0
) -> tuple[Floats, Floats, Floats]:
    """Read a line as a technician would: at fitting and about 25, 60, 120 and 250 shots on."""
    ends = ((15, 35), (50, 75), (100, 150), (200, 300))
    shots = np.array([0, *(rng.integers(low, high) for low, high in ends)], dtype=float)
    time = shots / line.pace * DAY
    read = line.at(shots, time) + READING * rng.standard_normal(shots.size)
    slipped = rng.uniform(size=shots.size) < slips
    return shots, time, read + slipped * rng.choice([-1.0, 1.0], shots.size) * 2e-3
