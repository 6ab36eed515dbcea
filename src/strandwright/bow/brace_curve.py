r"""The brace curve: how high a bow braces on strings of other lengths, beyond the first slope.

Every bow of a batch is stood anew on strings shorter and longer than its own, at Chebyshev's
points, and what it does between them is the polynomial through these. Brace height falls with
the string's length all along, so that the string for a brace height wanted is found by halving.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import ArrayLike, NDArray

from strandwright.bow.equilibrium import stand
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung
from strandwright.errors import SpecError

Floats = NDArray[np.float64]
#: Strings looked at, and steps from the bow's own string to the farthest.
_POINTS, _STEPS = 7, 2
#: Halvings of a range: what is left of it is rounding.
_HALVINGS = 50


@dataclass(frozen=True)
class BraceCurve:
    """What a batch of bows without wheels does on strings of other lengths.

    Attributes
    ----------
    shortest, longest : float
        Range of the change of the string's length without load [m].
    brace, tension, path : ndarray, shape (coefficients, bows)
        Chebyshev's coefficients over that range, of brace height [m], the string's tension [N]
        and its length nock to nock as it is at brace [m].
    rows : ndarray of int, shape (bows,)
        Which bows of the batch stand on all of these strings [-].
    """

    shortest: float
    longest: float
    brace: Floats
    tension: Floats
    path: Floats
    rows: NDArray[np.intp]

    def read(self, of: Floats, longer: ArrayLike) -> Floats:
        """Read one of the curves.

        Parameters
        ----------
        of : ndarray, shape (coefficients, bows)
            ``brace``, ``tension`` or ``path``.
        longer : array_like, shape () or (bows,)
            Change of each string's length without load [m]

        Returns
        -------
        ndarray, shape (bows,)
            In the unit of the curve.
        """
        middle, half = 0.5 * (self.longest + self.shortest), 0.5 * (self.longest - self.shortest)
        at = np.broadcast_to((np.asarray(longer, np.float64) - middle) / half, of.shape[1:])
        return np.asarray(chebyshev.chebval(at, of, tensor=False), dtype=np.float64)

    def longer_for(self, of: Floats, wanted: ArrayLike) -> tuple[Floats, NDArray[np.bool_]]:
        """Find the strings that bring one of the curves to what is wanted.

        Parameters
        ----------
        of : ndarray, shape (coefficients, bows)
            ``brace``, which falls with the string's length, or ``path``, which rises.
        wanted : array_like, shape () or (bows,)
            What is wanted [unit of the curve]

        Returns
        -------
        longer : ndarray, shape (bows,)
            Change of each string's length without load; the nearer end of the range where it
            does not reach [m].
        reached : ndarray of bool, shape (bows,)
            Where it does [-].
        """
        wanted = np.asarray(wanted, dtype=np.float64)
        low = np.full(of.shape[1], self.shortest)
        high = np.full(of.shape[1], self.longest)
        rises = np.where(self.read(of, high) > self.read(of, low), 1.0, -1.0)
        off = (self.read(of, low) - wanted) * rises, (self.read(of, high) - wanted) * rises
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            under = (self.read(of, middle) - wanted) * rises < 0.0
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return 0.5 * (low + high), (off[0] <= 0.0) & (off[1] >= 0.0)


def brace_curve(strung: Strung, shortest: float, longest: float) -> BraceCurve:
    """Stand bows on strings of other lengths.

    Parameters
    ----------
    strung : Strung
        Bows without wheels, at their braces.
    shortest, longest : float
        Range of the change of the string's length without load, shortest < 0 < longest [m]

    Returns
    -------
    BraceCurve
        Of those bows that stand on every string of the range, half of them at the least.

    Raises
    ------
    SpecError
        If most of the bows do not.
    """
    nodes = -np.cos(np.pi * (np.arange(_POINTS) + 0.5) / _POINTS)
    changes = 0.5 * (longest + shortest) + 0.5 * (longest - shortest) * nodes
    count = len(strung.brace)
    rows = np.repeat(np.arange(count), _POINTS)
    q, ways = strung.brace[rows], np.broadcast_to(strung.directions, (count, _spans(strung)))[rows]
    own = np.broadcast_to(strung.rig.natural, (count, strung.rig.natural.shape[1]))[rows]
    share = own / own.sum(axis=1, keepdims=True)
    change = np.tile(changes, count)[:, None] * share
    for part in np.arange(1, _STEPS) / _STEPS:
        begun = stand(strung.rig.taken(rows, own + part * change), q, ways, hold_draw=False)
        q, ways = begun.value.q, begun.value.potential.spans.direction
    rig = strung.rig.taken(rows, own + change)
    out = stand(rig, q, ways, hold_draw=False)
    at = out.value.potential
    q, ways = out.value.q, at.spans.direction
    shape = (count, _POINTS)
    height = _square_to_string(rig, q, ways).reshape(shape)
    tension = at.tension[:, 0].reshape(shape)
    path = at.spans.path_length.sum(axis=1).reshape(shape)
    falls = np.all(np.diff(height, axis=1) < 0.0, axis=1)
    good = out.ok.reshape(shape).all(axis=1) & falls
    if np.count_nonzero(good) < max(1, count // 2):
        rule = "must leave the bow standing on every string looked at"
        given = f"{1000.0 * shortest:+.0f} to {1000.0 * longest:+.0f} mm"
        raise SpecError("string.length", given, rule, "look at strings nearer to the bow's own")
    return BraceCurve(
        shortest, longest, _through(height[good], nodes), _through(tension[good], nodes),
        _through(path[good], nodes), np.flatnonzero(good),
    )  # fmt: skip


def _spans(strung: Strung) -> int:
    return strung.directions.shape[1]


def _through(values: Floats, nodes: Floats) -> Floats:
    return np.asarray(chebyshev.chebfit(nodes, values.T, len(nodes) - 1), dtype=np.float64)


def _square_to_string(rig: Rig, q: Floats, ways: Floats) -> Floats:
    """Distance of the pivot from the straight string at brace."""
    nock = rig.bow.nock
    into = int(np.flatnonzero(rig.paths.bodies[:, 1] == nock)[0])
    at = rig.poses(q).at[:, nock, :2]
    way = ways[:, into]
    return np.abs(at[:, 0] * np.sin(way) - at[:, 1] * np.cos(way))
