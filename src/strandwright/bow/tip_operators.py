"""The tip operators: a beam's parts laid out so that its balance takes two products.

Made once of a limb that all cases share; :mod:`strandwright.bow.tip_load` evaluates with them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class TipOperators:
    """What turns coordinates into the balance of a limb under a load at its tip.

    Attributes
    ----------
    turns : ndarray, shape (n, points + n)
        Angle at each Gauss point, then moments that resist, by coordinate [rad, J]
    heading : ndarray, shape (points,)
        Unit vectors along the unstrained limb there, as complex numbers [-]
    work : ndarray, shape (2 points,)
        From the parts of the load turned into the limb there, in pairs, to less its work [m]
    pulls : ndarray, shape (2 points, n)
        To the first derivatives of that [m]
    moments : ndarray, shape (2 points, n + n * n)
        To its first and second derivatives [m]
    stiffness : ndarray, shape (n, n)
        Second derivatives of the energy [J]
    turn : ndarray, shape (n,)
        Turn of the tip by coordinate [rad]
    modes : ndarray, shape (n, n)
        Shapes, as rows, that bend each with a stiffness of 1 J and that tension along the
        unstrained limb does not join [-]
    tied : ndarray, shape (n,)
        Stiffness of each added by tension [J/N]
    loads : ndarray, shape (3, n)
        Work in each of a force along, a force across and a moment, for small turns
        [J/N, J/N, J/(N m)]
    """

    turns: Floats
    heading: NDArray[np.complex128]
    work: Floats
    pulls: Floats
    moments: Floats
    stiffness: Floats
    turn: Floats
    modes: Floats
    tied: Floats
    loads: Floats


def tip_operators(
    turned: tuple[Floats, Floats, Floats], weights: Floats, stiffness: Floats
) -> TipOperators:
    """Lay out the parts of a beam clamped at its root.

    Parameters
    ----------
    turned : tuple of ndarray
        Angle at each Gauss point by coordinate, (n, points), and unstrained, (points,); angle at
        the tip by coordinate, (n,) [rad]
    weights : ndarray, shape (points,)
        Length of beam that each Gauss point stands for [m]
    stiffness : ndarray, shape (n, n)
        Second derivatives of the energy of bending [J]

    Returns
    -------
    TipOperators
        Laid out.
    """
    turns, unstrained, tip = turned
    n, points = turns.shape
    each = (turns * weights).T
    products = (each[:, :, None] * turns.T[:, None, :]).reshape(points, n * n)
    moments = np.zeros((points, 2, n + n * n))
    moments[:, 1, :n] = each
    moments[:, 0, n:] = products
    moments = moments.reshape(2 * points, -1)
    heading = np.exp(1j * unstrained)
    along = heading @ each
    loads = np.stack([-along.imag, along.real, tip])
    tied, modes = _modes(stiffness, products.sum(axis=0).reshape(n, n))
    return TipOperators(
        turns=np.hstack([turns, stiffness]),
        heading=heading,
        work=np.stack([-weights, 0.0 * weights], axis=-1).ravel(),
        pulls=moments[:, :n].copy(),
        moments=moments,
        stiffness=stiffness,
        turn=tip,
        modes=modes,
        tied=tied,
        loads=loads @ modes.T,
    )


def _modes(stiffness: Floats, tension: Floats) -> tuple[Floats, Floats]:
    """Shapes in which the stiffness is the unit matrix and what tension adds is diagonal."""
    root = np.linalg.inv(np.linalg.cholesky(stiffness))
    tied, axes = np.linalg.eigh(root @ tension @ root.T)
    return np.asarray(tied, dtype=np.float64), np.asarray(axes.T @ root, dtype=np.float64)
