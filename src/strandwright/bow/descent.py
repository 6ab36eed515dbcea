r"""Descent: Levenberg's method on many members at once, each with its own damping.

A member takes the least of

.. math:: \tfrac12 |x - x_i|^2 + \tfrac12 \sum_k \bigl((f_k(x) - y_{k,i})/u_k\bigr)^2

and is left alone once it is there, so that the last ones on their way do not carry all the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.comparison import Comparison, Seen
from strandwright.bow.rig import rows_of

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Rows = NDArray[np.intp]
_STEPS = 20
#: Longest change of a size in one step, in its spread [-].
_LONGEST = 1.5
#: Damping to begin with, and past which nothing near a member is any better [-].
_DAMPING, _STUCK = 0.1, 1e3
#: What damping is times after the best of steps, and after one that gained nothing; a second in a
#: row doubles that [-].
_LESS, _RISE = 0.2, 3.0
#: What one more step may still gain of a member that is there, in squares of the spread [-].
_GAIN = 2e-3
#: Turns in which steps teach the slopes, before they are worked out anew. A peak of two humps has
#: a slope on either side only, and what a step across has shown of both leads on where the slope
#: of one leads back.
_TAUGHT = 4


def descend(fit: Comparison, own: Floats, noise: Floats, full: Floats) -> tuple[Floats, Floats]:
    """Bring members to where they agree with what is known and with their own draws.

    Parameters
    ----------
    fit : Comparison
        What is known.
    own : ndarray, shape (members, sizes)
        Each member's draw of the sizes, in the prior's spread [-]
    noise : ndarray, shape (members, figures)
        Its draw of what is known, in standard uncertainties [-]
    full : ndarray, shape (members,)
        Nocking point to pivot at its full draw [m]

    Returns
    -------
    x : ndarray, shape (members, sizes)
        Their sizes, in the prior's spread [-].
    misfit : ndarray, shape (members,)
        Worst misfit in standard uncertainties; infinite where a member never stood [-].
    """
    state = _State.begun(fit, own, noise, full)
    active = np.arange(len(own)) if np.any(state.seen.ok) else np.zeros(0, dtype=np.intp)
    for turn in range(_STEPS):
        if not len(active):
            break
        active = active[~state.step(active, anew=turn % (_TAUGHT + 1) == _TAUGHT)]
    misfit = np.abs((state.seen.value - state.wanted) / fit.within).max(axis=1)
    return state.x, np.where(np.isfinite(state.cost), misfit, np.inf)


@dataclass
class _State:
    """Where all members are."""

    fit: Comparison
    own: Floats
    wanted: Floats
    full: Floats
    x: Floats
    seen: Seen
    slope: Floats
    cost: Floats
    damping: Floats
    rise: Floats

    @classmethod
    def begun(cls, fit: Comparison, own: Floats, noise: Floats, full: Floats) -> _State:
        """All in one place, so that one table of slopes serves them all."""
        x = np.repeat(fit.start(), len(own), axis=0)
        seen, wanted = fit.read(x, full), fit.wanted + fit.within * noise
        one = np.array([int(np.argmax(seen.ok))])
        slope = np.zeros((1, fit.count, x.shape[1]))
        if seen.ok[one[0]]:
            slope = fit.slopes(x[one], rows_of(seen, one))
        slope, every = np.repeat(slope, len(own), axis=0), np.ones(len(own))
        state = cls(
            fit, own, wanted, full, x, seen, slope, np.inf * every, _DAMPING * every, _RISE * every
        )
        state.cost = state.costs(np.arange(len(own)), x, seen)
        return state

    def costs(self, rows: Rows, x: Floats, seen: Seen) -> Floats:
        """What members are to make small; without end where they do not stand."""
        rest = (seen.value - self.wanted[rows]) / self.fit.within
        cost = 0.5 * np.sum((x - self.own[rows]) ** 2, axis=1) + 0.5 * np.sum(rest**2, axis=1)
        return np.where(seen.ok, cost, np.inf)

    def step(self, rows: Rows, *, anew: bool) -> Flags:
        """Take a step with some members, and tell which of them are there."""
        if anew:
            self._look_about(rows)
        step, gain, promised = self._steps(rows)
        x = self.x[rows] + step
        strides = self.seen.followed.draw.shape[1] - 1
        after = self.fit.read(x, self.full[rows], strides)
        cost = self.costs(rows, x, after)
        better, fine = cost < self.cost[rows], after.ok & self.seen.ok[rows]
        change = after.value - self.seen.value[rows]
        self.slope[rows] = _learned(self.slope[rows], step, change, fine)
        gained = np.where(better, self.cost[rows] - np.where(better, cost, 0.0), 0.0)
        to = rows[better]
        if len(to):
            self.x[to], self.cost[to] = x[better], cost[better]
            self.seen.put(to, rows_of(after, better))
        self._damp(rows, better, gained / np.maximum(promised, 1e-300))
        return (better & (gained < _GAIN) & (gain < _GAIN)) | (self.damping[rows] > _STUCK)

    def _look_about(self, rows: Rows) -> None:
        """Work slopes out anew where a member stands."""
        stands = rows[self.seen.ok[rows]]
        if len(stands):
            self.slope[stands] = self.fit.slopes(self.x[stands], rows_of(self.seen, stands))

    def _damp(self, rows: Rows, better: Flags, kept: Floats) -> None:
        """Damp less the better a step kept its promise, and ever more where it gained nothing."""
        less = np.maximum(_LESS, 1.0 - (2.0 * np.clip(kept, 0, 1) - 1.0) ** 3)
        change = np.where(better, less, self.rise[rows])
        self.damping[rows] = (self.damping[rows] * change).clip(1e-6, 1e6)
        self.rise[rows] = np.where(better, _RISE, self.rise[rows] * 2.0)

    def _steps(self, rows: Rows) -> tuple[Floats, Floats, Floats]:
        """Damped steps, what undamped ones promise to gain, and what these do."""
        jacobian = self.slope[rows] / self.fit.within[:, None]
        rest = (self.seen.value[rows] - self.wanted[rows]) / self.fit.within
        rest = np.where(self.seen.ok[rows, None], rest, 0.0)
        count = self.x.shape[1]
        normal = np.swapaxes(jacobian, 1, 2) @ jacobian + np.eye(count)
        pull = np.einsum("mkn,mk->mn", jacobian, rest) + (self.x[rows] - self.own[rows])
        straight = np.linalg.solve(normal, pull[..., None])[..., 0]
        gain = 0.5 * np.einsum("mn,mn->m", pull, straight)
        plain = normal.copy()
        diagonal = np.arange(count)
        normal[:, diagonal, diagonal] *= 1.0 + self.damping[rows, None]
        step = -np.linalg.solve(normal, pull[..., None])[..., 0]
        longest = np.maximum(np.abs(step).max(axis=1), 1e-12)
        step *= np.minimum(1.0, _LONGEST / longest)[:, None]
        bent = 0.5 * np.einsum("mn,mnk,mk->m", step, plain, step)
        return step, gain, -np.einsum("mn,mn->m", pull, step) - bent


def _learned(slope: Floats, step: Floats, change: Floats, fine: Flags) -> Floats:
    """Broyden's correction: what a step showed of the slopes along it."""
    square = np.einsum("mn,mn->m", step, step)
    use = fine & (square > 1e-10)
    missed = change - np.einsum("mkn,mn->mk", slope, step)
    missed = np.where(use[:, None], missed, 0.0) / np.where(use, square, 1.0)[:, None]
    return slope + missed[:, :, None] * step[:, None, :]
