r"""Taut paths: lines pulled straight over convex tracks, with exact first and second derivatives.

A path runs from its start over any number of tracks to its end. Between two of them it is a
straight span whose direction :math:`\alpha` is still to be found; for any :math:`\alpha`

.. math::

    \Lambda(\alpha) = \sum_\text{spans} d(\alpha)\cdot(X_b - X_a)
        + \sum_\text{tracks} \sigma \int_{\psi_\text{in}}^{\psi_\text{out}} h(\psi)\,d\psi

with :math:`\sigma = +1` where the path turns counter-clockwise round the track. The slopes h' of
arc and span cancel. :math:`\Lambda` is concave in each :math:`\alpha` while the spans have
length: its maximum is the tangent, and the length of the taut path. So the derivatives by the
bodies' poses are those of :math:`\Lambda` at fixed :math:`\alpha`, and the second derivatives
gain :math:`m m^T/\ell`, m the mixed derivative and :math:`\ell` the length of the span.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import GeometryError
from strandwright.geometry.track import Track

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_STEPS = 30
#: Largest change of a direction in one step, and the step after which it is exact [rad].
_FARTHEST, _NEAR = 0.5, 3e-8


@dataclass(frozen=True)
class Contact:
    """One thing a taut path touches.

    Attributes
    ----------
    body : int
        Index of the body the track belongs to [-].
    track : Track
        Outline that the path's centreline follows, half the line's thickness included.
    side : int
        +1 where the path turns counter-clockwise round it, so that it lies on the left of the
        travel; -1 clockwise [-].
    peg : ndarray or None, shape (...)
        At an end, the normal of the place on the track where the path is fastened; past it the
        path swings about that place. None for a path fastened at a point [rad].
    near : float
        At a fastened end, the normal of the track where the path meets it in the state it is
        laid out in, to within half a turn [rad].
    optional : bool
        Between the ends, whether the path may leave the track.
    """

    body: int
    track: Track
    side: int = 1
    peg: Floats | None = None
    near: float = 0.0
    optional: bool = False


@dataclass(frozen=True)
class Spans:
    """The straight parts of all paths in one state.

    Attributes
    ----------
    direction : ndarray, shape (batch, spans)
        Angle of the travel, continuous from the guess it was found from [rad].
    length : ndarray, shape (batch, spans)
        Length between the two contacts; below zero where the tracks overlap, whether or not
        a tangent is left to them [m].
    normal : ndarray, shape (batch, spans, 2)
        Normal of the track, in its body's axes, at the start and the end of the span [rad].
    lever : ndarray, shape (batch, spans, 2)
        Support of the tracks there: distance of the span from each body's origin [m].
    slope : ndarray, shape (batch, spans, 2)
        Slope of the support there [m/rad].
    path_length : ndarray, shape (batch, paths)
        Length of each path from end to end [m].
    touching : ndarray of bool, shape (batch, spans)
        Whether the track at the span's start is touched; false for an optional one passed by [-].
    """

    direction: Floats
    length: Floats
    normal: Floats
    lever: Floats
    slope: Floats
    path_length: Floats
    touching: Flags


class TautPaths:
    """Paths over the same bodies, laid out so that all their spans are solved at once.

    Parameters
    ----------
    paths : sequence of tuple of Contact
        Each from its start to its end, two contacts at least.

    Raises
    ------
    GeometryError
        If a path has fewer than two contacts, or two neighbours that may both be left.
    """

    def __init__(self, paths: tuple[tuple[Contact, ...], ...]) -> None:
        self.paths = paths
        uses: list[tuple[Contact, Contact]] = []
        of_path: list[int] = []
        links: list[int] = []
        for index, path in enumerate(paths):
            _check(path, index)
            for k, pair in enumerate(itertools.pairwise(path)):
                if k and path[k].optional:
                    links.append(len(uses))
                uses.append(pair)
                of_path.append(index)
        self.count = len(uses)
        self.bodies = np.array([[a.body, b.body] for a, b in uses])
        self.side = np.array([[a.side, b.side] for a, b in uses], dtype=np.float64)
        self.of_path = np.array(of_path)
        #: Spans that begin at a track the path may leave; the one before each is its partner.
        self.links = np.array(links, dtype=np.intp)
        #: One where a span belongs to a path, (spans, paths).
        self.member = np.eye(len(paths))[self.of_path]
        flat = [c for pair in uses for c in pair]
        sizes = [np.size(v) for c in flat for v in (c.track.mean, c.peg) if v is not None]
        batch = max(sizes)
        self._mean, self._cos, self._sin = _stacked(flat, self.count, batch)
        self._peg, self._fastened = _pegs(flat, self.count, batch)
        self._near = np.array([c.near for c in flat]).reshape(self.count, 2)
        self._pegged = bool(np.any(self._fastened))
        self._k = np.arange(1, self._cos.shape[-1] + 1, dtype=np.float64)
        self._ones = np.ones(len(self._k))
        #: From a span's direction to the normals at its ends.
        self._quarter = self.side * (0.5 * np.pi)
        # Start and end of a path turn the wrap's sense about.
        self._sense = self.side * np.array([1.0, -1.0])
        self._fasten()

    def _fasten(self) -> None:
        """Work out the points the paths are fastened at and what their arcs start from."""
        h, slope, swept = self._evaluate(self._peg, self._mean, self._cos, self._sin)
        c, s = np.cos(self._peg), np.sin(self._peg)
        harmonics = np.zeros((self._cos.shape[-1],))
        harmonics[0] = 1.0
        self._point_cos = (h * c - slope * s)[..., None] * harmonics
        self._point_sin = (h * s + slope * c)[..., None] * harmonics
        self._from = np.where(self._fastened, swept + slope, 0.0)

    @property
    def cases(self) -> int:
        """Cases the tracks differ in; 1 where all share them [-]."""
        return len(self._mean)

    def series(self) -> Floats:
        """Give the tracks at the two ends of every span.

        Returns
        -------
        ndarray, shape (1 or batch, spans, 2, 1 + 2 * harmonics)
            Mean of each support, coefficients of its cosines, then of its sines [m]
        """
        return np.concatenate([self._mean[..., None], self._cos, self._sin], axis=-1)

    def fastenings(self) -> Floats:
        """Give where the paths are fastened, for the two ends of every span.

        Returns
        -------
        ndarray, shape (1 or batch, spans, 2, 5)
            1 where it is fastened, else 0; the normal there; the integral of the support up to
            there with its slope; and the point itself, in the body's axes [-, rad, m, m, m]
        """
        fastened = np.broadcast_to(self._fastened, self._peg.shape)
        parts = (fastened, self._peg, self._from, self._point_cos[..., 0], self._point_sin[..., 0])
        return np.stack(parts, axis=-1).astype(np.float64)

    def taken(self, rows: NDArray[np.intp]) -> TautPaths:
        """Give the same paths for some cases of a batch.

        Parameters
        ----------
        rows : ndarray of int
            Cases to take, in order; may repeat [-]

        Returns
        -------
        TautPaths
            Paths of those cases; unchanged where all cases share them.
        """
        if self._mean.shape[0] == 1:
            return self
        other = object.__new__(TautPaths)
        other.__dict__.update(self.__dict__)
        for name in ("_mean", "_cos", "_sin", "_peg", "_point_cos", "_point_sin", "_from"):
            setattr(other, name, getattr(self, name)[rows])
        return other

    def guess(self, poses: Floats) -> Floats:
        """Directions to start from: from contact to contact as if the tracks were round.

        Parameters
        ----------
        poses : ndarray, shape (batch, bodies, 3)
            Place and angle of each body, about as they were laid out [m, m, rad]

        Returns
        -------
        ndarray, shape (batch, spans)
            Directions [rad].
        """
        a, b = poses[:, self.bodies[:, 0]], poses[:, self.bodies[:, 1]]
        middle = self._middles(poses)
        delta = middle[:, :, 1] - middle[:, :, 0]
        raw = np.arctan2(delta[..., 1], delta[..., 0])
        raw = raw + _cross(self._mean, self.side, np.hypot(delta[..., 0], delta[..., 1]))
        turned = np.stack([a[..., 2], b[..., 2]], axis=-1)
        # Where a fastened end meets its track tells which turn the direction is on.
        aim = self.side * (np.pi / 2) + turned + self._near
        wanted = np.where(self._fastened[:, 0], aim[..., 0], aim[..., 1])
        known = np.any(self._fastened, axis=1)
        raw = raw + np.where(known, 2 * np.pi * np.round((wanted - raw) / (2 * np.pi)), 0.0)
        order = [(i, i - 1) for i in range(1, self.count)]
        order += [(i - 1, i) for i in range(self.count - 1, 0, -1)]
        for i, by in order:
            if self.of_path[i] == self.of_path[by] and not known[i]:
                # Along a path the direction turns the way of the track between the spans.
                way = self.side[max(i, by), 0] * (1.0 if i > by else -1.0)
                gap = way * (raw[:, i] - raw[:, by])
                raw[:, i] -= way * 2 * np.pi * np.floor((gap + np.pi / 2) / (2 * np.pi))
                known[i] = known[by]
        return raw

    def _middles(self, poses: Floats) -> Floats:
        """Middle of each contact's track: the first harmonic, which a point is all of."""
        at = poses[:, self.bodies]
        c, s = np.cos(at[..., 2]), np.sin(at[..., 2])
        x, y = self._cos[..., 0], self._sin[..., 0]
        return at[..., :2] + np.stack([c * x - s * y, s * x + c * y], axis=-1)

    def spans(self, poses: Floats, start: Floats) -> Spans:
        """Solve the tangents of every path.

        Parameters
        ----------
        poses : ndarray, shape (batch, bodies, 3)
            Place and angle of each body [m, m, rad]
        start : ndarray, shape (batch, spans)
            Directions to start from, on the right turn [rad]

        Returns
        -------
        Spans
            Where the paths run.
        """
        x = poses[:, self.bodies, :2]
        delta = x[:, :, 1] - x[:, :, 0]
        turned = poses[:, self.bodies, 2]
        none = np.zeros((len(x), len(self.links)), dtype=bool)
        alpha, lost = self._tangents(delta, turned, start, none)
        touching = np.ones(alpha.shape, dtype=bool)
        if len(self.links):
            into = self.side[self.links, 0] * (alpha[:, self.links] - alpha[:, self.links - 1])
            left = into < 0.0
            if np.any(left):
                touching[:, self.links] = ~left
                alpha, lost = self._tangents(delta, turned, alpha, left)
        return self._state(delta, turned, alpha, touching, lost)

    def inverse_lengths(self, spans: Spans) -> Floats:
        """Give the inverse of minus the second derivative by the directions.

        Parameters
        ----------
        spans : Spans
            As solved.

        Returns
        -------
        ndarray, shape (batch, spans, spans)
            Diagonal but for the pairs that pass a track by [1/m].
        """
        inverse = np.zeros((*spans.length.shape, self.count))
        diagonal = np.arange(self.count)
        inverse[:, diagonal, diagonal] = 1.0 / spans.length
        for i in self.links:
            away = ~spans.touching[:, i]
            joint = 1.0 / (spans.length[away, i] + spans.length[away, i - 1])
            for a in (i - 1, i):
                for b in (i - 1, i):
                    inverse[away, a, b] = joint
        return inverse

    def _tangents(
        self, delta: Floats, turned: Floats, start: Floats, left: Flags
    ) -> tuple[Floats, Flags]:
        """Newton's method on each span's own condition; neighbours joined where a track is left.

        Gives the directions, and which spans have none because their tracks overlap.
        """
        alpha = np.array(np.broadcast_to(start, delta.shape[:2]))
        step = np.zeros_like(alpha)
        joined = bool(np.any(left))
        for _ in range(_STEPS):
            h, slope = self._levers(alpha, turned)
            c, s = np.cos(alpha), np.sin(alpha)
            off = delta[..., 1] * c - delta[..., 0] * s + self._paired(h)
            length = delta[..., 0] * c + delta[..., 1] * s - self._paired(slope)
            if joined:
                self._join(alpha, off, length, left)
            step = off / np.where(np.abs(length) > 1e-6, length, 1e-6)
            largest = float(np.abs(step).max())
            if not largest <= _FARTHEST:
                step = step.clip(-_FARTHEST, _FARTHEST)
            alpha += step
            # What is left goes with the square of the step.
            if largest < _NEAR:
                break
        return alpha, ~(np.abs(step) <= _NEAR)

    def _join(self, alpha: Floats, off: Floats, length: Floats, left: Flags) -> None:
        """Give the spans either side of a track passed by one direction between them."""
        for column, i in enumerate(self.links):
            away = left[:, column]
            mean = 0.5 * (alpha[away, i] + alpha[away, i - 1])
            settled = np.abs(alpha[away, i] - alpha[away, i - 1]) < 1e-12
            both = np.where(settled, off[away, i] + off[away, i - 1], 1e-7)
            long = length[away, i] + length[away, i - 1]
            for a in (i - 1, i):
                alpha[away, a] = mean
                off[away, a], length[away, a] = both, long

    def _paired(self, values: Floats) -> Floats:
        """Start less end, each with its side."""
        both = values * self._sense
        return both[..., 0] + both[..., 1]

    def _normals(self, alpha: Floats, turned: Floats) -> Floats:
        return alpha[..., None] - self._quarter - turned

    def _unwrapped(self, psi: Floats) -> Flags:
        return self._fastened & (self._sense * (psi - self._peg) < 0.0)

    def _coefficients(self, psi: Floats) -> tuple[Floats, Floats, Floats, Flags | None]:
        """Series of each use: its track's, or its peg's where the path has come off the track."""
        if not self._pegged:
            return self._mean, self._cos, self._sin, None
        bare = self._unwrapped(psi)
        if not np.any(bare):
            return self._mean, self._cos, self._sin, bare
        return (
            np.where(bare, 0.0, self._mean),
            np.where(bare[..., None], self._point_cos, self._cos),
            np.where(bare[..., None], self._point_sin, self._sin),
            bare,
        )

    def _levers(self, alpha: Floats, turned: Floats) -> tuple[Floats, Floats]:
        psi = self._normals(alpha, turned)
        mean, cosine, sine, _ = self._coefficients(psi)
        at = self._k * psi[..., None]
        c, s = np.cos(at), np.sin(at)
        # One product sums over the harmonics and differentiates by the way.
        h = (cosine * c + sine * s) @ self._ones
        return mean + h, (sine * c - cosine * s) @ self._k

    def _evaluate(
        self, psi: Floats, mean: Floats, cosine: Floats, sine: Floats
    ) -> tuple[Floats, Floats, Floats]:
        at = self._k * psi[..., None]
        c, s = np.cos(at), np.sin(at)
        across = sine * c - cosine * s
        h = mean + (cosine * c + sine * s) @ self._ones
        return h, across @ self._k, mean * psi - across @ (1.0 / self._k)

    def _state(
        self, delta: Floats, turned: Floats, alpha: Floats, touching: Flags, lost: Flags
    ) -> Spans:
        psi = self._normals(alpha, turned)
        mean, cosine, sine, bare = self._coefficients(psi)
        h, slope, swept = self._evaluate(psi, mean, cosine, sine)
        swept = swept - (self._from if bare is None else np.where(bare, 0.0, self._from))
        c, s = np.cos(alpha), np.sin(alpha)
        along = delta[..., 0] * c + delta[..., 1] * s
        length = along - self._paired(slope)
        length = np.where(lost, -np.maximum(np.abs(length), 1e-9), length)
        path = (along + self._paired(swept)) @ self.member
        return Spans(alpha, length, psi, h, slope, path, touching)


