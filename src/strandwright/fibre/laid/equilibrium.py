"""Equilibrium of a laid rope: with held ends under a load, and free of torque as made by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.rope import LaidSpan, rope_at
from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.numerics.outcome import Outcome, Reason
from strandwright.numerics.roots import newton_monotone

#: Step of a numeric slope, relative to the length
_STEP = 1e-6
#: Step of a numeric slope [turn]
_TURN = 1e-4
#: Most lay looked at, over the turns by hand that it is to balance [-]
_OVER = 1.3
#: Shortest rope looked at, over its natural length [-]
_SHORTEST = 0.2
#: Nearest that bundles are looked at to lying flat round the axis, as a share of that winding [-]
_NEAR = 0.97
#: Strain over that at break that still counts as whole [-]
_BREAK = 1.0 + 1e-9


def held_ends(
    load: ArrayLike,
    natural: ArrayLike,
    lay_turns: ArrayLike,
    hand_turns: ArrayLike,
    bundles: LaidBundles,
) -> Outcome[LaidSpan]:
    """A laid rope whose ends hold all turns, under a load.

    Parameters
    ----------
    load : array_like
        Pull along the rope, > 0 [N]
    natural : array_like
        Natural length of the strands in the span [m]
    lay_turns : array_like
        Turns of lay, positive Z [turn]
    hand_turns : array_like
        Turns of each bundle by hand, positive Z [turn]
    bundles : LaidBundles
        The bundles.

    Returns
    -------
    Outcome
        The span; residual is the pull over the load [N]. ``NO_BRACKET`` where strands break:
        the turns do not go into bundles of that length, or the load is over what they carry.
    """
    load, natural, lay, hand = bundles.broadcast(load, natural, lay_turns, hand_turns)
    lower, upper = _bracket(natural, lay, bundles)
    start = _start(load, natural, lay, hand, bundles)
    # Over the top of their law the strands have no length of their own to begin from.
    start = np.where(np.isfinite(start), start, upper)

    def miss(length: FloatArray) -> tuple[FloatArray, FloatArray]:
        near = np.stack([length, length * (1.0 - _STEP), length * (1.0 + _STEP)])
        pull = rope_at(near, natural, lay, hand, bundles).load
        return pull[0] - load, (pull[2] - pull[1]) / (2.0 * _STEP * length)

    found = newton_monotone(miss, start, lower, upper, 1e-14 * natural)
    span = rope_at(found.value, natural, lay, hand, bundles)
    whole = span.bundle.strains.max(axis=-1) <= bundles.strands.break_strain * _BREAK
    return _with(found, span, whole)


def balanced_lay(
    load: ArrayLike, natural: ArrayLike, hand_turns: ArrayLike, bundles: LaidBundles
) -> Outcome[LaidSpan]:
    """The lay that turns by hand balance: a rope that needs no torque, as made by hand.

    Parameters
    ----------
    load : array_like
        Pull along the rope while it is laid, > 0 [N]
    natural : array_like
        Natural length of the strands in the span [m]
    hand_turns : array_like
        Turns of each bundle by hand, positive Z [turn]
    bundles : LaidBundles
        The bundles.

    Returns
    -------
    Outcome
        The span with its turns of lay, of the other hand than those by hand; residual is the
        torque [N m].

    Notes
    -----
    For small angles and shared load :math:`N = -N_h\\,\\overline{\\rho^2}/(a^2 +
    \\overline{\\rho^2})`: a third of the turns by hand for two bundles, three elevenths for
    three. No friction; a rope made with friction stops short of it.
    """
    load, natural, hand = bundles.broadcast(load, natural, hand_turns)
    own = bundles.strand_square
    start, far = -hand * own / (bundles.helix_square + own), -_OVER * hand

    def miss(lay: FloatArray) -> tuple[FloatArray, FloatArray]:
        near = np.stack([lay, lay - _TURN, lay + _TURN])
        torque = held_ends(load, natural, near, hand, bundles).value.torque
        return torque[0], (torque[2] - torque[1]) / (2.0 * _TURN)

    low, high = np.minimum(far, 0.0), np.maximum(far, 0.0)
    found = newton_monotone(miss, start, low, high, 1e-10)
    held = held_ends(load, natural, found.value, hand, bundles)
    return _with(found, held.value, held.ok, held.reason)


def axial_stiffness(span: LaidSpan, bundles: LaidBundles) -> FloatArray:
    """Stiffness of a laid rope with held ends: load for its own length of stretch.

    Parameters
    ----------
    span : LaidSpan
        The rope under its load.
    bundles : LaidBundles
        Its bundles.

    Returns
    -------
    ndarray
        Slope of the load with the logarithm of the length, lay contraction and all [N]
    """
    return _log_slope(
        lambda length: rope_at(length, span.natural, span.lay_turns, span.hand_turns, bundles).load,
        span.length,
    )


def _log_slope(function: Callable[[FloatArray], FloatArray], at: FloatArray) -> FloatArray:
    """Slope with the logarithm, by central differences."""
    near = np.stack([at * (1.0 - _STEP), at * (1.0 + _STEP)])
    values = function(near)
    return (values[1] - values[0]) / (2.0 * _STEP)


def _bracket(
    natural: FloatArray, lay: FloatArray, bundles: LaidBundles
) -> tuple[FloatArray, FloatArray]:
    """Lengths between which a pulled rope lies.

    Below the shorter one the lay pushes; the longer one breaks strands.
    """
    jam = bundles.count * 2.0 * bundles.radius * np.abs(lay) / _NEAR
    lower = np.maximum(_SHORTEST * natural, jam)
    return lower, np.maximum((1.0 + bundles.strands.break_strain) * natural, 1.001 * lower)


def _start(
    load: FloatArray, natural: FloatArray, lay: FloatArray, hand: FloatArray, bundles: LaidBundles
) -> FloatArray:
    """Length for small angles."""
    each = load / (bundles.count * bundles.strands.count)
    straight = natural * (1.0 + strand_strain(each, *bundles.strands.law))
    square = lay**2 * bundles.helix_square + (hand + lay) ** 2 * bundles.strand_square
    return straight / np.sqrt(1.0 + np.square(2.0 * np.pi / straight) * square)


def _with(
    found: Outcome[FloatArray],
    span: LaidSpan,
    holds: NDArray[np.bool_],
    reason: Reason = Reason.CONVERGED,
) -> Outcome[LaidSpan]:
    """Put a span in the place of the number that was solved for, and fail where it breaks."""
    ok = found.ok & holds
    if reason is Reason.CONVERGED and not bool(np.all(holds)):
        reason = Reason.NO_BRACKET
    worst = found.reason if found.reason is not Reason.CONVERGED else reason
    return Outcome(span, ok, worst, found.residual, found.iterations)
