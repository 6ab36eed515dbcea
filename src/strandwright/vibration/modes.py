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
from strandwright.vibration.mode_waves import ModeWaves, mode_waves
from strandwright.vibration.phases import whole_phase
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_modes import stiff_frequencies

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

    def waves(self) -> ModeWaves:
        """Give how the line swings at each mode, in closed form.

        Returns
        -------
        ModeWaves
            To such a scale that the mass of each mode is one.
        """
        return mode_waves(self.line, self.frequency).scaled()

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
        swing = self.waves().at(np.asarray(at, dtype=np.float64))
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
        without bending stiffness [rad], or the last step as a share of the frequency [-].

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
        phase, slope = whole_phase(line, case, omega)
        return phase - np.pi * order, slope

    found = newton_monotone(past, start, 1e-9 * most, most * (1.0 + 1e-12), tol=1e-13 * most)
    shape = (line.cases, count)
    return Outcome(
        found.value.reshape(shape), found.ok, found.reason, found.residual, found.iterations
    )
