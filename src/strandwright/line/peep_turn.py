"""How far a peep turns with the load: a twisted line that balances its torque along itself.

A stretch between two places that hold the line from turning keeps its turns whatever pulls at
it, and the peep in it, which nothing holds, goes along::

    held |==served==|------- bare -------[peep]---- bare ----|==served==| held
          <---------- before ------------>     <----- after ----------->

With n the turns in a piece, one torque runs all along:

.. math:: M = T(F, n_i)\\,(1 + u_i/F) + K_i\\,2\\pi (n_i - n_{0,i})/\\ell_i,\\qquad
          \\sum_i n_i = N

T is the torque of the twisted strands, which grows with the load F; K the stiffness of a
serving's thread, which does not. So a load moves turns out of bare pieces into served ones, and
the peep turns by what enters the pieces before it. u is the load by which strands of unequal
length are over or under what they carry, which does not grow with F either.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, span_length

_TWO_PI = 2.0 * np.pi
_STEPS = 60
#: Torque is balanced to this share of what the strands hold [-]
_CLOSE = 1e-11
#: A step shorter than this has no slope that rounding leaves true [turn]
_LEAST_STEP = 1e-5


@dataclass(frozen=True)
class HeldPieces:
    """Pieces of a line between two places that hold it from turning, in order along it.

    Attributes
    ----------
    naturals : ndarray
        Shape (B, K); natural length of the strands in each [m]
    turns : ndarray
        Shape (B, K); turns in each as the line was finished [turn]
    radius : ndarray
        Shape (B, K); radius of the bundle [m]
    thread : ndarray
        Shape (B, K); torsional stiffness of a serving's thread, 0 where it is bare [N m^2]
    relaxed : ndarray
        Shape (B, K); turns at which the thread bears no torque [turn]
    uneven : ndarray
        Shape (B, K); load by which the torque of unequal strands is off, see
        :func:`uneven_load` [N]
    strands : StrandSet
        The strands, with an axis for the pieces.
    """

    naturals: FloatArray
    turns: FloatArray
    radius: FloatArray
    thread: FloatArray
    relaxed: FloatArray
    uneven: FloatArray
    strands: StrandSet

    def torque(self, load: FloatArray, turns: FloatArray) -> FloatArray:
        """Torque that each piece holds.

        Parameters
        ----------
        load : ndarray
            Load along the line, shape (B,) [N]
        turns : ndarray
            Turns in each piece, shape (B, K) [turn]

        Returns
        -------
        ndarray
            Shape (B, K), in the sense of the line's own twist [N m]
        """
        return self._strands_torque(load, turns) + self.thread_rate * (turns - self.relaxed)

    def _strands_torque(self, load: FloatArray, turns: FloatArray) -> FloatArray:
        along = np.broadcast_to(load[:, None], turns.shape)
        span = span_length(along, self.naturals, turns, self.radius, self.strands)
        return span.torque * (1.0 + self.uneven / along)

    @property
    def thread_rate(self) -> FloatArray:
        """Torque of the threads for each turn, shape (B, K) [N m]."""
        return _TWO_PI * self.thread / self.naturals


@dataclass(frozen=True)
class Balanced:
    """The turns of held pieces when one torque runs all along them.

    Attributes
    ----------
    turns : ndarray
        Shape (B, K); turns in each piece [turn]
    torque : ndarray
        Shape (B,); the torque [N m]
    gives : ndarray
        Shape (B, K); turns that a piece gives to a newton metre more [turn/(N m)]
    """

    turns: FloatArray
    torque: FloatArray
    gives: FloatArray

    def share(self, before: NDArray[np.bool_]) -> FloatArray:
        """Share of turns put in that the pieces before the peep take.

        Parameters
        ----------
        before : ndarray of bool
            Shape (K,); which pieces lie between the zero end and the peep.

        Returns
        -------
        ndarray
            Shape (B,) [-]
        """
        return self.gives[:, before].sum(axis=1) / self.gives.sum(axis=1)


def balance(pieces: HeldPieces, load: ArrayLike, added: ArrayLike = 0.0) -> Balanced:
    """Share turns out so that one torque runs all along the pieces.

    Parameters
    ----------
    pieces : HeldPieces
        The pieces.
    load : array_like
        Load along the line, shape (B,) or one for all, > 0 [N]
    added : array_like
        Turns put in at either end since the line was finished, shape (B,) or one for all [turn]

    Returns
    -------
    Balanced
        The turns of every piece.

    Notes
    -----
    No friction between strands, nor of the peep: what wax and lay hold back is left out, so
    that it is the most that turns move. Pieces are slender: what a load takes up of their
    length is in the torque, what their shortening does to the load is not.
    """
    count = len(pieces.turns)
    along = np.broadcast_to(np.asarray(load, dtype=float), (count,))
    total = pieces.turns.sum(axis=1) + np.asarray(added, dtype=float)
    turns = _spread(pieces, along, total)
    slope = _slackest(pieces, along) + pieces.thread_rate
    held = pieces.torque(along, turns)
    torque = held.mean(axis=1)
    for _ in range(_STEPS):
        torque = (total - (turns - held / slope).sum(axis=1)) / (1.0 / slope).sum(axis=1)
        step = (torque[:, None] - held) / slope
        turns = turns + step
        before, held = held, pieces.torque(along, turns)
        off = np.abs(held - torque[:, None]).max()
        slope = _followed(slope, step, held - before)
        if not off > _CLOSE * np.abs(held).max():
            break
    return Balanced(turns, torque, 1.0 / slope)


def _followed(slope: FloatArray, step: FloatArray, rise: FloatArray) -> FloatArray:
    """Slope of each piece's torque by its last step; the one before where that tells nothing."""
    told = np.abs(step) > _LEAST_STEP
    by_step = rise / np.where(told, step, 1.0)
    sane = told & (by_step > 0.3 * slope) & (by_step < 3.0 * slope)
    return np.where(sane, by_step, slope)


