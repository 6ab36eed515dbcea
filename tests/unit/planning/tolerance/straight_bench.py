"""A bench of which everything is known in closed form: lengths straight in normal unknowns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.numerics.batches import Batches
from strandwright.numerics.tally import Ruler
from strandwright.planning.tolerance.course import Course, ReadStage
from strandwright.planning.tolerance.study import Proving, Study

LENGTH, TURNS, TAKE_UP = 1.5, 100.0, 2.0e-6


@dataclass(frozen=True)
class StraightBench:
    """Lines off by ``line``, a tape off by ``tape``; the square of the turns takes up.

    Attributes
    ----------
    line, tape : float
        Standard deviations of the line's length, and of all that is read of it [m]
    """

    line: float
    tape: float

    def draw(self, stream, count):
        """Draw what each line and each tape is off."""
        return {
            "line": self.line * stream.standard_normal(count),
            "tape": self.tape * stream.standard_normal(count),
        }

    def finished(self, drawn, turns):
        """True lengths."""
        return LENGTH + drawn["line"] - TAKE_UP * (turns**2 - TURNS**2)

    def read(self, drawn, key, turns):
        """Lengths as the tape shows them."""
        share = {"half": 0.5, "whole": 1.0}[key]
        return self.finished(drawn, share * turns) + drawn["tape"]


def straight_study(
    bench: StraightBench,
    noise: float,
    step: float = 1e-3,
    builds: int = 40_960,
    tolerance: float = 1.5e-3,
    stages: tuple[str, ...] = ("half", "whole"),
    proving: Proving | None = None,
    seed: int = 1,
    size: int = 4096,
) -> Study:
    """Study a bench whose course is known exactly."""
    squares = (0.8 * TURNS**2, TURNS**2, 1.2 * TURNS**2)
    shares = {"half": 0.5, "whole": 1.0}
    read = tuple(ReadStage(key, shares[key], noise) for key in stages)
    mean, loads = [], []
    for share, tape in [*((stage.share, 1.0) for stage in read), (1.0, 0.0)]:
        for square in squares:
            mean.append(LENGTH - TAKE_UP * (share**2 * square - TURNS**2))
            loads.append((bench.line, tape * bench.tape))
    root = np.array(loads)
    course = Course(read, squares, np.array(mean), root @ root.T, TURNS, 300.0, step)
    proving = proving or Proving("whole", 0.0, noise, tolerance, 2.0 * tolerance)
    return Study(
        identity=f"straight {seed}",
        builds=bench,
        course=course,
        proving=proving,
        wanted=LENGTH,
        tolerance=tolerance,
        original_u=0.5e-3,
        most_turns=120.0,
        bow=None,
        batches=Batches(builds, seed, size),
        ruler=Ruler(-0.02, 0.02, 4000),
    )
