"""A married splice: how long a tail must lie among the standing strands to hold.

The tail of a bundle comes back round a loop and is laid in with a standing bundle. At the throat
it carries a share of the tension *T* of the two together, at its tip nothing; on the way it hands
its tension over by friction. What lies on a curved path with curvature :math:`\\kappa` presses
with :math:`\\kappa` times its tension on a length: the tail with its own tension
(:math:`T_t = yT`), and the standing strands with theirs, of which the share **cover** passes
through the tail. So

.. math:: \\frac{dy}{dx} = -\\mu\\kappa\\,[\\,y + c\\,(1 - y)\\,], \\qquad y_\\mathrm{tip} = 0 .

The first part is the capstan, which alone never lets the tension end; the second ends it. Both
grow with the tension: dry friction holds at every load or at none, and only a factor can be
stated. Wax that sticks adds a shear for each length whatever the load.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.laid.lay import Lay
from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.outcome import Outcome, Reason
from strandwright.numerics.roots import newton_monotone

#: Share of a bundle's tension that a tail brings in: a loop's two legs carry half each [-]
LOOP_SHARE = 0.5
#: Most friction times turning looked at [-]
_MOST = 60.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)
_PLACES, _PARTS = 0.5 * (_NODES + 1.0), 0.5 * _WEIGHTS


def splice_grip(
    friction: ArrayLike, lay: Lay, own_rate: ArrayLike = 0.0, strand_radii: ArrayLike = 0.0
) -> FloatArray:
    """Friction times curvature of the strands in a married part.

    Parameters
    ----------
    friction : array_like
        Friction of strand on strand, waxed as they are [-]
    lay : Lay
        Lay of the married bundles, as thick as tail and standing strands together.
    own_rate : array_like
        Turns of a married bundle about its own axis over its length, either hand [turn/m]
    strand_radii : array_like
        Shape (n,) or scalar; radii of the strands about the bundle's axis [m]

    Returns
    -------
    ndarray
        Share of the tension handed over in a length, for a tail fully covered [1/m]

    Notes
    -----
    The bend of the lay stands and that of the bundle's own twist turns along the strand: their
    root mean square over a turn is taken.
    """
    radii = np.atleast_1d(np.asarray(strand_radii, dtype=float))
    steep = np.square(2.0 * np.pi * np.asarray(own_rate, dtype=float))[..., None]
    own = (steep * radii / (1.0 + steep * radii**2)).mean(axis=-1)
    return np.asarray(friction) * np.hypot(lay.curvature, own)


def splice_share(
    length: ArrayLike, grip: ArrayLike, cover: ArrayLike = 0.5, taper: ArrayLike = 1.0
) -> FloatArray:
    """Share of the tension of tail and standing strands that a tail can bring in.

    Parameters
    ----------
    length : array_like
        Length of the married part, along the bundle [m]
    grip : array_like
        Friction times curvature, of :func:`splice_grip` [1/m]
    cover : array_like
        Share of the standing strands' pressure that passes through the tail at the throat, about
        its share of the strands [-]
    taper : array_like
        How much of the tail has ended towards its tip: 0 all strands reach it, 1 they end one
        after the other along the married part [-]

    Returns
    -------
    ndarray
        Share; over 1/2 a loop holds, 1 is a factor of two on that [-]
    """
    turning = np.asarray(grip, dtype=float) * np.asarray(length, dtype=float)
    return _share(turning, np.asarray(cover, dtype=float), np.asarray(taper, dtype=float))[0]


def splice_length(
    grip: ArrayLike,
    factor: ArrayLike,
    cover: ArrayLike = 0.5,
    taper: ArrayLike = 1.0,
    share: ArrayLike = LOOP_SHARE,
) -> Outcome[FloatArray]:
    """Length of a married part that holds with a factor of safety, by friction alone.

    Parameters
    ----------
    grip : array_like
        Friction times curvature, of :func:`splice_grip` [1/m]
    factor : array_like
        Factor of safety on the tension brought in [-]
    cover : array_like
        Share of the standing strands' pressure that passes through the tail [-]
    taper : array_like
        How much of the tail has ended towards its tip [-]
    share : array_like
        Share of the tension that the tail brings in, a half at a loop [-]

    Returns
    -------
    Outcome
        Length along the bundle, infinite where nothing presses [m]; ``NO_BRACKET`` there and
        where the tail is not covered at all; residual is the share missed [-].
    """
    grip, factor, cover, taper, share = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (grip, factor, cover, taper, share))
    )
    needed = factor * share

    def miss(turning: FloatArray) -> tuple[FloatArray, FloatArray]:
        value, slope = _share(turning, cover, taper)
        return np.log1p(value) - np.log1p(needed), slope / (1.0 + value)

    found = newton_monotone(miss, 1.0, 0.0, _MOST)
    presses = found.ok & (grip > 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        length = np.where(presses, found.value / grip, np.inf)
    reason = Reason.NO_BRACKET if not bool(np.all(presses)) else found.reason
    missed = np.where(presses, found.residual, needed)
    return Outcome(length, presses, reason, missed, found.iterations)


def splice_hold(
    length: ArrayLike,
    grip: ArrayLike,
    stick: ArrayLike = 0.0,
    factor: ArrayLike = 1.0,
    cover: ArrayLike = 0.5,
    taper: ArrayLike = 1.0,
    share: ArrayLike = LOOP_SHARE,
) -> FloatArray:
    """Tension of tail and standing strands together up to which a splice holds.

    Parameters
    ----------
    length : array_like
        Length of the married part, along the bundle [m]
    grip : array_like
        Friction times curvature, of :func:`splice_grip` [1/m]
    stick : array_like
        Shear of wax over a length of the full tail, without pressure [N/m]
    factor : array_like
        Factor of safety on the tension brought in [-]
    cover : array_like
        Share of the standing strands' pressure that passes through the tail [-]
    taper : array_like
        How much of the tail has ended towards its tip [-]
    share : array_like
        Share of the tension that the tail brings in, a half at a loop [-]

    Returns
    -------
    ndarray
        Tension; infinite where friction alone holds at every load, 0 where nothing holds [N]
    """
    length, grip, cover, taper = (np.asarray(v, dtype=float) for v in (length, grip, cover, taper))
    turning = grip * length
    missing = np.asarray(factor) * np.asarray(share) - _share(turning, cover, taper)[0]
    growth = np.exp(turning[..., None] * _capstan(cover, taper))
    left = 1.0 - taper[..., None] * _PLACES
    stuck = np.asarray(stick) * length * ((left * growth) @ _PARTS)
    return np.where(missing > 0.0, stuck / np.where(missing > 0.0, missing, 1.0), np.inf)


def _capstan(cover: FloatArray, taper: FloatArray) -> FloatArray:
    """Exponent by which friction under the tail's own tension multiplies, from throat to place."""
    cover, taper = cover[..., None], taper[..., None]
    return (1.0 - cover) * _PLACES + 0.5 * cover * taper * _PLACES**2


def _share(
    turning: FloatArray, cover: FloatArray, taper: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Share that a tail can bring in, and its slope with friction times turning."""
    exponent = _capstan(cover, taper)
    covered = cover[..., None] * (1.0 - taper[..., None] * _PLACES)
    here = covered * np.exp(turning[..., None] * exponent)
    value = here @ _PARTS
    return turning * value, value + turning * ((here * exponent) @ _PARTS)
