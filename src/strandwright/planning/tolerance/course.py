"""The course of a build: what is read on the way, and which turns follow from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.running import Running

Floats = NDArray[np.float64]
#: Turn counts at which the lengths of a course are known
NODES = 3
#: Steps that find the turns; the length is so nearly straight in their square that four are
#: enough [-]
_STEPS = 6


@dataclass(frozen=True)
class ReadStage:
    """A state in which the length is read.

    Attributes
    ----------
    key : str
        Its key on the route.
    share : float
        Share of the final turns that is in the line [-]
    noise : float
        Standard uncertainty of one reading by itself [m]
    """

    key: str
    share: float
    noise: float


@dataclass(frozen=True, eq=False)
class Course:
    """What is expected of a build on the way, at three turn counts.

    Lengths are very nearly straight in the square of the turns: between and past the three they
    are taken on the parabola through them, which is good to a tenth of a usual tolerance,
    for strands that go slack bend the curve. The states are the lengths read, stage by stage at
    the three counts, and then the finished length at the three.

    Attributes
    ----------
    stages : tuple of ReadStage
        Where the length is read, in order.
    squares : tuple of float
        Squares of the final turns at the three counts, rising [turn^2]
    mean : ndarray, shape (m,)
        Expected states, m three for each stage and three more [m]
    covariance : ndarray, shape (m, m)
        Of the states [m^2]
    turns : float
        Turns before anything is read [turn]
    highest : float
        Most turns that are tried [turn]
    step : float
        Smallest step of the turns, > 0 [turn]
    """

    stages: tuple[ReadStage, ...]
    squares: tuple[float, ...]
    mean: Floats
    covariance: Floats
    turns: float
    highest: float
    step: float = 0.5

    def begun(self, cases: int) -> Running:
        """Give what is known of builds before any is read.

        Parameters
        ----------
        cases : int
            How many [-]

        Returns
        -------
        Running
            The same of each.
        """
        return Running.begun(self.mean, self.covariance, cases)

    def counted(self, place: int, turns: Floats) -> Floats:
        """Give the final turns that leave a whole number of steps in the line at a stage.

        Parameters
        ----------
        place : int
            Which of the stages, from 0 [-]
        turns : ndarray, shape (B,)
            Final turns [turn]

        Returns
        -------
        ndarray, shape (B,)
            Final turns whose share is counted out [turn]
        """
        share = self.stages[place].share
        return turns if share in (0.0, 1.0) else self._whole(share * turns) / share

    def learned(self, known: Running, place: int, turns: Floats, read: Floats) -> Running:
        """Learn from the readings of a stage.

        Parameters
        ----------
        known : Running
            What was known of each build.
        place : int
            Which of the stages, from 0 [-]
        turns : ndarray, shape (B,)
            Final turns of which the line has its share [turn]
        read : ndarray, shape (B,)
            The readings [m]

        Returns
        -------
        Running
            What is known then.
        """
        rows = np.zeros(known.mean.shape)
        rows[:, place * NODES : (place + 1) * NODES] = _weights(self.squares, turns)
        return known.learned(rows, read, self.stages[place].noise ** 2)

    def corrected(self, known: Running, wanted: float) -> tuple[Floats, Floats]:
        """Give the turns that are expected to bring each build to its length.

        Parameters
        ----------
        known : Running
            What is known of each build.
        wanted : float
            Finished length that is asked for [m]

        Returns
        -------
        turns : ndarray, shape (B,)
            To a step, never below none nor past the highest [turn]
        beyond : ndarray, shape (B,)
            -1 where even none is too many, 1 where the highest are too few, else 0 [-]
        """
        square = _square_for(self.squares, known.mean[:, -NODES:], wanted)
        beyond = np.where(square < 0.0, -1.0, np.where(square > self.highest**2, 1.0, 0.0))
        exact = np.sqrt(square.clip(0.0, self.highest**2))
        return self._whole(exact), beyond

    def _whole(self, turns: Floats) -> Floats:
        return np.round(turns / self.step) * self.step


def _weights(squares: Sequence[float], turns: Floats) -> Floats:
    """Weights of the three on the parabola through them, shape (B, 3)."""
    a, b, c = squares
    at = turns * turns
    return np.stack(
        [
            (at - b) * (at - c) / ((a - b) * (a - c)),
            (at - a) * (at - c) / ((b - a) * (b - c)),
            (at - a) * (at - b) / ((c - a) * (c - b)),
        ],
        axis=1,
    )


def _square_for(squares: Sequence[float], lengths: Floats, wanted: float) -> Floats:
    """Square of the turns at which the parabola through three lengths is what is wanted."""
    a, b, c = squares
    first = (lengths[:, 1] - lengths[:, 0]) / (b - a)
    second = (lengths[:, 2] - lengths[:, 1]) / (c - b)
    bend = (second - first) / (c - a)
    missing = wanted - lengths[:, 0]
    at = a + missing / first
    for _ in range(_STEPS):
        at = a + missing / (first + bend * (at - b))
    return at
