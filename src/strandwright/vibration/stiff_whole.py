"""The whole of a line that resists bending: its sections' stiffness, joint after joint.

Each joint moves across and leans, and feels only its neighbours: what is solved is a chain of
blocks of two by two, for many rows at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_sections import (
    Stiffness,
    clamped_modes,
    section_stiffness,
    section_waves,
)

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
Moves = tuple[Floats, Floats]


@dataclass(frozen=True)
class Whole:
    """Stiffness of a line against deflections and leans of its joints, ends included.

    Attributes
    ----------
    across, turn, lean : ndarray, shape (rows, joints)
        Of a joint by its own deflection and lean [N/m], [N], [N m].
    far, over, back, carry : ndarray, shape (rows, joints - 1)
        Of a joint's force and moment by the next one's deflection and lean: far and over of the
        force, back and carry of the moment [N/m], [N], [N], [N m].
    """

    across: Floats
    turn: Floats
    lean: Floats
    far: Floats
    over: Floats
    back: Floats
    carry: Floats

    def __iter__(self) -> Iterator[Floats]:
        """Give the arrays one by one."""
        return iter([getattr(self, f.name) for f in fields(self)])

    def times(self, moves: Moves) -> Moves:
        """Give forces and moments.

        Parameters
        ----------
        moves : (ndarray, ndarray), shape (rows, joints)
            Deflections [m] and leans [rad]

        Returns
        -------
        (ndarray, ndarray), shape (rows, joints)
            Forces [N] and moments [N m]
        """
        w, t = moves
        force, moment = self.across * w + self.turn * t, self.turn * w + self.lean * t
        force[:, :-1] += self.far * w[:, 1:] + self.over * t[:, 1:]
        moment[:, :-1] += self.back * w[:, 1:] + self.carry * t[:, 1:]
        force[:, 1:] += self.far * w[:, :-1] + self.back * t[:, :-1]
        moment[:, 1:] += self.over * w[:, :-1] + self.carry * t[:, :-1]
        return force, moment

    def energy(self, moves: Moves) -> Floats:
        """Give the work of the forces on the moves.

        Parameters
        ----------
        moves : (ndarray, ndarray), shape (rows, joints)
            Deflections [m] and leans [rad]

        Returns
        -------
        ndarray, shape (rows,)
            Twice the energy [J]
        """
        force, moment = self.times(moves)
        return np.asarray((force * moves[0] + moment * moves[1]).sum(axis=1))

    def negative(self) -> Rows:
        """Count the negative pivots.

        Returns
        -------
        ndarray of int, shape (rows,)
            As many as the whole has negative eigenvalues [-]
        """
        count = np.zeros(len(self.across), dtype=np.intp)
        for p, q, r in self._pivots():
            square = p * r - q * q
            count += np.where(square < 0.0, 1, np.where(p + r < 0.0, 2, 0))
        return count

    def solve(self, forces: Moves) -> Moves:
        """Give the moves under forces.

        Parameters
        ----------
        forces : (ndarray, ndarray), shape (rows, joints)
            Forces [N] and moments [N m]

        Returns
        -------
        (ndarray, ndarray), shape (rows, joints)
            Deflections [m] and leans [rad]
        """
        pivots = self._pivots()
        w, t = forces[0].copy(), forces[1].copy()
        last = len(pivots) - 1
        for j, pivot in enumerate(pivots):
            w[:, j], t[:, j] = _divided(pivot, w[:, j], t[:, j])
            if j < last:
                w[:, j + 1] -= self.far[:, j] * w[:, j] + self.back[:, j] * t[:, j]
                t[:, j + 1] -= self.over[:, j] * w[:, j] + self.carry[:, j] * t[:, j]
        for j in range(last - 1, -1, -1):
            force = self.far[:, j] * w[:, j + 1] + self.over[:, j] * t[:, j + 1]
            moment = self.back[:, j] * w[:, j + 1] + self.carry[:, j] * t[:, j + 1]
            by_w, by_t = _divided(pivots[j], force, moment)
            w[:, j] -= by_w
            t[:, j] -= by_t
        return w, t

    def _pivots(self) -> list[tuple[Floats, Floats, Floats]]:
        """Each joint's block once all before it are let go."""
        p, q, r = self.across[:, 0], self.turn[:, 0], self.lean[:, 0]
        pivots = [(p, q, r)]
        for j in range(self.far.shape[1]):
            far, over, back, carry = (v[:, j] for v in (self.far, self.over, self.back, self.carry))
            one, two = _divided(pivots[-1], far, back), _divided(pivots[-1], over, carry)
            p = self.across[:, j + 1] - far * one[0] - back * one[1]
            q = self.turn[:, j + 1] - far * two[0] - back * two[1]
            r = self.lean[:, j + 1] - over * two[0] - carry * two[1]
            pivots.append((p, q, r))
        return pivots