def _slackest(pieces: HeldPieces, load: FloatArray) -> FloatArray:
    """Torque for each turn of a few turns: every strand bears alike [N m]."""
    arms = np.mean(pieces.strands.radii**2) * pieces.radius**2
    return _TWO_PI * (load[:, None] + pieces.uneven) * arms / pieces.naturals


def _spread(pieces: HeldPieces, load: FloatArray, total: FloatArray) -> FloatArray:
    """Turns to begin from: by how little each piece resists [turn]."""
    soft = 1.0 / (_slackest(pieces, load) + pieces.thread_rate)
    return total[:, None] * soft / soft.sum(axis=1, keepdims=True)


def peep_turn(
    pieces: HeldPieces,
    before: NDArray[np.bool_],
    load: ArrayLike,
    drawn: ArrayLike,
    added: ArrayLike = 0.0,
) -> FloatArray:
    """How far a peep turns when the load on the line changes.

    Parameters
    ----------
    pieces : HeldPieces
        The pieces between the two places that hold.
    before : ndarray of bool
        Shape (K,); which of them lie between the zero end and the peep.
    load : array_like
        Load at which it stands straight, shape (B,) or one for all [N]
    drawn : array_like
        Load it is brought to, shape (B,) or one for all [N]
    added : array_like
        Turns put in at either end since the line was finished [turn]

    Returns
    -------
    ndarray
        Shape (B,); in the sense of the line's own helix, looking along it from its zero end:
        positive where turns come to the pieces before the peep [turn]

    Notes
    -----
    Nothing turns where both sides are alike, wherever the peep sits: strands alone hold a torque
    in proportion to the load, and then the shares of the turns do not change with it.
    """
    at_rest, at_draw = balance(pieces, load, added), balance(pieces, drawn, added)
    return (at_draw.turns - at_rest.turns)[:, before].sum(axis=1)


def turned_by_added(
    pieces: HeldPieces, before: NDArray[np.bool_], load: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """How far one turn put in at an end turns the peep.

    Parameters
    ----------
    pieces : HeldPieces
        The pieces between the two places that hold.
    before : ndarray of bool
        Shape (K,); which of them lie between the zero end and the peep.
    load : array_like
        Load at which it turns, shape (B,) or one for all [N]

    Returns
    -------
    tuple of ndarray
        At the zero end and at the far end, shape (B,), in the sense of :func:`peep_turn`: the
        first turns the peep back, the second on [turn/turn]

    Notes
    -----
    Both together, one turn in at one end and one out at the other, turn it by a whole turn and
    leave the line as long as it was.
    """
    share = balance(pieces, load).share(before)
    return share - 1.0, share


def uneven_load(
    length_spread: ArrayLike, strand_stiffness: ArrayLike, strands: StrandSet
) -> FloatArray:
    """Spread of the load by which the torque of unequal strands is off.

    A strand that is shorter than the mean by a share e carries EA e more at every load. Strands
    lie anywhere in the bundle, so the torque is off by the sum of that excess times the square of
    each radius, over their mean square:

    .. math:: \\sigma_u = n\\,EA\\,\\sigma_e\\,
              \\sqrt{\\frac{\\sum r^4}{(\\sum r^2)^2} - \\frac1n}

    Parameters
    ----------
    length_spread : array_like
        Standard deviation of a strand's natural length over the mean [-]
    strand_stiffness : array_like
        EA of one strand [N]
    strands : StrandSet
        The strands.

    Returns
    -------
    ndarray
        Standard deviation of the load [N]

    Notes
    -----
    Every strand taut, linear law; the mean of the excess is taken off, since the load is shared
    out whole. For strands that fill a circle evenly the root comes to :math:`1/\\sqrt{3n}`.
    """
    square = strands.radii**2
    lopsided = (square**2).sum(axis=-1) / square.sum(axis=-1) ** 2 - 1.0 / strands.count
    excess = np.asarray(strand_stiffness, dtype=float) * np.asarray(length_spread, dtype=float)
    return strands.count * excess * np.sqrt(np.maximum(lopsided, 0.0))


def piece_shares(edges: FloatArray, start: ArrayLike, stop: ArrayLike) -> FloatArray:
    """Share of each segment of a line that lies between two places.

    Parameters
    ----------
    edges : ndarray
        Segment edges, shape (B, K + 1) [m]
    start, stop : array_like
        The two places, shape (B,) or one for all [m]

    Returns
    -------
    ndarray
        Shape (B, K), in [0, 1] [-]
    """
    low, high = (np.asarray(v, dtype=float).reshape(-1, 1) for v in (start, stop))
    inside = np.minimum(edges[:, 1:], high) - np.maximum(edges[:, :-1], low)
    return np.clip(inside, 0.0, None) / np.diff(edges, axis=1)
