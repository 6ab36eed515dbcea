"""Evenness: how strands of unequal length share a load.

Posts that give while winding leave the first strands longer than the last. Under load all are
drawn to one length, so the short ones carry more; at a low load the long ones may hang slack.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.strand_law import FloatArray


@dataclass(frozen=True)
class SharedLoad:
    """Parallel strands of unequal natural length under one load.

    Attributes
    ----------
    length : ndarray
        Shape (...); the length to which all are drawn [m]
    tensions : ndarray
        Shape (..., n); tension of each strand, in the order given; 0 where slack [N]
    """

    length: FloatArray
    tensions: FloatArray

    @property
    def slack_count(self) -> FloatArray:
        """Number of strands that carry nothing; shape (...) [-]."""
        return (self.tensions <= 0.0).sum(axis=-1)

    @property
    def greatest(self) -> FloatArray:
        """Largest tension over the mean tension; shape (...), 1 when all are even [-]."""
        return self.tensions.max(axis=-1) / self.tensions.mean(axis=-1)


def tension_deviation(
    length_deviation: ArrayLike,
    mean_length: ArrayLike,
    strand_stiffness: ArrayLike,
    mean_tension: ArrayLike,
) -> FloatArray:
    """How much more than the mean a strand carries because it is shorter than the mean.

    .. math:: \\frac{T_i}{\\bar T} - 1 = -\\frac{EA\\,(\\ell_i - \\bar\\ell)}{\\bar\\ell\\,\\bar T}

    Parameters
    ----------
    length_deviation : array_like
        Natural length of the strand less the mean; positive when it is longer [m]
    mean_length : array_like
        Mean natural length, > 0 [m]
    strand_stiffness : array_like
        EA of one strand [N]
    mean_tension : array_like
        Load over the number of strands, > 0 [N]

    Returns
    -------
    ndarray
        Tension over the mean tension, less 1; negative for a long strand, -1 slack [-]

    Notes
    -----
    Linear law, every strand taut, small deviations; :func:`share_load` where some are slack.
    """
    strain = np.asarray(length_deviation) / np.asarray(mean_length)
    return -np.asarray(strand_stiffness) * strain / np.asarray(mean_tension)


def share_load(
    natural_lengths: ArrayLike, strand_stiffness: ArrayLike, load: ArrayLike
) -> SharedLoad:
    """Share a load among parallel strands that pull and never push.

    Solves the sum over strands of EA max(0, x / l_i - 1) = F for the common length x: with the
    k shortest taut x = (F / EA + k) / sum(1 / l_i), and k is the first for which the next
    strand is not reached.

    Parameters
    ----------
    natural_lengths : array_like
        Shape (..., n); natural length of each strand, > 0 [m]
    strand_stiffness : array_like
        Shape (...); EA of one strand, the same for all [N]
    load : array_like
        Shape (...); load on all of them, > 0 [N]

    Returns
    -------
    SharedLoad
        Length and tensions.

    Notes
    -----
    Linear law, straight strands, no friction between them and none at the ends: what winding
    alone leaves. Burnishing and slip round the posts even it out.
    """
    natural = np.asarray(natural_lengths, dtype=float)
    per_stiffness = np.asarray(load, dtype=float) / np.asarray(strand_stiffness)
    ordered = np.sort(natural, axis=-1)
    taut = np.arange(1, natural.shape[-1] + 1)
    drawn = (per_stiffness[..., None] + taut) / np.cumsum(1.0 / ordered, axis=-1)
    following = np.concatenate(
        [ordered[..., 1:], np.full((*natural.shape[:-1], 1), np.inf)], axis=-1
    )
    first = np.argmax(drawn <= following, axis=-1)
    length = np.take_along_axis(drawn, first[..., None], axis=-1)[..., 0]
    strain = length[..., None] / natural - 1.0
    tensions = np.asarray(strand_stiffness)[..., None] * np.maximum(strain, 0.0)
    return SharedLoad(length=length, tensions=tensions)


def wound_lengths(mean_length: ArrayLike, spread: ArrayLike, strands: int) -> FloatArray:
    """Natural lengths of strands that a give of the posts has spread evenly.

    Parameters
    ----------
    mean_length : array_like
        Shape (...); mean natural length [m]
    spread : array_like
        Shape (...); natural length of the first strand less the last, over the mean [-]
    strands : int
        Number of strands, >= 1 [-]

    Returns
    -------
    ndarray
        Shape (..., n); from the first laid, the longest, to the last [m]
    """
    along = np.linspace(0.5, -0.5, strands) if strands > 1 else np.zeros(1)
    return np.asarray(mean_length)[..., None] * (1.0 + np.asarray(spread)[..., None] * along)


def capstan_ratio(friction: ArrayLike, wrap_angle: ArrayLike) -> FloatArray:
    """Greatest ratio of the tensions on two sides of a post, before the strand slips round it.

    .. math:: T_2 / T_1 = e^{\\mu\\theta}

    Parameters
    ----------
    friction : array_like
        Coefficient of friction of strand and post [-]
    wrap_angle : array_like
        Angle of contact, pi for a strand that turns back [rad]

    Returns
    -------
    ndarray
        Ratio, >= 1 [-]

    Notes
    -----
    Up to this ratio unequal passes stay unequal until the skein is burnished. For a flexible
    strand and a constant coefficient; over thin rods of a few strand diameters measured ratios
    are larger.

    References
    ----------
    .. [1] L. Euler, Remarques sur l'effet du frottement dans l'equilibre, Memoires de
       l'academie des sciences de Berlin 18 (1769) 265-278.
    """
    return np.exp(np.asarray(friction, dtype=float) * np.asarray(wrap_angle, dtype=float))
