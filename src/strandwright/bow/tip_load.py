r"""The tip load: a limb under dead loads at its tip, as one energy to be made least.

.. math:: \Pi(q) = U(q) - F \cdot X(q) - M \theta(q)

with the force F and the moment M held as the tip moves. An elastica whose numbers all cases share
is evaluated in two products and one exponential, :math:`F_x \cos\theta + F_y \sin\theta` and its
derivative by :math:`\theta` being the parts of :math:`\bar F e^{i\theta}`.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.elastica import ElasticaLimb, TipOperators
from strandwright.bow.limb import Limb

Floats = NDArray[np.float64]
_FARTHEST, _TIED = 1.7, (0.8, 0.05)
"""Turn of the tip beyond which a force bends a limb but little further, and the share of it that
then acts as in a tie, with what that loses by the square of the turn; tried on limbs of several
shapes under forces in several directions. They place the start alone [rad, -, 1/rad^2]."""


class TipLoad(Protocol):
    """A limb with its loads, one row for each case."""

    def start(self) -> Floats:
        """Give coordinates to begin from, near the shape if that is cheap, (batch, n) [-]."""
        ...

    def energy(self, q: Floats) -> Floats:
        """Evaluate the energy less the work of the load.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates [-]

        Returns
        -------
        ndarray, shape (batch,)
            The potential [J]
        """
        ...

    def gradient(self, q: Floats) -> Floats:
        """Evaluate what is left of the balance.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates [-]

        Returns
        -------
        ndarray, shape (batch, n)
            Derivatives of the potential [J]
        """
        ...

    def curved(self, q: Floats) -> tuple[Floats, Floats]:
        """Evaluate both derivatives.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates [-]

        Returns
        -------
        tuple of ndarray
            First derivatives of the potential, shape (batch, n), and second, (batch, n, n) [J]
        """
        ...


def tip_load(limb: Limb, loads: Floats) -> TipLoad:
    """Prepare a limb for its loads.

    Parameters
    ----------
    limb : Limb
        Any limb.
    loads : ndarray, shape (batch, 3)
        Force along and across the root's heading, and moment [N, N, N m]

    Returns
    -------
    TipLoad
        The two together.
    """
    if isinstance(limb, ElasticaLimb) and limb.shared:
        return _OnElastica(limb.tip_operators, loads)
    return _OnAny(limb, loads)


class _OnAny:
    """A limb of any kind, by what every limb gives."""

    def __init__(self, limb: Limb, loads: Floats) -> None:
        self._limb, self._force, self._moment = limb, loads[:, :2], loads[:, 2]

    def start(self) -> Floats:
        rest = np.atleast_2d(self._limb.rest())
        return np.array(np.broadcast_to(rest, (len(self._force), rest.shape[-1])))

    def energy(self, q: Floats) -> Floats:
        tip = self._limb.tip(q)
        work = np.vecdot(self._force, tip.position) + self._moment * tip.angle
        return self._limb.energy(q)[0] - work

    def gradient(self, q: Floats) -> Floats:
        return self.curved(q)[0]

    def curved(self, q: Floats) -> tuple[Floats, Floats]:
        _, gradient, hessian = self._limb.energy(q)
        tip = self._limb.tip(q)
        row, n = self._force[:, None, :], q.shape[-1]
        pull = (row @ tip.position_gradient)[:, 0] + self._moment[:, None] * tip.angle_gradient
        bend = (row @ tip.position_hessian.reshape(-1, 2, n * n)).reshape(-1, n, n)
        return gradient - pull, hessian - bend


class _OnElastica:
    """An elastica that all cases share."""

    def __init__(self, made: TipOperators, loads: Floats) -> None:
        self._made, self._loads = made, loads
        force = loads[:, 0] - 1j * loads[:, 1]
        self._force = force[:, None] * made.heading
        self._turning = loads[:, 2:] * made.turn if np.count_nonzero(loads[:, 2]) else None

    def start(self) -> Floats:
        made, loads = self._made, self._loads
        force = loads[:, :2] @ made.loads[:2]
        # By small bending, held back as the tip turns into the force.
        turned = force @ made.loads[2]
        square = turned * turned
        square /= 1.0 + square / _FARTHEST**2
        # The force comes to pull along the limb, as in a tie: by the secant up to that turn.
        half = np.copysign(0.5 * np.sqrt(square), turned)
        tie = (loads[:, 0] + loads[:, 1] * half) * (_TIED[0] - _TIED[1] * square)
        force /= 1.0 + np.maximum(tie, 0.0)[:, None] * made.tied
        if self._turning is not None:
            force += loads[:, 2:] * made.loads[2]
        return force @ made.modes

    def energy(self, q: Floats) -> Floats:
        resisting, load = self._parts(q)
        if self._turning is not None:
            resisting = resisting - 2.0 * self._turning
        return 0.5 * np.vecdot(q, resisting) + load @ self._made.work

    def gradient(self, q: Floats) -> Floats:
        resisting, load = self._parts(q)
        gradient = resisting + load @ self._made.pulls
        return gradient if self._turning is None else gradient - self._turning

    def curved(self, q: Floats) -> tuple[Floats, Floats]:
        n = q.shape[-1]
        resisting, load = self._parts(q)
        found = load @ self._made.moments
        gradient = resisting + found[:, :n]
        if self._turning is not None:
            gradient -= self._turning
        return gradient, self._made.stiffness + found[:, n:].reshape(-1, n, n)

    def _parts(self, q: Floats) -> tuple[Floats, Floats]:
        """Moments from bending; load along and against the turn at each Gauss point, in pairs."""
        found = q @ self._made.turns
        points = self._force.shape[-1]
        load = np.exp(1j * found[:, :points])
        load *= self._force
        return found[:, points:], load.view(np.float64)
