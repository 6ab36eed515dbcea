"""The length of a twisted bundle: where its strands carry the load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.fibre.bundle_balance import Balance, Carried
from strandwright.fibre.strand_law import FloatArray

_ITERATIONS = 40
_RELATIVE = 1e-13
#: Plain steps are tried so often
_PLAIN = 12
#: Step over which length, strains and pulls are carried by their slopes; what that leaves is its
#: square times some fifty: 1e-12 of the length at most
_CARRIED = 1e-7
#: Share of the break strain up to which the outermost strand surely follows its law [-]
_WHOLE = 1.0 - 1e-6


@dataclass(frozen=True)
class Found:
    """A span that balances its load.

    Attributes
    ----------
    balance : Balance
        What its strands do.
    length : ndarray
        Shape (...); length along the line [m]
    last : Carried
        What the strands carried before the last step.
    step : ndarray
        Shape (...); that step, next to nothing: change of the logarithm of the length [-]
    """

    balance: Balance
    length: FloatArray
    last: Carried
    step: FloatArray

    @property
    def moment(self) -> FloatArray:
        """Pulls times squared radii over that of the bundle, over all strands, shape (...) [N]."""
        pull = self.last.pull + self.step * self.last.pull_slope
        return self.balance.strands.count * self.last.mean(pull * self.balance.squares)

    def slopes(self) -> tuple[FloatArray, FloatArray]:
        """Slopes of the logarithms of length and moment with that of the turns, the load held.

        Returns
        -------
        tuple of ndarray
            Of the length and of the moment, shape (...) [-]

        Notes
        -----
        Turns and length come in by the helix angles, of which a share of length counts as much
        as two of turns squared the other way, and the length by the strains besides.
        """
        last, squares = self.last, self.balance.squares
        by_strain = self.balance.pull_by_strain(last)
        by_turns = by_strain - last.pull_slope
        shorter = -last.mean(by_turns) / last.load_slope
        moment = last.mean((by_turns + shorter * last.pull_slope) * squares)
        return shorter, moment / last.mean(last.pull * squares)

    def beyond_few(self) -> NDArray[np.bool_]:
        """Where few strands could not stand for all: the outermost breaks, or is too steep.

        Returns
        -------
        ndarray of bool
            Shape (...).
        """
        balance = self.balance
        whole = self.last.strain[-1] < _WHOLE * balance.strands.break_strain
        return ~(whole & (balance.around <= balance.steepest * np.square(self.length)))


def balanced(
    balance: Balance, load: FloatArray, straight: FloatArray, start: FloatArray | None
) -> Found:
    """Find the length at which a bundle carries a load.

    Parameters
    ----------
    balance : Balance
        The bundle.
    load : ndarray
        Load along the line, shape (...) [N]
    straight : ndarray
        Length without turns [m]
    start : ndarray or None
        Length to begin from [m]

    Returns
    -------
    Found
        The span.
    """
    plain = plainly_balanced(balance, load, straight, start)
    return plain or _bounded(balance, load, straight)


def plainly_balanced(
    balance: Balance, load: FloatArray, straight: FloatArray, start: FloatArray | None
) -> Found | None:
    """Find the length by Newton's plain steps.

    The last step is so small that strains and pulls are carried over it by their slopes.

    Parameters
    ----------
    balance : Balance
        The bundle.
    load : ndarray
        Load along the line, shape (...) [N]
    straight : ndarray
        Length without turns [m]
    start : ndarray or None
        Length to begin from, where strands are taut at it [m]

    Returns
    -------
    Found or None
        The span; None where the steps do not close in.
    """
    each = load / balance.strands.count
    length = balance.shared_length(straight) if start is None else start
    now = balance.at(length)
    if start is not None and not now.load_slope.min() > 0.0:
        length = np.where(now.load_slope > 0.0, length, balance.shared_length(straight))
        now = balance.at(length)
    for _ in range(_PLAIN):
        if not now.load_slope.min() > 0.0:
            return None
        step = (each - now.load) / now.load_slope
        length = length * (1.0 + step)
        if not np.abs(step).max() > _CARRIED:
            return Found(balance, length, now, step)
        now = balance.at(length)
    return None


def _bounded(balance: Balance, load: FloatArray, straight: FloatArray) -> Found:
    """Do it by Newton between the longest length known too short and the shortest too long."""
    each = load / balance.strands.count
    length = balance.shared_length(straight)
    low, high = 0.5 * length, straight
    now, step = balance.at(length), np.zeros_like(length)
    for _ in range(_ITERATIONS):
        miss = now.load - each
        low, high = np.where(miss < 0.0, length, low), np.where(miss > 0.0, length, high)
        new = _next_length(length, miss, now.load_slope, low, high)
        step = new / length - 1.0
        length = new
        if not (np.abs(step) > _RELATIVE).any():
            break
        now = balance.at(length)
    return Found(balance, length, now, step)


def _next_length(
    length: FloatArray, miss: FloatArray, slope: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Newton's next length, or the middle of the bracket where a step cannot be trusted.

    A softening law makes steps too long: some land where every strand is slack.
    """
    trial = length * (1.0 - miss / np.where(slope > 0.0, slope, 1.0))
    trusted = (slope > 0.0) & (trial >= low) & (trial <= high)
    return np.where(trusted | (miss == 0.0), trial, 0.5 * (low + high))
