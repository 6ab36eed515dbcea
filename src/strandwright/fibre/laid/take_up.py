"""Take-up of lay: what one more turn does to a laid rope, and to an endless skein beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.equilibrium import held_ends
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import span_length
from strandwright.numerics.outcome import Outcome


@dataclass(frozen=True)
class TurnEffect:
    """What turns put in at an end do at a load.

    Attributes
    ----------
    length : ndarray
        Shape (...); length of the rope before [m]
    change : ndarray
        Shape (...); change of its length, negative where it gets shorter [m]
    endless : ndarray
        Shape (...); change of one bundle of all the strands with as many turns as the rope has
        of lay [m]
    """

    length: FloatArray
    change: FloatArray
    endless: FloatArray

    @property
    def ratio(self) -> FloatArray:
        """Change of the laid rope over that of the endless skein, shape (...) [-]."""
        return self.change / self.endless


def more_turns(
    load: ArrayLike,
    natural: ArrayLike,
    lay_turns: ArrayLike,
    hand_turns: ArrayLike,
    bundles: LaidBundles,
    more: ArrayLike = 1.0,
) -> Outcome[TurnEffect]:
    """What some more turns of lay do at a load, the turns by hand held.

    Parameters
    ----------
    load : array_like
        Pull along the rope, > 0 [N]
    natural : array_like
        Natural length of the strands in the span [m]
    lay_turns : array_like
        Turns of lay before, positive Z [turn]
    hand_turns : array_like
        Turns of each bundle by hand, positive Z [turn]
    bundles : LaidBundles
        The bundles.
    more : array_like
        Turns put in, positive Z [turn]

    Returns
    -------
    Outcome
        The effect; failed where the rope jams before or after.

    Notes
    -----
    To the second order in the turns the rope shortens with
    :math:`(2\\pi)^2 (N a^2 + N_\\mathrm{own}\\overline{\\rho^2})/L` a turn. Without turns by hand
    that is 3/2 of what the endless skein does for two bundles, 11/9 for three. In a rope free of
    torque the two parts cancel, and a turn changes next to nothing.
    """
    before = held_ends(load, natural, lay_turns, hand_turns, bundles)
    lay = before.value.lay_turns
    after = held_ends(load, natural, lay + np.asarray(more), hand_turns, bundles)
    radius, strands = bundles.together()
    skein, turned = (
        span_length(load, natural, turns, radius, strands).length
        for turns in (lay, lay + np.asarray(more))
    )
    length = before.value.length
    effect = TurnEffect(length, after.value.length - length, turned - skein)
    worse = after if not bool(np.all(after.ok)) else before
    return Outcome(
        effect,
        before.ok & after.ok,
        worse.reason,
        worse.residual,
        max(before.iterations, after.iterations),
    )


def small_lay_take_up(
    lay_turns: ArrayLike, hand_turns: ArrayLike, length: ArrayLike, bundles: LaidBundles
) -> FloatArray:
    """Take-up of a laid rope for small angles and shared load, in closed form.

    Parameters
    ----------
    lay_turns : array_like
        Turns of lay, positive Z [turn]
    hand_turns : array_like
        Turns of each bundle by hand, positive Z [turn]
    length : array_like
        Length of the strands side by side [m]
    bundles : LaidBundles
        The bundles.

    Returns
    -------
    ndarray
        Strand length less rope length, half the mean squared angle of the strands over it [m]
    """
    lay, hand = np.asarray(lay_turns, dtype=float), np.asarray(hand_turns, dtype=float)
    square = lay**2 * bundles.helix_square + (lay + hand) ** 2 * bundles.strand_square
    return 2.0 * np.pi**2 * square / np.asarray(length)