def _check(path: tuple[Contact, ...], index: int) -> None:
    if len(path) < 2:
        rule = "must touch two things at least"
        raise GeometryError(f"path[{index}]", len(path), rule, "name its start and its end")
    for a, b in itertools.pairwise(path):
        if a.optional and b.optional:
            rule = "must not have two neighbours that it may leave"
            raise GeometryError(f"path[{index}]", "optional", rule, "make one of them fixed")
    if path[0].optional or path[-1].optional:
        rule = "cannot leave what it is fastened to"
        raise GeometryError(f"path[{index}]", "optional", rule, "make its ends fixed")
    if any(contact.peg is not None for contact in path[1:-1]):
        rule = "can be fastened at its ends only"
        raise GeometryError(f"path[{index}]", "peg", rule, "make two paths of it")


def _stacked(flat: list[Contact], count: int, batch: int) -> tuple[Floats, Floats, Floats]:
    """Series of all uses, padded to the same number of harmonics, batch first."""
    most = max(c.track.harmonics for c in flat)
    mean = np.empty((batch, count * 2))
    cosine, sine = np.zeros((2, batch, count * 2, most))
    for i, contact in enumerate(flat):
        track = contact.track
        mean[:, i] = track.mean
        cosine[:, i, : track.harmonics] = track.cosine
        sine[:, i, : track.harmonics] = track.sine
    shape = (batch, count, 2)
    return mean.reshape(shape), cosine.reshape(*shape, most), sine.reshape(*shape, most)


def _pegs(flat: list[Contact], count: int, batch: int) -> tuple[Floats, Flags]:
    peg = np.zeros((batch, count * 2))
    fastened = np.zeros(count * 2, dtype=bool)
    for i, contact in enumerate(flat):
        if contact.peg is not None:
            peg[:, i] = contact.peg
            fastened[i] = True
    return peg.reshape(batch, count, 2), fastened.reshape(count, 2)


def _cross(mean: Floats, side: Floats, distance: Floats) -> Floats:
    """Angle by which a tangent of two circles leans from the line of their centres."""
    lever = side[:, 0] * mean[..., 0] - side[:, 1] * mean[..., 1]
    return np.arcsin(np.clip(lever / np.maximum(distance, 1e-9), -0.95, 0.95))
