r"""Sensitivity: how a line's pitch goes with its lengths, masses, load and what else it is made of.

At a mode, what the line stores in swinging aside and in moving are equal, and to first order a
change of the line leaves its shape alone (Hellmann and Feynman): the frequency's change is the
change of either energy at the shape as it is. One solution gives all slopes, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.modes import Modes

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sensitivities:
    """Change of the logarithm of each mode's frequency with that of each number of the line.

    Attributes
    ----------
    length : ndarray, shape (batch, modes, sections)
        With a section's length, all else as it is, so that the line grows too [-].
    mass_per_length : ndarray, shape (batch, modes, sections)
        With its mass of a length [-].
    bending_stiffness : ndarray, shape (batch, modes, sections)
        With its EI [-].
    tension : ndarray, shape (batch, modes)
        With the load [-].
    weight : ndarray, shape (batch, modes, sections - 1)
        With each mass where sections meet [-].
    joint_spring : ndarray, shape (batch, modes, sections - 1)
        With each spring where sections meet [-].
    end_spring : ndarray, shape (batch, modes, 2)
        With the springs of start and end; 0 where an end is fixed [-].
    """

    length: Floats
    mass_per_length: Floats
    bending_stiffness: Floats
    tension: Floats
    weight: Floats
    joint_spring: Floats
    end_spring: Floats


def sensitivities(found: Modes) -> Sensitivities:
    r"""Give how each mode's frequency goes with every number of its line.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch.

    Returns
    -------
    Sensitivities
        For each mode.

    Notes
    -----
    With a mode's mass 1, :math:`d\omega^2` is the change of
    :math:`\int EI w''^2 + T w'^2 - \omega^2 \mu w^2\,dx` and of what springs and weights add. With
    a section's length it is :math:`-3\int EI w''^2 - \int T w'^2 - \omega^2 \int\mu w^2 +
    2 EI [w' w'']` over that length: stretched so, the shape would bend at the section's ends.
    """
    waves, line = found.waves(), found.line
    pieces = waves.line
    square = waves.omega[..., None] ** 2
    tension = line.tension[:, None, None]
    stretched = tension * waves.squares(1) / square
    moving = pieces.mass_per_length[:, None, :] * waves.squares()
    bending = pieces.bending_stiffness[:, None, :]
    bent, ends = np.zeros_like(moving), np.zeros_like(moving)
    if line.stiff:
        bent = bending * waves.squares(2) / square
        (lean, last_lean), (bow, last_bow) = waves.joints(1), waves.joints(2)
        ends = bending * (last_lean * last_bow - lean * bow) / square
    start, stop = waves.joints()
    at_joints, at_ends = start[..., 1:] ** 2, np.stack([start[..., 0], stop[..., -1]], -1) ** 2
    springs = np.where(np.isinf(line.end_spring), 0.0, line.end_spring)[:, None, :]
    length = ends - 1.5 * bent - 0.5 * stretched - 0.5 * moving
    if pieces is not line and pieces.length.shape != line.length.shape:
        # A line of one section is solved in two halves, that change alike.
        length, moving, bent = (v.sum(axis=-1, keepdims=True) for v in (length, moving, bent))
        at_joints = at_joints[..., :0]
    return Sensitivities(
        length=length,
        mass_per_length=-0.5 * moving,
        bending_stiffness=0.5 * bent,
        tension=0.5 * stretched.sum(axis=-1),
        weight=-0.5 * line.weight[:, None, :] * at_joints,
        joint_spring=0.5 * line.joint_spring[:, None, :] * at_joints / square,
        end_spring=0.5 * springs * at_ends / square,
    )
