r"""Phases: how far a sine has gone from end to end of a line that does not resist bending.

The swing along a section is a sine whose phase grows by :math:`k l`; at a weight, at a spring or
where sections meet only the ratio of deflection to slope is changed. Deflection is continuous, so
the sine's size follows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sounding_line import SoundingLine

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]


@dataclass(frozen=True)
class Sines:
    """The sine of each section at frequencies side by side.

    Attributes
    ----------
    size : ndarray, shape (rows, sections)
        Of its swing, 1 in the first [-].
    phase : ndarray, shape (rows, sections)
        Where a section begins [rad].
    number : ndarray, shape (rows, sections)
        Phase that it gains for each length [rad/m].
    """

    size: Floats
    phase: Floats
    number: Floats


def whole_phase(line: SoundingLine, case: Rows, omega: Floats) -> tuple[Floats, Floats]:
    """Phase from end to end of a line, and how fast it grows with the frequency.

    Parameters
    ----------
    line : SoundingLine
        A batch of lines.
    case : ndarray, shape (rows,)
        Which of them each row is about [-]
    omega : ndarray, shape (rows,)
        Angular frequency, > 0 [rad/s]

    Returns
    -------
    (ndarray, ndarray), shape (rows,)
        Phase [rad] and slope [s]
    """
    tension = line.tension[case]
    per_omega = np.sqrt(line.mass_per_length[case] / tension[:, None])
    phase, slope = _end(line.end_spring[case, 0], tension * per_omega[:, 0], omega)
    for i in range(line.length.shape[1]):
        phase = phase + omega * per_omega[:, i] * line.length[case, i]
        slope = slope + per_omega[:, i] * line.length[case, i]
        if i < line.length.shape[1] - 1:
            held = _held(line, case, i, omega, tension * per_omega[:, i])
            phase, slope = _weighed(phase, slope, *held)
            phase, slope = _joined(phase, slope, per_omega[:, i + 1] / per_omega[:, i])
    last, by = _end(line.end_spring[case, 1], tension * per_omega[:, -1], omega)
    return phase + last, slope + by


def sines(line: SoundingLine, case: Rows, omega: Floats) -> Sines:
    """Give the sine of every section, from the start on.

    Parameters
    ----------
    line : SoundingLine
        A batch of lines.
    case : ndarray, shape (rows,)
        Which of them each row is about [-]
    omega : ndarray, shape (rows,)
        Angular frequency, > 0 [rad/s]

    Returns
    -------
    Sines
        Size, phase and wave number of each section.
    """
    tension = line.tension[case]
    per_omega = np.sqrt(line.mass_per_length[case] / tension[:, None])
    phase, _ = _end(line.end_spring[case, 0], tension * per_omega[:, 0], omega)
    size, none = np.ones_like(omega), np.zeros_like(omega)
    sizes, phases = [size], [phase]
    for i in range(line.length.shape[1] - 1):
        phase = phase + omega * per_omega[:, i] * line.length[case, i]
        q, by = _held(line, case, i, omega, tension * per_omega[:, i])
        c, s = np.cos(phase), np.sin(phase)
        size = size * np.hypot(s, c - q * s)
        phase, _ = _weighed(phase, none, q, by)
        ratio = per_omega[:, i + 1] / per_omega[:, i]
        c, s = np.cos(phase), np.sin(phase)
        size = size * np.hypot(s, c / ratio)
        phase, _ = _joined(phase, none, ratio)
        sizes.append(size)
        phases.append(phase)
    number = omega[:, None] * per_omega
    return Sines(np.stack(sizes, axis=1), np.stack(phases, axis=1), number)


def _end(spring: Floats, per_omega: Floats, omega: Floats) -> tuple[Floats, Floats]:
    """Phase that an end's giving way is worth."""
    give = per_omega / spring
    return np.arctan(give * omega), give / (1.0 + (give * omega) ** 2)


def _held(
    line: SoundingLine, case: Rows, i: int, omega: Floats, per_omega: Floats
) -> tuple[Floats, Floats]:
    """What the weight and the spring after a section take off the cotangent, and its slope."""
    heavy = line.weight[case, i] / per_omega
    firm = line.joint_spring[case, i] / (per_omega * omega)
    return heavy * omega - firm, heavy + firm / omega


def _weighed(phase: Floats, slope: Floats, q: Floats, by: Floats) -> tuple[Floats, Floats]:
    """Phase past a weight or a spring."""
    c, s = np.cos(phase), np.sin(phase)
    after = (c - q * s) ** 2 + s * s
    turned = phase + np.arctan2(q * s * s, 1.0 - q * s * c)
    return turned, (slope + by * s * s) / after


def _joined(phase: Floats, slope: Floats, ratio: Floats) -> tuple[Floats, Floats]:
    """Phase past the place where a section meets the next."""
    c, s = np.cos(phase), np.sin(phase)
    turned = phase + np.arctan2((ratio - 1.0) * s * c, c * c + ratio * s * s)
    return turned, slope * ratio / (c * c + (ratio * s) ** 2)
