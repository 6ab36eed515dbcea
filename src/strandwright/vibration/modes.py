r"""Modes: the frequencies a taut line sounds at, and how it swings at each.

For a line without bending stiffness the swing along a section is a sine whose phase
:math:`\varphi` grows by :math:`k l`, with :math:`k = \omega\sqrt{\mu/T}`; at a weight or where
sections meet, only the ratio of deflection to slope is changed, with K the spring there:

.. math:: \tan\varphi_+ = (k_+/k_-) \tan\varphi_-, \qquad
    \cot\varphi_+ = \cot\varphi_- - (\omega M - K/\omega)/\sqrt{T\mu}.

The whole phase from end to end grows with the frequency, and is :math:`n\pi` at the n-th mode:
no mode can be missed. Lines that resist bending are in :mod:`strandwright.vibration.stiff_modes`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import SpecError
from strandwright.numerics.outcome import Outcome
from strandwright.numerics.roots import newton_monotone
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_modes import stiff_frequencies, stiff_shapes

Floats = NDArray[np.float64]
#: Most modes that are looked for.
_MOST = 200


@dataclass(frozen=True)
class Modes:
    """The lowest modes of a line.

    Attributes
    ----------
    line : SoundingLine
        The line.
    frequency : ndarray, shape (batch, modes)
        In rising order [Hz].
    """

    line: SoundingLine
    frequency: Floats

    def shapes(self, at: ArrayLike) -> Floats:
        """Give how the line swings at each mode.

        Parameters
        ----------
        at : array_like, shape (places,)
            Places from the start, 0 to the line's length [m]

        Returns
        -------
        ndarray, shape (batch, modes, places)
            Deflection, over the largest of these places; over zero at the first [-]
        """
        places = np.asarray(at, dtype=np.float64)
        omega = 2.0 * np.pi * self.frequency
        found = stiff_shapes if self.line.stiff else _shapes
        swing = found(self.line, omega, places)
        largest = np.take_along_axis(swing, np.argmax(np.abs(swing), axis=-1)[..., None], axis=-1)
        first = np.argmax(np.abs(swing) > 1e-6 * np.abs(largest), axis=-1)[..., None]
        sign = np.sign(np.take_along_axis(swing, first, axis=-1))
        return sign * swing / np.abs(largest)


def modes(line: SoundingLine, count: int) -> Outcome[Modes]:
    """Find the lowest modes of a line.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch.
    count : int
        How many modes, 1 to 200 [-]

    Returns
    -------
    Outcome of Modes
        Frequencies to 1e-10 of themselves; the residual is the largest phase left, for lines
        without bending stiffness [rad], or the stiffness left over the largest [-].

    Raises
    ------
    SpecError
        If the count is out of its range.

    Notes
    -----
    H. Wittrick and F. W. Williams, Quarterly Journal of Mechanics and Applied Mathematics 24
    (1971), for counting the modes of lines that resist bending.
    """
    if not 1 <= count <= _MOST:
        rule = f"must be a whole number from 1 to {_MOST}"
        raise SpecError("modes.count", count, rule, "ask for fewer")
    found = _phase_frequencies(line, count)
    if line.stiff:
        found = stiff_frequencies(line, found.value)
    omega, shape = found.value, (line.cases, count)
    frequency = omega / (2.0 * np.pi)
    ok = np.asarray(found.ok.reshape(shape).all(axis=1))
    residual = np.abs(found.residual).reshape(shape).max(axis=1)
    return Outcome(Modes(line, frequency), ok, found.reason, residual, found.iterations)


def _phase_frequencies(line: SoundingLine, count: int) -> Outcome[Floats]:
    """Angular frequencies of the line as if it did not resist bending, (batch, modes)."""
    order = np.tile(np.arange(1, count + 1), line.cases)
    case = np.repeat(np.arange(line.cases), count)
    # No part of the line is lighter than its lightest, no end firmer than fixed, and each spring
    # between them lifts a mode no higher than the next.
    quickest = np.sqrt(line.tension / line.mass_per_length.min(axis=1))
    lifted = order + np.count_nonzero(line.joint_spring, axis=1)[case]
    most = (quickest / line.length.sum(axis=1))[case] * np.pi * lifted
    swept = (line.length * np.sqrt(line.mass_per_length / line.tension[:, None])).sum(axis=1)
    start = np.pi * order / swept[case]

    def past(omega: Floats) -> tuple[Floats, Floats]:
        phase, slope = _phase(line, case, omega)
        return phase - np.pi * order, slope

    found = newton_monotone(past, start, 1e-9 * most, most * (1.0 + 1e-12), tol=1e-13 * most)
    shape = (line.cases, count)
    return Outcome(
        found.value.reshape(shape), found.ok, found.reason, found.residual, found.iterations
    )


def _phase(line: SoundingLine, case: NDArray[np.intp], omega: Floats) -> tuple[Floats, Floats]:
    """Phase from end to end and its slope, for cases and frequencies side by side."""
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


def _end(spring: Floats, per_omega: Floats, omega: Floats) -> tuple[Floats, Floats]:
    """Phase that an end's giving way is worth."""
    give = per_omega / spring
    return np.arctan(give * omega), give / (1.0 + (give * omega) ** 2)


def _held(
    line: SoundingLine, case: NDArray[np.intp], i: int, omega: Floats, per_omega: Floats
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


def _shapes(line: SoundingLine, omega: Floats, at: Floats) -> Floats:
    """Deflection of a line without bending stiffness, (batch, modes, places)."""
    count = omega.shape[1]
    case = np.repeat(np.arange(line.cases), count)
    flat = omega.ravel()
    tension = line.tension[case]
    per_omega = np.sqrt(line.mass_per_length[case] / tension[:, None])
    phase, _ = _end(line.end_spring[case, 0], tension * per_omega[:, 0], flat)
    swing, size = np.zeros((len(flat), len(at))), np.ones(len(flat))
    edge = np.zeros(len(flat))
    last = line.length.shape[1] - 1
    for i in range(last + 1):
        k = flat * per_omega[:, i]
        along = at[None, :] - edge[:, None]
        here = (along >= 0.0) & ((along <= line.length[case, i, None]) | (i == last))
        swing = np.where(here, size[:, None] * np.sin(phase[:, None] + k[:, None] * along), swing)
        phase, edge = phase + k * line.length[case, i], edge + line.length[case, i]
        if i < last:
            q, by = _held(line, case, i, flat, tension * per_omega[:, i])
            c, s = np.cos(phase), np.sin(phase)
            size = size * np.hypot(s, c - q * s)
            phase, _ = _weighed(phase, 0.0 * flat, q, by)
            ratio = per_omega[:, i + 1] / per_omega[:, i]
            c, s = np.cos(phase), np.sin(phase)
            size = size * np.hypot(s, c / ratio)
            phase, _ = _joined(phase, 0.0 * flat, ratio)
    return swing.reshape(line.cases, count, len(at))
