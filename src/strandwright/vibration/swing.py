r"""Swing: how much higher a line sounds the further it swings.

Swinging aside makes a line longer, and its load rises with the square of the swing, twice in each
to and fro. A mode with shape w, mass :math:`M=\int\mu w^2` and :math:`G=\int w'^2` swings by

.. math:: M\ddot q + M\omega^2 q + \tfrac{1}{2} C G^2 q^3 = 0,

with C the force that stretches all of the line by a length: Duffing's equation, whose period is an
elliptic integral. The stretch is taken as even along the line, since it runs along it some ten
times as fast as the swing runs across.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.numerics.roots import newton_monotone
from strandwright.vibration.modes import Modes

Floats = NDArray[np.float64]
_ROUNDS = 8


def run_stiffness(
    length: ArrayLike, stretch_stiffness: ArrayLike, ends: ArrayLike = np.inf
) -> Floats:
    """Give the force that stretches a whole run of line by a length.

    Parameters
    ----------
    length : array_like, shape (sections,) or (batch, sections)
        Of all that is stretched along with the line: its sections, the legs of its loops, and
        what runs on past a roller [m]
    stretch_stiffness : array_like, () or (sections,) or (batch, sections)
        EA of each at its load; of two legs, both together, > 0 [N]
    ends : array_like, () or (batch,)
        Force along the line that bends both its ends together by a length, > 0 [N/m]

    Returns
    -------
    ndarray, shape () or (batch,)
        C of the run [N/m]
    """
    long, firm = np.asarray(length, np.float64), np.asarray(stretch_stiffness, np.float64)
    return np.asarray(1.0 / ((long / firm).sum(axis=-1) + 1.0 / np.asarray(ends, np.float64)))


def mode_rise(found: Modes, swing: ArrayLike, run: ArrayLike, *, whirls: bool = False) -> Floats:
    r"""Give how much higher each mode sounds, when it alone swings.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch, at small swings.
    swing : array_like, () or (modes,) or (batch, modes)
        How far the line goes to one side where it swings most, >= 0 [m]
    run : array_like, () or (batch,)
        Stiffness of the whole run, as :func:`run_stiffness` has it, > 0 [N/m]
    whirls : bool
        Whether it goes round in a circle of that radius, rather than to and fro.

    Returns
    -------
    ndarray, shape (batch, modes)
        Rise, as a share of the pitch [-]

    Notes
    -----
    For a bare line :math:`\frac{3}{32}\frac{EA}{T}(\pi a/L)^2` at small swings in its first mode,
    and :math:`\frac{4}{32}` in place of :math:`\frac{3}{32}` if it whirls. At any swing as Duffing
    has it, which is exact for a bare line. Other lines stray a little from their shape as
    they swing far: to be relied on to about 3 per cent of rise.
    """
    hardening = _hardening(found, run) * np.square(np.asarray(swing, np.float64))
    if whirls:
        return np.asarray(np.sqrt(1.0 + hardening) - 1.0)
    return _duffing(hardening) - 1.0


def swing_at_rise(
    found: Modes, share: ArrayLike, run: ArrayLike, *, whirls: bool = False
) -> Floats:
    """Give the swing at which each mode, by itself, sounds so much higher.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch, at small swings.
    share : array_like, () or (modes,) or (batch, modes)
        Rise, as a share of the pitch, 0 to 1 [-]
    run : array_like, () or (batch,)
        Stiffness of the whole run, > 0 [N/m]
    whirls : bool
        Whether it goes round in a circle, rather than to and fro.

    Returns
    -------
    ndarray, shape (batch, modes)
        How far it goes to one side where it swings most [m]
    """
    rise = np.broadcast_to(np.asarray(share, np.float64), found.frequency.shape)
    hardening = (1.0 + rise) ** 2 - 1.0
    if not whirls:
        flat = rise.ravel()

        def above(h: Floats) -> tuple[Floats, Floats]:
            return _duffing(h) - 1.0 - flat, 0.375 / (1.0 + 0.5 * h)

        start = 8.0 / 3.0 * flat
        root = newton_monotone(above, start, 0.0, 8.0 * flat + 4.0 * flat**2, tol=1e-13)
        hardening = root.raise_for_failure("the swing").value.reshape(rise.shape)
    return np.sqrt(hardening / _hardening(found, run))


def pitch_rise(found: Modes, swings: ArrayLike, run: ArrayLike) -> Floats:
    r"""Give how much higher each mode sounds while all of them swing at once.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch, at small swings.
    swings : array_like, (modes,) or (batch, modes)
        How far each goes to one side where it swings most; its sign is nothing [m]
    run : array_like, () or (batch,)
        Stiffness of the whole run, as :func:`run_stiffness` has it, > 0 [N/m]

    Returns
    -------
    ndarray, shape (batch, modes)
        Rise, as a share of the pitch, averaged over time [-]

    Notes
    -----
    To the first order in the squares of the swings; beyond, rise is less by about 0.6 times its
    square. With modes of mass 1 and :math:`G_{mn} = \int w_m' w_n'`,

    .. math:: \frac{\delta\omega_n}{\omega_n} = \frac{C}{4\omega_n^2}\Big[\tfrac34 G_{nn}^2 a_n^2 +
        \tfrac12 \sum_{m\ne n} (G_{nn} G_{mm} + 2 G_{nm}^2)\, a_m^2\Big].

    The stretch of all modes raises each; its own counts half as much again, since it is there
    just as the mode itself is far out.
    """
    waves = found.waves()
    meets = waves.products(1).sum(axis=-1)
    squares = np.square(np.asarray(swings, np.float64) / waves.largest())
    own = np.einsum("bmm->bm", meets)
    by = own[:, :, None] * own[:, None, :] + 2.0 * meets**2
    # On the diagonal that is 3 G^2: half of it is twice what the mode does to itself.
    by = by * (0.5 - 0.25 * np.eye(own.shape[1]))
    stretch = np.asarray(run, np.float64)[..., None]
    return 0.25 * stretch / waves.omega**2 * np.einsum("bnm,bm->bn", by, squares)


def _hardening(found: Modes, run: ArrayLike) -> Floats:
    """Force of the stretch over that of the mode itself, for a swing of one metre squared."""
    waves = found.waves()
    steep = waves.squares(1).sum(axis=-1)
    stretch = np.asarray(run, np.float64)[..., None]
    return 0.5 * stretch * steep**2 / waves.omega**2 / waves.largest() ** 2


def _duffing(hardening: Floats) -> Floats:
    """Frequency over that of small swings, pi sqrt(1 + h)/(2 K(m)) with m = h/(2 + 2 h)."""
    # K is pi/2 over the arithmetic-geometric mean of 1 and sqrt(1 - m).
    one, two = np.ones_like(hardening), np.sqrt((1.0 + 0.5 * hardening) / (1.0 + hardening))
    for _ in range(_ROUNDS):
        one, two = 0.5 * (one + two), np.sqrt(one * two)
    return np.sqrt(1.0 + hardening) * one
