r"""Modes of a line that resists bending: exact stiffness of each section at a frequency.

Between two places the swing is made of :math:`e^{-ax}`, :math:`e^{-a(l-x)}`, :math:`\cos bx`
and :math:`\sin bx`,

.. math:: a^2, b^2 = \frac{\sqrt{T^2 + 4 EI \mu \omega^2} \pm T}{2 EI},

which gives forces and moments at its ends for deflections and leans there, exactly. Put together,
the number of modes below a frequency is that of the sections clamped at both ends, plus the number
of negative eigenvalues of the whole: no mode can be missed (Wittrick and Williams 1971).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.outcome import Outcome
from strandwright.numerics.roots import newton_monotone
from strandwright.vibration.sounding_line import SoundingLine

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
#: Relative step of the frequency by which a slope is taken.
_STEP = 1e-6


@dataclass(frozen=True)
class _Sections:
    """Waves of every section at frequencies side by side, (cases, sections)."""

    a: Floats
    b: Floats
    long: Floats
    bending: Floats
    tension: Floats

    @property
    def faded(self) -> Floats:
        """How much of a bend at one end is left at the other."""
        return np.exp(-self.a * self.long)


def stiff_frequencies(line: SoundingLine, lowest: Floats) -> Outcome[Floats]:
    """Find the frequencies of a line that resists bending.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch, with bending stiffness.
    lowest : ndarray, shape (batch, modes)
        Angular frequencies of the same line without it, none of which are higher [rad/s]

    Returns
    -------
    Outcome of ndarray, shape (batch, modes)
        Angular frequencies [rad/s]; the residual is an eigenvalue over the largest [-].
    """
    line, count = _in_two(line), lowest.shape[1]
    case = np.repeat(np.arange(line.cases), count)
    order = np.tile(np.arange(1, count + 1), line.cases)
    low = lowest.ravel() * (1.0 - 1e-9)
    high = 1.05 * low
    for _ in range(60):
        short = _left(line, case, high, order) < 0.0
        if not np.any(short):
            break
        high = np.where(short, 1.3 * high, high)

    def past(omega: Floats) -> tuple[Floats, Floats]:
        here = _left(line, case, omega, order)
        step = _STEP * omega
        ahead = _left(line, case, omega + step, order)
        behind = _left(line, case, omega - step, order)
        return here, np.maximum((ahead - behind) / (2.0 * step), 1e-300)

    found = newton_monotone(past, 0.5 * (low + high), low, high, tol=1e-12 * high)
    return Outcome(
        found.value.reshape(lowest.shape), found.ok, found.reason, found.residual, found.iterations
    )


def stiff_shapes(line: SoundingLine, omega: Floats, at: Floats) -> Floats:
    """Give how a line that resists bending swings at its modes.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch, with bending stiffness.
    omega : ndarray, shape (batch, modes)
        Its angular frequencies [rad/s]
    at : ndarray, shape (places,)
        Places from the start [m]

    Returns
    -------
    ndarray, shape (batch, modes, places)
        Deflection, to any scale [-]
    """
    line = _in_two(line)
    case = np.repeat(np.arange(line.cases), omega.shape[1])
    waves = _waves(line, case, omega.ravel())
    matrix, kept = _whole(line, case, waves, omega.ravel())
    values, vectors = np.linalg.eigh(matrix)
    least = np.argmin(np.abs(values), axis=1)
    moved = np.zeros((len(case), 2 * (waves.a.shape[1] + 1)))
    moved[:, kept] = np.take_along_axis(vectors, least[:, None, None], axis=2)[..., 0]
    swing, edge = np.zeros((len(case), len(at))), np.zeros(len(case))
    last = waves.a.shape[1] - 1
    for i in range(last + 1):
        parts = np.linalg.solve(_ends(waves, i), moved[:, 2 * i : 2 * i + 4, None])
        along = at[None, :] - edge[:, None]
        here = (along >= 0.0) & ((along <= waves.long[:, i, None]) | (i == last))
        inside = np.clip(along, 0.0, waves.long[:, i, None])
        basis = _basis(waves, i, inside)
        swing = np.where(here, np.einsum("cpk,ck->cp", basis, parts[..., 0]), swing)
        edge = edge + waves.long[:, i]
    return swing.reshape(*omega.shape, len(at))


def _in_two(line: SoundingLine) -> SoundingLine:
    """Part a line of one section in two, so that something of it is free between its ends."""
    if line.length.shape[1] > 1:
        return line
    halves = (0.5 * line.length, line.mass_per_length, line.bending_stiffness)
    long, mass, bending = (np.repeat(v, 2, axis=1) for v in halves)
    return replace(
        line,
        length=long,
        mass_per_length=mass,
        bending_stiffness=bending,
        weight=np.zeros((line.cases, 1)),
        joint_spring=np.zeros((line.cases, 1)),
    )


def _left(line: SoundingLine, case: Rows, omega: Floats, order: Rows) -> Floats:
    """Minus the eigenvalue that passes zero at the mode of this order, over the largest.

    Below zero where the mode lies above the frequency.
    """
    waves = _waves(line, case, omega)
    matrix, _ = _whole(line, case, waves, omega)
    values = np.linalg.eigvalsh(matrix)
    index = order - 1 - _clamped_modes(waves)
    scale = np.abs(values).max(axis=1)
    inside = np.clip(index, 0, values.shape[1] - 1)
    found = -values[np.arange(len(values)), inside] / scale
    return np.where(index < 0, 1.0, np.where(index >= values.shape[1], -1.0, found))


def _waves(line: SoundingLine, case: Rows, omega: Floats) -> _Sections:
    bending, mass = line.bending_stiffness[case], line.mass_per_length[case]
    tension = line.tension[case][:, None]
    root = np.sqrt(tension**2 + 4.0 * bending * mass * omega[:, None] ** 2)
    a = np.sqrt((root + tension) / (2.0 * bending))
    # The difference of two near numbers, without losing their digits.
    b = omega[:, None] * np.sqrt(2.0 * mass / (root + tension))
    return _Sections(a, b, line.length[case], bending, np.broadcast_to(tension, a.shape))


def _basis(waves: _Sections, i: int, x: Floats) -> Floats:
    """The four waves of a section at places along it, (cases, places, 4)."""
    a, b, long = waves.a[:, i, None], waves.b[:, i, None], waves.long[:, i, None]
    parts = [np.exp(-a * x), np.exp(-a * (long - x)), np.cos(b * x), np.sin(b * x)]
    return np.stack(parts, axis=-1)


def _ends(waves: _Sections, i: int) -> Floats:
    """Deflection and lean at both ends of a section by its four waves, (cases, 4, 4)."""
    a, b, e = waves.a[:, i], waves.b[:, i], waves.faded[:, i]
    c, s = np.cos(b * waves.long[:, i]), np.sin(b * waves.long[:, i])
    one, none = np.ones_like(a), np.zeros_like(a)
    rows = [[one, e, one, none], [-a, a * e, none, b], [e, one, c, s], [-a * e, a, -b * s, b * c]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def _stiffness(waves: _Sections, i: int) -> Floats:
    """Forces and moments at both ends of a section by deflections and leans, (cases, 4, 4)."""
    a, b, e = waves.a[:, i], waves.b[:, i], waves.faded[:, i]
    c, s = np.cos(b * waves.long[:, i]), np.sin(b * waves.long[:, i])
    bending, tension = waves.bending[:, i, None, None], waves.tension[:, i, None, None]
    one, none = np.ones_like(a), np.zeros_like(a)
    first = [[-a, a * e, none, b], [-a * e, a, -b * s, b * c]]
    second = [[a**2, a**2 * e, -(b**2), none], [a**2 * e, a**2, -(b**2) * c, -(b**2) * s]]
    third = [[-(a**3), a**3 * e, none, -(b**3)], [-(a**3) * e, a**3, b**3 * s, -(b**3) * c]]
    slope, bend, shear = (
        np.stack([np.stack([one * v for v in row], axis=-1) for row in rows], axis=-2)
        for rows in (first, second, third)
    )
    across = bending * shear - tension * slope
    moment = bending * bend
    forces = np.stack([across[:, 0], -moment[:, 0], -across[:, 1], moment[:, 1]], axis=-2)
    matrix = np.swapaxes(
        np.linalg.solve(np.swapaxes(_ends(waves, i), 1, 2), np.swapaxes(forces, 1, 2)), 1, 2
    )
    return 0.5 * (matrix + np.swapaxes(matrix, 1, 2))


def _whole(line: SoundingLine, case: Rows, waves: _Sections, omega: Floats) -> tuple[Floats, Rows]:
    """Stiffness of the whole line at the frequencies, and which of its moves are free."""
    sections = waves.a.shape[1]
    size = 2 * (sections + 1)
    matrix = np.zeros((len(case), size, size))
    for i in range(sections):
        matrix[:, 2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += _stiffness(waves, i)
        if i < sections - 1:
            held_there = line.joint_spring[case, i] - line.weight[case, i] * omega**2
            matrix[:, 2 * i + 2, 2 * i + 2] += held_there
    spring = line.end_spring[case]
    held = np.zeros(size, dtype=bool)
    for end, at in ((0, 0), (1, size - 2)):
        fixed = bool(np.all(np.isinf(spring[:, end])))
        held[at], held[at + 1] = fixed, line.clamped[end]
        if not fixed:
            matrix[:, at, at] += np.where(np.isinf(spring[:, end]), _FIRM, spring[:, end])
    kept = np.flatnonzero(~held)
    return matrix[:, kept][:, :, kept], kept


#: Spring of a fixed end beside ends that give in other cases of a batch [N/m].
_FIRM = 1e13


def _clamped_modes(waves: _Sections) -> Rows:
    """How many modes below the frequencies all sections have, each clamped at both ends."""
    total = np.zeros(len(waves.a), dtype=np.intp)
    for i in range(waves.a.shape[1]):
        pinned = np.floor(waves.b[:, i] * waves.long[:, i] / np.pi).astype(np.intp)
        leans = _stiffness(waves, i)[:, 1::2, 1::2]
        total += pinned - np.sum(np.linalg.eigvalsh(leans) < 0.0, axis=1)
    return total
