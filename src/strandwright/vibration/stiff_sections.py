r"""Sections that resist bending: their waves and their exact stiffness at a frequency.

Between two places the swing is made of :math:`e^{-ax}`, :math:`e^{-a(l-x)}`, :math:`\cos bx`
and :math:`\sin bx`,

.. math:: a^2, b^2 = \frac{\sqrt{T^2 + 4 EI \mu \omega^2} \pm T}{2 EI},

which gives forces and moments at its ends for deflections and leans there in closed form (Howson
and Williams, Journal of Sound and Vibration 26 (1973), have those of a bar that is pressed).
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sounding_line import SoundingLine

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
#: Square of the waves' phase under which a section is short; a cubic is then right to 1e-9 of it.
_SHORT = 2e-3


@dataclass(frozen=True)
class Waves:
    """Waves of every section at frequencies side by side.

    Attributes
    ----------
    fading : ndarray, shape (rows, sections)
        How fast a bend fades from an end, a [1/m].
    turning : ndarray, shape (rows, sections)
        How fast a wave turns along a section, b [rad/m].
    long : ndarray, shape (rows, sections)
        Length [m].
    bending : ndarray, shape (rows, sections)
        EI [N m^2].
    """

    fading: Floats
    turning: Floats
    long: Floats
    bending: Floats

    @property
    def faded(self) -> Floats:
        """How much of a bend at one end is left at the other [-]."""
        return np.exp(-self.fading * self.long)


def section_waves(line: SoundingLine, case: Rows, omega: Floats) -> Waves:
    """Give the waves of every section.

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
    Waves
        Of each row's sections.
    """
    bending, mass = line.bending_stiffness[case], line.mass_per_length[case]
    tension = line.tension[case][:, None]
    root = np.sqrt(tension**2 + 4.0 * bending * mass * omega[:, None] ** 2)
    a = np.sqrt((root + tension) / (2.0 * bending))
    # The difference of two near numbers, without losing their digits.
    b = omega[:, None] * np.sqrt(2.0 * mass / (root + tension))
    return Waves(a, b, line.length[case], bending)


@dataclass(frozen=True)
class Stiffness:
    """Forces and moments at both ends of each section for deflections w and leans t there.

    Those of the start by its own w and t are ``across, turn; turn, lean`` and by the far end's
    ``far, over; -over, carry``; the far end's own are ``across, -turn; -turn, lean``.

    Attributes
    ----------
    across, turn, lean : ndarray, shape (rows, sections)
        Of an end by itself [N/m], [N], [N m].
    far, over, carry : ndarray, shape (rows, sections)
        Of an end by the other [N/m], [N], [N m].
    """

    across: Floats
    turn: Floats
    lean: Floats
    far: Floats
    over: Floats
    carry: Floats


def section_stiffness(waves: Waves) -> Stiffness:
    """Give the stiffness of every section at its frequency.

    Parameters
    ----------
    waves : Waves
        Of the sections.

    Returns
    -------
    Stiffness
        In closed form; what grows with the length is taken over its exponential.
    """
    a, b, e = waves.fading, waves.turning, waves.faded
    c, s = np.cos(b * waves.long), np.sin(b * waves.long)
    cosh, sinh = 0.5 * (1.0 + e * e), -0.5 * np.expm1(-2.0 * a * waves.long)
    apart, both, product = a * a - b * b, a * a + b * b, a * b
    closed = e - cosh * c
    short = both * waves.long**2 < _SHORT
    whole = 2.0 * product * closed + apart * sinh * s
    each = waves.bending / np.where(short, 1.0, whole)
    exact = Stiffness(
        across=each * product * both * (a * sinh * c + b * cosh * s),
        turn=each * product * (2.0 * product * sinh * s - apart * closed),
        lean=each * both * (a * cosh * s - b * sinh * c),
        far=-each * product * both * (a * sinh + b * e * s),
        over=each * product * both * (cosh - e * c),
        carry=each * both * (b * sinh - a * e * s),
    )
    if not np.any(short):
        return exact
    near = _short_stiffness(waves)
    return Stiffness(
        *(np.where(short, getattr(near, f.name), getattr(exact, f.name)) for f in fields(near))
    )


def _short_stiffness(waves: Waves) -> Stiffness:
    """Of sections so short that the closed form loses its digits: bent by a cubic."""
    bending, long = waves.bending, waves.long
    pull = bending * (waves.fading**2 - waves.turning**2)
    heavy = bending * (waves.fading * waves.turning) ** 2 * long / 420.0
    return Stiffness(
        across=12.0 * bending / long**3 + 1.2 * pull / long - 156.0 * heavy,
        turn=6.0 * bending / long**2 + 0.1 * pull - 22.0 * heavy * long,
        lean=4.0 * bending / long + 2.0 * pull * long / 15.0 - 4.0 * heavy * long**2,
        far=-12.0 * bending / long**3 - 1.2 * pull / long - 54.0 * heavy,
        over=6.0 * bending / long**2 + 0.1 * pull + 13.0 * heavy * long,
        carry=2.0 * bending / long - pull * long / 30.0 + 3.0 * heavy * long**2,
    )


def clamped_modes(waves: Waves, stiffness: Stiffness) -> Rows:
    """Count the modes below its frequency that the sections have, each clamped at both ends.

    Parameters
    ----------
    waves : Waves
        Of the sections.
    stiffness : Stiffness
        Of the sections.

    Returns
    -------
    ndarray of int, shape (rows,)
        Those of all sections of a row [-]

    Notes
    -----
    A section free to lean at both ends has floor(b l / pi); each lean that would push it over
    takes one away.
    """
    pinned = np.floor(waves.turning * waves.long / np.pi).astype(np.intp)
    alike, against = stiffness.lean + stiffness.carry, stiffness.lean - stiffness.carry
    return np.asarray((pinned - (alike < 0.0) - (against < 0.0)).sum(axis=1))


def end_moves(waves: Waves, i: int) -> Floats:
    """Deflection and lean at both ends of a section by its four waves.

    Parameters
    ----------
    waves : Waves
        Of the sections.
    i : int
        Which section [-]

    Returns
    -------
    ndarray, shape (rows, 4, 4)
        Rows: deflection [m] and lean at the start, then at the end; columns: waves of size 1 [-]
    """
    a, b, e = waves.fading[:, i], waves.turning[:, i], waves.faded[:, i]
    c, s = np.cos(b * waves.long[:, i]), np.sin(b * waves.long[:, i])
    one, none = np.ones_like(a), np.zeros_like(a)
    rows = [[one, e, one, none], [-a, a * e, none, b], [e, one, c, s], [-a * e, a, -b * s, b * c]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
