r"""Giving: how far a taut line is held aside by a force at one place.

Without bending, each side of the place is a chain of lengths and springs, and what it holds with
adds up from its end. With bending the line is parted there, and its exact stiffness taken at a
frequency so low that it is as good as at rest.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_whole import whole_line

Floats = NDArray[np.float64]
#: Of the lowest mode, the frequency that is as good as rest: its square is what is left out.
_REST = 1e-4
#: How near to where sections meet a place is taken to be beside it, as a share of the line.
_BESIDE = 1e-6


def give_at(line: SoundingLine, place: float) -> Floats:
    """Give how far a line goes aside at a place for each force across it there.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch.
    place : float
        From the start, between the ends [m]

    Returns
    -------
    ndarray, shape (batch,)
        Deflection for each force, to 1e-8 of itself [m/N]
    """
    if not line.stiff:
        back = replace(
            line,
            length=line.length[:, ::-1],
            joint_spring=line.joint_spring[:, ::-1],
            end_spring=line.end_spring[:, ::-1],
        )
        far = line.length.sum(axis=1) - place
        return 1.0 / (_held_from_start(line, place) + _held_from_start(back, far))
    lowest = modes(line, 1).raise_for_failure("the lowest mode").value.frequency[:, 0]
    return np.array(
        [
            _parted_give(_alone(line, case), place, 2.0 * np.pi * _REST * float(lowest[case]))
            for case in range(line.cases)
        ]
    )


def _held_from_start(line: SoundingLine, place: float | Floats) -> Floats:
    """Force at a place for each length aside, by all between it and the start."""
    firm, edge = line.end_spring[:, 0], np.zeros(line.cases)
    held = np.zeros(line.cases)
    for i in range(line.length.shape[1]):
        along = np.clip(place - edge, 0.0, line.length[:, i])
        held = np.where(place >= edge, 1.0 / (1.0 / firm + along / line.tension), held)
        firm = 1.0 / (1.0 / firm + line.length[:, i] / line.tension)
        edge = edge + line.length[:, i]
        if i < line.length.shape[1] - 1:
            firm = firm + line.joint_spring[:, i]
    return held


def _alone(line: SoundingLine, case: int) -> SoundingLine:
    """One case of a batch."""
    names = ("length", "mass_per_length", "tension", "bending_stiffness")
    names = (*names, "weight", "joint_spring", "end_spring")
    return replace(line, **{name: getattr(line, name)[case : case + 1] for name in names})


def _parted_give(line: SoundingLine, place: float, omega: float) -> float:
    """Give of one line that resists bending, parted at the place."""
    edges = np.concatenate([[0.0], np.cumsum(line.length[0])])
    beside = _BESIDE * edges[-1]
    i = int(np.clip(np.searchsorted(edges, place) - 1, 0, len(edges) - 2))
    at = float(np.clip(place - edges[i], beside, line.length[0, i] - beside))
    long = np.insert(line.length, i, at, axis=1)
    long[0, i + 1] -= at
    parted = replace(
        line,
        length=long,
        mass_per_length=np.insert(line.mass_per_length, i, line.mass_per_length[:, i], axis=1),
        bending_stiffness=np.insert(
            line.bending_stiffness, i, line.bending_stiffness[:, i], axis=1
        ),
        weight=np.insert(line.weight, i, 0.0, axis=1),
        joint_spring=np.insert(line.joint_spring, i, 0.0, axis=1),
    )
    whole = whole_line(parted, np.zeros(1, dtype=np.intp), np.array([omega]))
    force = np.zeros((1, long.shape[1] + 1))
    force[0, i + 1] = 1.0
    return float(whole.solve((force, np.zeros_like(force)))[0][0, i + 1])