def whole_line(line: SoundingLine, case: Rows, omega: Floats) -> Whole:
    """Put the sections of lines together, with weights, springs and ends.

    Parameters
    ----------
    line : SoundingLine
        A batch of lines that resist bending.
    case : ndarray, shape (rows,)
        Which of them each row is about [-]
    omega : ndarray, shape (rows,)
        Angular frequency, > 0 [rad/s]

    Returns
    -------
    Whole
        Its stiffness at the frequency. What is held moves under a force of its own only.
    """
    return _together(line, case, omega, section_stiffness(section_waves(line, case, omega)))


def count_below(line: SoundingLine, case: Rows, omega: Floats) -> Rows:
    """Count the modes of lines below frequencies.

    Parameters
    ----------
    line : SoundingLine
        A batch of lines that resist bending.
    case : ndarray, shape (rows,)
        Which of them each row is about [-]
    omega : ndarray, shape (rows,)
        Angular frequency, > 0 [rad/s]

    Returns
    -------
    ndarray of int, shape (rows,)
        How many [-]
    """
    waves = section_waves(line, case, omega)
    stiffness = section_stiffness(waves)
    return clamped_modes(waves, stiffness) + _together(line, case, omega, stiffness).negative()


def _together(line: SoundingLine, case: Rows, omega: Floats, each: Stiffness) -> Whole:
    rows, sections = each.across.shape
    across, turn, lean = (np.zeros((rows, sections + 1)) for _ in range(3))
    across[:, :-1] += each.across
    across[:, 1:] += each.across
    turn[:, :-1] += each.turn
    turn[:, 1:] -= each.turn
    lean[:, :-1] += each.lean
    lean[:, 1:] += each.lean
    across[:, 1:-1] += line.joint_spring[case] - line.weight[case] * omega[:, None] ** 2
    far, over, back, carry = each.far.copy(), each.over.copy(), -each.over, each.carry.copy()
    for at, beside, end in ((0, 0, 0), (sections, sections - 1, 1)):
        spring = line.end_spring[case, end]
        fixed = np.isinf(spring)
        across[:, at] = np.where(fixed, 1.0, across[:, at] + np.where(fixed, 0.0, spring))
        turn[:, at] *= ~fixed
        mine = (far, over) if end == 0 else (far, back)
        for values in mine:
            values[:, beside] *= ~fixed
        if line.clamped[end]:
            lean[:, at], turn[:, at] = 1.0, 0.0
            for values in (back, carry) if end == 0 else (over, carry):
                values[:, beside] = 0.0
    return Whole(across, turn, lean, far, over, back, carry)


def _divided(pivot: tuple[Floats, Floats, Floats], force: Floats, moment: Floats) -> Moves:
    """Moves of one joint under a force and a moment."""
    p, q, r = pivot
    square = p * r - q * q
    # A part of the line that is at a mode of its own gives way without end: nearly so will do.
    least = 1e-17 * (np.abs(p * r) + q * q) + 1e-300
    square = np.where(np.abs(square) < least, least, square)
    return (r * force - q * moment) / square, (p * moment - q * force) / square
